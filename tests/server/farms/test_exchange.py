"""One sync request: what goes in, what comes back."""

from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from sqlmodel import Session

from server.db.tables import Device
from server.farms.exchange import SEEN_EVERY
from shared_models.log.store import reading
from shared_models.sync.wire import Page, pack, unpack
from tests.server.support.service import Phone, Service
from tests.shared_models.log.device import signed


def test_two_phones_hand_each_other_their_beds(any_service: Service) -> None:
    farm = any_service.make_farm()
    one, other = any_service.phone(farm), any_service.phone(farm)
    one.add_bed("North 1")
    other.add_bed("South 1")

    one.sync(any_service)
    other.sync(any_service)
    one.sync(any_service)

    assert sorted(any_service.beds(farm).values()) == ["North 1", "South 1"]
    assert one.beds == other.beds == any_service.beds(farm)
    assert any_service.faults(farm) == []


def test_the_farm_made_in_the_office_reaches_the_phone(service: Service, farm: str) -> None:
    phone = service.phone(farm)

    phone.sync(service)

    assert phone.holds == service.holds(farm)
    assert len(phone.holds) == 1


def test_a_line_that_breaks_its_chain_is_refused_and_other_logs_are_kept(service: Service, farm: str) -> None:
    good, bad = service.phone(farm), service.phone(farm)
    good.add_bed("North 1")
    bad.add_bed("South 1")
    (run,) = bad.page({}).runs
    good.ingest(Page(farm, {}, [run]))
    page = good.page({})
    broken = [signed(replace(run, digest="0" * 64)) if run.device == bad.device else run for run in page.runs]

    answer = unpack(good.send(service, pack(Page(farm, page.holds, broken))).content)

    assert [(verdict.device, verdict.seq, verdict.common) for verdict in answer.refused] == [(bad.device, 1, None)]
    assert answer.holds[good.device] == good.holds[good.device]
    assert bad.device not in answer.holds
    assert list(service.beds(farm).values()) == ["North 1"]


def test_two_histories_of_one_phone_are_told_as_a_fork_with_the_last_common_line(service: Service, farm: str) -> None:
    phone = service.phone(farm)
    phone.add_bed("North 1")
    phone.sync(service)
    restored = Phone(farm, service.fakes)
    restored.device, restored.bearer = phone.device, phone.bearer
    restored.ingest(phone.page({}))
    phone.add_bed("North 2")
    phone.sync(service)
    restored.add_bed("South 2")

    answer = unpack(restored.send(service, pack(restored.page({}))).content)

    (verdict,) = answer.refused
    assert (verdict.device, verdict.common) == (phone.device, 1)
    assert sorted(service.beds(farm).values()) == ["North 1", "North 2"]


def test_a_phone_that_is_behind_in_another_history_is_shown_lines_of_it(service: Service, farm: str) -> None:
    """A restored phone that wrote less than it had before cannot send its lines, but still learns of the fork."""
    phone = service.phone(farm)
    phone.add_bed("North 1")
    phone.add_bed("North 2")
    phone.sync(service)
    restored = Phone(farm, service.fakes)
    restored.device, restored.bearer = phone.device, phone.bearer
    restored.add_bed("South 1")

    answer = unpack(restored.send(service, pack(restored.page(service.holds(farm)))).content)

    (shown,) = [run for run in answer.runs if run.device == phone.device]
    assert (shown.after, len(shown.texts)) == (0, 1)


def test_a_smaller_page_can_be_asked_for(service: Service, farm: str) -> None:
    writer, reader = service.phone(farm), service.phone(farm)
    for number in range(300):
        writer.add_bed(f"Bed {number}")
    writer.sync(service)

    sizes, page = [], reader.exchange(service, Page(farm, reader.holds), page_bytes=1024)
    while page.runs:
        sizes.append(sum(len(text) for run in page.runs for text in run.texts))
        page = reader.exchange(service, Page(farm, reader.holds), page_bytes=1024)

    assert reader.beds == service.beds(farm)
    assert len(sizes) == 4
    assert max(sizes) < 64 * 1024


@pytest.mark.parametrize("page_bytes", ["0", "-1", "1e9", "all"])
def test_a_page_size_that_cannot_be_is_refused(service: Service, farm: str, page_bytes: str) -> None:
    phone = service.phone(farm)

    answer = phone.send(service, pack(phone.page({})), page_bytes=page_bytes)

    assert answer.status_code == 422
    assert "page_bytes" in answer.json()["problems"]


def test_when_a_phone_was_here_is_noted_now_and_then(service: Service, farm: str) -> None:
    phone = service.phone(farm)
    phone.sync(service)
    first = _last_seen(service, phone)

    service.fakes.wait(seconds=5)
    phone.sync(service)
    soon_after = _last_seen(service, phone)
    service.fakes.wait(seconds=SEEN_EVERY.total_seconds())
    phone.sync(service)

    assert soon_after == first
    assert _last_seen(service, phone) - first == SEEN_EVERY + timedelta(seconds=5)


def _last_seen(service: Service, phone: Phone) -> datetime:
    with reading(service.engine) as connection, Session(connection) as session:
        device = session.get(Device, phone.device)
        assert device is not None
        assert device.last_seen_at is not None
        return device.last_seen_at
