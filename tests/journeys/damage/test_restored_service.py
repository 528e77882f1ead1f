"""A service restored from last week gets its week back from the phones; a lost one is rebuilt from one."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from server.farms.edits import edit, office_device
from server.farms.registry import all_farms
from server.runtime.settings import DATABASE_FILE, Settings
from shared_models.log.log import heads
from shared_models.log.store import reading
from shared_models.log.verify import verify
from shared_models.sync.wire import pack, unpack
from tests.server.support.service import FakeProviders, Phone, Service, running_service


@contextmanager
def restored(copy: Path, fakes: FakeProviders) -> Iterator[Service]:
    with running_service(Settings.in_directory(copy).database_url, fakes) as service:
        yield service


def test_a_service_restored_from_a_copy_gets_everything_back(
    service: Service, farm: str, fakes: FakeProviders, tmp_path: Path
) -> None:
    """A service restored from last week gets its week back from the phones, the office's edits too."""
    one, other = service.phone(farm), service.phone(farm)
    bed = one.add_bed("North 1")
    one.sync(service)
    copy = _copy(tmp_path)
    fakes.wait(days=7)
    other.add_bed("South 1")
    _rename(service, farm, bed, "North one")
    for phone in (one, other, one):
        phone.sync(service)
    week = service.beds(farm)

    with restored(copy, fakes) as again:
        before = again.beds(farm)
        one.sync(again)

        assert before == {bed: "North 1"}
        assert again.beds(farm) == week
        assert again.holds(farm) == service.holds(farm)
        _rename(again, farm, bed, "North first")
        other.sync(again)
        assert other.beds == again.beds(farm)
        assert again.faults(farm) == []


def test_a_restored_service_that_wrote_on_keeps_both_its_histories(
    service: Service, farm: str, fakes: FakeProviders, tmp_path: Path
) -> None:
    """Edits made in the office before and after the restoring all stand, under different device ids."""
    phone, other = service.phone(farm), service.phone(farm)
    beds = [phone.add_bed(name) for name in ("North 1", "North 2", "North 3")]
    phone.sync(service)
    copy = _copy(tmp_path)
    _rename(service, farm, beds[0], "renamed before")
    phone.sync(service)

    with restored(copy, fakes) as again:
        with reading(again.engine) as connection:
            old_office = office_device(connection, farm)
        _rename(again, farm, beds[1], "renamed after")
        _rename(again, farm, beds[2], "renamed after too")
        _show_from_start(phone, again)
        phone.sync(again)
        other.sync(again)
        _rename(again, farm, beds[0], "renamed at last")
        for each in (phone, other):
            each.sync(again)

        names = {beds[0]: "renamed at last", beds[1]: "renamed after", beds[2]: "renamed after too"}
        assert again.beds(farm) == phone.beds == other.beds == names
        with reading(again.engine) as connection:
            assert office_device(connection, farm) != old_office
        assert again.faults(farm) == []
        assert again.holds(farm) == phone.holds == other.holds


def test_a_restored_office_that_wrote_more_than_before_shows_the_fork(
    service: Service, farm: str, fakes: FakeProviders, tmp_path: Path
) -> None:
    """A phone with the shorter history of the office cannot send it; it is shown a line, and so can tell."""
    phone = service.phone(farm)
    bed = phone.add_bed("North 1")
    phone.sync(service)
    copy = _copy(tmp_path)
    _rename(service, farm, bed, "before")
    phone.sync(service)

    with restored(copy, fakes) as again:
        with reading(again.engine) as connection:
            office = office_device(connection, farm)
        for name in ("after", "after that", "at last"):
            _rename(again, farm, bed, name)
        shown = _ask(phone, again)

    assert office in shown


def test_a_lost_service_is_rebuilt_from_one_phone(fakes: FakeProviders, tmp_path: Path) -> None:
    """A lost service is rebuilt from one phone: farm, beds, the other phones' and the office's lines."""
    with running_service(Settings.in_directory(_made(tmp_path / "lost")).database_url, fakes) as lost:
        farm = lost.make_farm("Heronbrook")
        phone, other = lost.phone(farm), lost.phone(farm)
        bed = phone.add_bed("North 1")
        other.add_bed("South 1")
        for each in (phone, other, phone):
            each.sync(lost)
        _rename(lost, farm, bed, "North one")
        phone.sync(lost)
        held = lost.holds(farm)

    with running_service(Settings.in_directory(_made(tmp_path / "new")).database_url, fakes) as new:
        phone.pair(new, new.code(None))
        phone.sync(new)
        other.pair(new, new.code(farm))
        other.sync(new)
        _rename(new, farm, bed, "North first")
        phone.sync(new)

        with reading(new.engine) as connection:
            assert [known.name for known in all_farms(connection)] == ["Heronbrook"]
            assert {log.device for log in heads(connection, farm)} >= set(held)
        assert new.beds(farm) == phone.beds
        assert sorted(new.beds(farm).values()) == ["North first", "South 1"]
        assert new.faults(farm) == []
    with reading(phone.engine) as connection:
        assert list(verify(connection, farm)) == []


def _made(directory: Path) -> Path:
    directory.mkdir()
    return directory


def _copy(data: Path) -> Path:
    """A copy of the running service's database, as a backup makes it."""
    copy = _made(data / "copy")
    with closing(sqlite3.connect(data / DATABASE_FILE)) as source, closing(sqlite3.connect(copy / DATABASE_FILE)) as to:
        source.backup(to)
    return copy


def _rename(service: Service, farm: str, bed: str, name: str) -> None:
    service.fakes.wait(minutes=1)
    edit(service.engine, farm, "bed", bed, {"name": name}, None, service.fakes.time)


def _show_from_start(phone: Phone, service: Service) -> None:
    """Send all logs from their first lines, as a phone does that has seen a fork."""
    phone.exchange(service, phone.page({}))


def _ask(phone: Phone, service: Service) -> list[str]:
    """The devices of whose logs the service gives lines."""
    return [run.device for run in unpack(phone.send(service, pack(phone.page(service.holds(phone.farm)))).content).runs]
