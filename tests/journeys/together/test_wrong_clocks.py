"""A clock that is off by years: nothing it stamped stands for ever, nothing is lost, and the phone is put right."""

from datetime import timedelta
from pathlib import Path

import pytest

from shared_models.core import clock
from shared_models.log.ingest import ingest
from shared_models.log.log import lacking
from shared_models.log.store import reading
from tests.journeys.support.farm_service import FarmService, FieldPhone

YEARS = timedelta(days=365 * 20)


def name_of(held: FarmService | FieldPhone, bed: str) -> str:
    names: dict[str, str] = {row[1]: row[3] for row in held.records()["bed"]}
    return names[bed]


def hand_over(giver: FieldPhone, taker: FieldPhone) -> None:
    """All that one phone holds, given to another where there is no network."""
    giver.phone.notebook.sign()
    notebook = taker.phone.notebook
    with reading(giver.phone.notebook.engine) as connection:
        runs = lacking(connection, notebook.farm, {}, 1_000_000)
    with notebook.writing() as connection:
        assert ingest(connection, notebook.farm, runs, notebook.keystore.verify).refused == []


@pytest.fixture
def service(tmp_path: Path) -> FarmService:
    return FarmService(tmp_path / "service")


@pytest.fixture
def phone(service: FarmService, tmp_path: Path) -> FieldPhone:
    return FieldPhone.paired(service, tmp_path / "phone", seed=1)


@pytest.fixture
def ahead(service: FarmService, tmp_path: Path) -> FieldPhone:
    """A phone whose clock is twenty years ahead, after it was paired."""
    phone = FieldPhone.paired(service, tmp_path / "ahead", seed=5)
    phone.phone.clock.set_wrong_by(YEARS)
    return phone


def test_what_a_clock_far_ahead_wrote_can_be_corrected(
    service: FarmService, ahead: FieldPhone, phone: FieldPhone
) -> None:
    """The owner corrects, and what she reads afterwards is what she wrote."""
    (bed,) = ahead.add_beds(1, "Ahead")
    ahead.sync_client.sync()
    phone.sync_client.sync()

    phone.phone.notebook.write("bed", bed, {"name": "Corrected"})
    for each in (phone, ahead):
        each.sync_client.sync()

    assert {name_of(each, bed) for each in (service, phone, ahead)} == {"Corrected"}
    assert service.records() == phone.records() == ahead.records()
    assert service.faults() == phone.faults() == ahead.faults() == []
    assert ahead.phone.notebook.only_here == 0


def test_a_phone_with_a_wrong_clock_is_put_right_before_it_writes_on(service: FarmService, ahead: FieldPhone) -> None:
    """Its lines are written again once; what it writes later is stamped as the service's clock has it."""
    ahead.add_beds(2, "Ahead")
    ahead.sync_client.sync()
    device = ahead.phone.notebook.device

    ahead.add_beds(2, "Later")
    ahead.sync_client.sync()

    assert ahead.phone.notebook.device == device
    assert len(service.records()["bed"]) == 4
    assert service.records() == ahead.records()


def test_what_was_written_before_the_clock_was_wrong_keeps_its_place(
    service: FarmService, ahead: FieldPhone, phone: FieldPhone
) -> None:
    """Another phone brings both, signed as one piece: a correction made since is not undone by the older entry."""
    (bed,) = phone.add_beds(1, "Bed")
    phone.sync_client.sync()
    ahead.phone.clock.set_wrong_by(timedelta())
    ahead.sync_client.sync()
    ahead.phone.notebook.write("bed", bed, {"name": "Older"})
    ahead.phone.clock.set_wrong_by(YEARS)
    ahead.add_beds(1, "Ahead")
    service.edit("bed", bed, name="Newer")

    hand_over(ahead, phone)
    phone.sync_client.sync()

    assert {name_of(each, bed) for each in (service, phone)} == {"Newer"}


def test_a_clock_that_was_set_right_counts_again(ahead: FieldPhone) -> None:
    ahead.sync_client.sync()
    assert ahead.phone.notebook.setting("clock_off_ms")

    ahead.phone.clock.set_wrong_by(timedelta())
    ahead.sync_client.sync()

    assert ahead.phone.notebook.setting("clock_off_ms") is None


def test_lines_from_a_clock_far_ahead_that_came_in_a_bundle_hold_nobody_up(
    service: FarmService, ahead: FieldPhone, phone: FieldPhone
) -> None:
    """Whoever holds them writes them again; both phones come to hold what the service holds."""
    (bed,) = ahead.add_beds(1, "Ahead")
    hand_over(ahead, phone)
    phone.add_beds(1, "After it")

    for each in (phone, ahead, phone, ahead):
        each.sync_client.sync()

    assert name_of(service, bed).startswith("Ahead")
    assert len(service.records()["bed"]) == 2
    assert service.records() == phone.records() == ahead.records()
    assert service.faults() == phone.faults() == ahead.faults() == []
    assert phone.phone.notebook.only_here == ahead.phone.notebook.only_here == 0


def test_a_row_goes_on_while_the_clock_is_far_ahead(service: FarmService, ahead: FieldPhone) -> None:
    notebook = ahead.phone.notebook
    (bed,) = ahead.add_beds(1)
    sowing = notebook.add("sowing", crop="leek", spacing_mm=101.6)
    planting = notebook.add("planting", bed=bed, sowing=sowing)
    notebook.start_row(planting)

    ahead.sync_client.sync()
    ahead.phone.clock.wait(300)
    notebook.end_row(planting)
    notebook.undo()
    ahead.sync_client.sync()

    assert notebook.row_state(planting).open is not None
    assert service.records() == ahead.records()


def test_the_limit_is_a_day_ahead_of_what_is_known() -> None:
    now_ms = 1_777_888_800_000

    assert clock.limit(now_ms, 0) == now_ms + 86_400_000 << 16
    assert clock.limit(0, now_ms << 16) > now_ms << 16, "a service whose own clock was set back takes what it holds"
    assert clock.limit(0, now_ms << 16) < (now_ms + 2_000) << 16
