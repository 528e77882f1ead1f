"""A phone that holds lines of a removed one."""

from pathlib import Path

from server.farms.phones import remove_phone
from shared_models.log import log
from shared_models.log.ingest import ingest
from shared_models.log.store import reading, writing
from tests.journeys.support.farm_service import FarmService, FieldPhone


def test_lines_of_a_removed_phone_do_not_wait_on_another_for_ever(tmp_path: Path) -> None:
    """They stay on the phone that got them by file, which hands over its own and is done."""
    service = FarmService(tmp_path / "service")
    removed, other = (FieldPhone.paired(service, tmp_path / f"phone {seed}", seed) for seed in (1, 2))
    removed.phone.notebook.add("bed", name="Forged", length_mm=30_480, rows=4)
    removed.phone.notebook.sign()
    with reading(removed.phone.notebook.engine) as connection:
        runs = log.lacking(connection, service.farm, {}, 1_000_000)
    with writing(other.phone.notebook.engine, service.farm) as connection:
        ingest(connection, service.farm, runs, other.phone.notebook.keystore.verify)
    remove_phone(service.engine, service.farm, removed.phone.notebook.device, removed.phone.notebook.now().at)
    other.add_beds(1, "South")
    before = other.phone.notebook.only_here

    other.sync_client.sync()

    assert (before, other.phone.notebook.only_here) == (2, 0)
    assert len(service.records()["bed"]) == 1
    assert len(other.records()["bed"]) == 2
