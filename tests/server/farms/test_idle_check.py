"""While the service runs it finds damage by itself, tells the owner, and takes the words back once it is healed."""

import asyncio
from typing import Any

import pytest
from sqlalchemy import delete, select, update

from server.db.tables import DeviceKind
from server.farms import idle_check
from server.farms.edits import edit, office_device
from server.farms.idle_check import REST_S, TICK_S, IdleCheck, check_while_idle
from shared_models.core.vocabulary import Role
from shared_models.log.repair import wanted_runs
from shared_models.log.store import reading, writing
from shared_models.records.tables import Line, Log, table_of
from shared_models.sync.wire import Page
from tests.server.support.service import BROWSER, Phone, Service

LINE, LOG = table_of(Line), table_of(Log)


def harm(service: Service, device: str, *, gone: bool = False) -> None:
    mine = LINE.c.log_id == select(LOG.c.id).where(LOG.c.device == device).scalar_subquery()
    change: Any = delete(LINE) if gone else update(LINE).values(text="{")
    with writing(service.engine, "") as connection:
        connection.execute(change.where(mine, LINE.c.seq <= 2))


def finish_round(service: Service) -> int:
    """The number of slices, of two lines each."""
    check, steps = IdleCheck(service.engine, lines=2), 1
    while not check.step():
        steps += 1
    return steps


def home(service: Service) -> str:
    return service.client.get("/phones", headers=BROWSER).text


def give_what_is_wanted(service: Service, phone: Phone) -> None:
    answer = phone.exchange(service, Page(phone.farm, phone.holds))
    with reading(phone.engine) as connection:
        runs = list(wanted_runs(connection, phone.farm, answer.wanted))
    phone.exchange(service, Page(phone.farm, phone.holds, runs))


@pytest.mark.parametrize("gone", [False, True])
def test_damage_is_found_in_idle_time_and_the_owner_is_told_until_it_is_healed(
    any_service: Service, gone: bool
) -> None:
    farm = any_service.make_farm()
    phone = any_service.phone(farm, "Ana’s phone")
    for number in range(5):
        phone.add_bed(f"North {number}")
    phone.sync(any_service)
    any_service.open_office(farm)
    before = home(any_service)
    harm(any_service, phone.device, gone=gone)

    steps = finish_round(any_service)
    told = home(any_service)
    give_what_is_wanted(any_service, phone)
    finish_round(any_service)

    assert steps > 3, "it reads a little at a time"
    assert "damaged" not in before
    assert "2 entries of “Ana’s phone” are damaged on this computer. They come back with the next sync" in told
    assert "damaged" not in home(any_service)


def test_only_the_owner_is_told(service: Service, farm: str) -> None:
    phone = service.phone(farm)
    phone.add_bed("North 1")
    phone.sync(service)
    harm(service, phone.device)
    finish_round(service)

    service.open_office(farm, Role.GROWER)

    assert "damaged" not in service.client.get("/", headers=BROWSER).text


def test_of_wages_and_prices_it_says_that_no_phone_has_them(service: Service, farm: str) -> None:
    edit(
        service.engine,
        farm,
        "person",
        service.fakes.new_id(),
        {"name": "Ana", "wage_per_hour": 20.0},
        None,
        service.fakes.time,
    )
    with reading(service.engine) as connection:
        private = office_device(connection, farm, DeviceKind.PRIVATE)
    harm(service, private)
    finish_round(service)

    service.open_office(farm)

    assert "1 entry with wages or prices is damaged on this computer, and no phone has it." in home(service)


def test_a_damaged_file_is_told_until_it_is_whole(service: Service, farm: str, monkeypatch: pytest.MonkeyPatch) -> None:
    service.open_office(farm)
    monkeypatch.setattr(idle_check, "integrity_problems", lambda _: ["row 5 missing from an index"])
    finish_round(service)
    told = home(service)
    monkeypatch.undo()
    finish_round(service)

    assert "The database file on this computer is damaged." in told
    assert "damaged" not in home(service)


def test_it_pauses_after_each_slice_and_rests_after_all(service: Service, farm: str) -> None:
    """And ends when the service does."""
    phone = service.phone(farm)
    phone.add_bed("North 1")
    phone.sync(service)
    pauses: list[float] = []

    async def pause(stop: asyncio.Event, seconds: float) -> None:
        pauses.append(seconds)
        if pauses.count(REST_S) == 2:
            stop.set()

    asyncio.run(check_while_idle(IdleCheck(service.engine, lines=1), asyncio.Event(), pause))

    assert pauses[:3] == [TICK_S, TICK_S, TICK_S]
    assert pauses.count(REST_S) == 2
