"""Disk full and a read-only disk: the sender is told, and what was saved stays."""

from collections.abc import Callable

import pytest
from sqlalchemy import event

from server.farms.edits import edit
from shared_models.errors import StorageError
from shared_models.sync.wire import pack
from tests.server.support.service import Service

Harm = Callable[[Service], Callable[[], None]]


def full(service: Service) -> Callable[[], None]:
    """The database may not grow by one more page."""
    with service.engine.connect() as connection:
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar_one()
    return _on_each_connection(service, f"PRAGMA max_page_count={pages}")


def read_only(service: Service) -> Callable[[], None]:
    """Nothing may be written."""
    return _on_each_connection(service, "PRAGMA query_only=ON")


def _on_each_connection(service: Service, pragma: str) -> Callable[[], None]:
    def harm(connection: object, _record: object) -> None:
        connection.execute(pragma)  # type: ignore[attr-defined]  # the driver's own connection

    service.engine.dispose()
    event.listen(service.engine, "connect", harm)

    def heal() -> None:
        event.remove(service.engine, "connect", harm)
        service.engine.dispose()

    return heal


@pytest.mark.parametrize(("harm", "reason"), [(full, "full"), (read_only, "read-only")])
def test_what_was_saved_stays_and_the_phone_sends_the_rest_when_the_disk_is_well(
    service: Service, farm: str, harm: Harm, reason: str
) -> None:
    """On a full or read-only disk a sync is a problem with the reason; nothing is stored by half, nothing lost."""
    phone = service.phone(farm)
    bed = phone.add_bed("North 1")
    phone.sync(service)
    for _ in range(60):
        phone.write("planting", bed=bed, sowing=service.fakes.new_id(), note="n" * 4000)
    phone.add_bed("North 2")
    heal = harm(service)

    answer = phone.send(service, pack(phone.page(service.holds(farm))))
    meanwhile = service.beds(farm)
    heal()
    phone.sync(service)

    assert (answer.status_code, answer.json()["code"]) == (503, "store-trouble")
    assert reason in answer.json()["detail"]
    assert "Everything saved before is safe" in answer.json()["detail"]
    assert list(meanwhile.values()) == ["North 1"]
    assert service.beds(farm) == phone.beds
    assert service.faults(farm) == []


@pytest.mark.parametrize("harm", [full, read_only])
def test_a_phone_can_still_read_from_a_service_that_cannot_write(service: Service, farm: str, harm: Harm) -> None:
    """Who only asks is answered; the office's pages are shown."""
    phone, other = service.phone(farm), service.phone(farm)
    phone.add_bed("North 1")
    phone.sync(service)
    other.sync(service)
    phone.write("bed", name="North 2", length_mm=30_480, rows=4)
    heal = harm(service)

    reply = other.sync(service)
    beds = service.client.get("/v1/beds", headers={"Authorization": f"Bearer {other.bearer}"})
    heal()

    assert reply.refused == ()
    assert [bed["name"] for bed in beds.json()] == ["North 1"]


def test_an_edit_in_the_office_on_a_read_only_disk_is_told(service: Service, farm: str) -> None:
    phone = service.phone(farm)
    bed = phone.add_bed("North 1")
    phone.sync(service)
    heal = read_only(service)

    with pytest.raises(StorageError, match="read-only"):
        edit(service.engine, farm, "bed", bed, {"name": "North one"}, None, service.fakes.time)
    heal()

    assert service.beds(farm) == {bed: "North 1"}


def test_a_pairing_code_is_not_spent_when_the_disk_is_full(service: Service, farm: str) -> None:
    """A phone that could not be paired for want of space tries again with the same code."""
    code = service.code(farm)
    heal = read_only(service)

    refused = service.pair(code=code, device=service.fakes.new_device(), name="A")
    heal()

    assert (refused.status_code, refused.json()["code"]) == (503, "store-trouble")
    assert service.pair(code=code, device=service.fakes.new_device(), name="A").status_code == 200
