"""No device holds up its farm, or another one."""

import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from itertools import count

import httpx2
import pytest
from sqlalchemy import select

from server.db.tables import SyncRefusal
from server.farms import sync_limits
from server.farms.devices import authenticate
from server.farms.edits import edit
from server.farms.exchange import exchange
from server.farms.phones import let_send_again
from server.runtime.providers import real_providers
from shared_models.log.log import Run
from shared_models.log.store import reading
from shared_models.records.tables import table_of
from shared_models.sync.wire import Page, pack
from tests.server.support.service import Phone, Service
from tests.shared_models.log.device import A_BED, an_id, line, run_of


def send(service: Service, phone: Phone, *runs: Run) -> httpx2.Response:
    return phone.send(service, pack(Page(phone.farm, {}, runs)))


def lines_on(record: str, lines: int, after: int = 0) -> list[str]:
    return [line(seq, stamp=seq, record=record, set=A_BED) for seq in range(after + 1, after + lines + 1)]


def test_too_many_new_logs_are_refused_for_that_phone_only(service: Service, farm: str) -> None:
    phone, other = service.phone(farm), service.phone(farm)
    other.add_bed("North 1")
    logs = [run_of(service.fakes.new_device(), line(1)) for _ in range(sync_limits.HOURLY["logs"] + 1)]

    answer = send(service, phone, *logs)

    assert (answer.status_code, answer.json()["code"]) == (429, "over-limit")
    assert "Your entries are safe on this phone" in answer.json()["detail"]
    assert 0 < int(answer.headers["retry-after"]) <= 3600
    assert len(service.holds(farm)) == 1
    other.sync(service)
    assert list(service.beds(farm).values()) == ["North 1"]
    assert send(service, phone, *logs[:-1]).status_code == 200


@pytest.mark.parametrize(("name", "most"), [("logs", 2), ("lines", 4), ("bytes", 700)])
def test_what_was_sent_counts_for_an_hour_and_in_all(
    service: Service, farm: str, monkeypatch: pytest.MonkeyPatch, name: str, most: int
) -> None:
    """Two such pages an hour and four in all."""
    phone = service.phone(farm)
    monkeypatch.setitem(sync_limits.HOURLY, name, most)
    monkeypatch.setitem(sync_limits.IN_ALL, name, 2 * most)

    def send_three() -> list[int]:
        runs = (run_of(service.fakes.new_device(), line(1), line(2)) for _ in range(3))
        statuses = [send(service, phone, run).status_code for run in runs]
        service.fakes.wait(hours=1)
        return statuses

    assert [send_three(), send_three(), send_three()] == [[200, 200, 429], [200, 200, 429], [429] * 3]


def test_lines_that_are_held_already_are_not_counted_again(
    service: Service, farm: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    phone = service.phone(farm)
    monkeypatch.setitem(sync_limits.HOURLY, "lines", 3)
    run = run_of(phone.device, line(1), line(2), line(3))

    assert [send(service, phone, run).status_code for _ in range(3)] == [200] * 3


def test_time_in_the_lock_is_limited(service: Service, farm: str, monkeypatch: pytest.MonkeyPatch) -> None:
    phone, other = service.phone(farm), service.phone(farm)
    monkeypatch.setitem(sync_limits.HOURLY, "lock_ms", 5_000)
    service.fakes.seconds = (float(tick) for tick in count())
    run = run_of(phone.device, *(line(seq, stamp=seq) for seq in range(1, 1001)))

    first, second = send(service, phone, run), send(service, phone, run)

    assert (first.status_code, second.status_code) == (200, 429)
    assert send(service, other, run_of(other.device, line(1))).status_code == 200


def test_one_phone_puts_no_more_lines_on_a_record_than_can_be_folded_quickly(any_service: Service) -> None:
    """Also not by further logs; another phone may still correct that record."""
    farm = any_service.make_farm()
    phone, other, bed = any_service.phone(farm), any_service.phone(farm), an_id(0xB1)
    most = sync_limits.LINES_ON_RECORD
    assert send(any_service, phone, run_of(phone.device, *lines_on(bed, most))).status_code == 200

    answers = [
        send(any_service, phone, run_of(phone.device, *lines_on(bed, most), *lines_on(bed, 1, most))),
        send(any_service, phone, run_of(any_service.fakes.new_device(), *lines_on(bed, 1))),
        send(any_service, phone, run_of(any_service.fakes.new_device(), *lines_on(an_id(0xB2), 1))),
        send(any_service, other, run_of(other.device, *lines_on(bed, 1))),
    ]

    assert [answer.status_code for answer in answers] == [429, 429, 200, 200]


def test_an_owner_lets_a_phone_send_again(service: Service, farm: str, monkeypatch: pytest.MonkeyPatch) -> None:
    phone = service.phone(farm)
    monkeypatch.setattr(sync_limits, "LINES_ON_RECORD", 5)
    run = run_of(phone.device, *lines_on(an_id(1), 8))

    before = send(service, phone, run)
    let_send_again(service.engine, farm, phone.device, service.fakes.time)

    assert (before.status_code, send(service, phone, run).status_code) == (429, 200)


def test_a_limit_that_is_reached_again_and_again_is_written_down_once_a_minute(
    service: Service, farm: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    phone = service.phone(farm)
    monkeypatch.setitem(sync_limits.HOURLY, "lines", 1)
    run = run_of(phone.device, line(1), line(2))

    for _ in range(4):
        send(service, phone, run)
    service.fakes.wait(minutes=2)
    send(service, phone, run)

    table = table_of(SyncRefusal)
    with reading(service.engine) as connection:
        rows = connection.execute(select(table.c.sender, table.c.log, table.c.code, table.c.times)).all()
    assert [tuple(row) for row in rows] == [(phone.device, "", "hour-lines", 2)]


def test_another_farm_writes_while_one_sends_the_worst_page(service: Service, farm: str) -> None:
    """Many records, and many lines on each: no single transaction lasts long."""
    phone, elsewhere = service.phone(farm), service.make_farm("Oak Hollow")
    records = [an_id(number) for number in range(40)]
    heavy = [line(seq, stamp=seq, record=record, set=A_BED) for seq, record in enumerate(records * 50, 1)]
    light = [line(seq, stamp=seq, record=an_id(seq), set=A_BED) for seq in range(2001, 5001)]
    providers = real_providers()
    with reading(service.engine) as connection:
        known = authenticate(connection, phone.bearer)
    page = Page(farm, {}, [run_of(phone.device, *heavy, *light)])
    waits = []

    with ThreadPoolExecutor(1) as pool:
        sending = pool.submit(exchange, service.engine, known, page, replace(providers, now=lambda: service.fakes.time))
        while not sending.done():
            begun = time.monotonic()
            edit(service.engine, elsewhere, "bed", providers.new_id(), A_BED, None, service.fakes.time)
            waits.append(time.monotonic() - begun)

    assert sending.result().holds[phone.device][0] == 5000
    assert waits
    assert max(waits) < 1
