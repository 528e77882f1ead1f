"""A page cut anywhere leaves a valid prefix; the next sync goes on from there."""

from dataclasses import replace

import pytest

from shared_models.log import log
from shared_models.log.store import reading
from shared_models.sync.wire import Page, pack
from tests.server.support.service import Phone, Service


@pytest.mark.parametrize("share", [0.0, 0.01, 0.3, 0.7, 0.99])
def test_a_body_cut_on_the_way_stores_nothing_and_the_next_sync_goes_on(
    service: Service, farm: str, share: float
) -> None:
    """A page cut anywhere on its way is told as cut, nothing of it is stored, and the whole page is welcome."""
    phone = _phone_with_beds(service, farm)
    body = pack(phone.page({}))

    cut = phone.send(service, body[: int(len(body) * share)])

    assert (cut.status_code, cut.json()["code"]) == (400, "bad-body")
    assert service.beds(farm) == {}
    phone.sync(service)
    assert service.beds(farm) == phone.beds


@pytest.mark.parametrize("lines", [1, 3, 7])
def test_a_prefix_of_a_page_is_good_and_the_next_sync_sends_the_rest(any_service: Service, lines: int) -> None:
    """A page that holds only the first lines of a log is stored, and the next sync starts after them."""
    farm = any_service.make_farm()
    phone = _phone_with_beds(any_service, farm)
    with reading(phone.engine) as connection:
        head = log.find(connection, phone.device)
        assert head is not None
        part = log.run_from(connection, head, 0, max_bytes=lines * 100)
    assert part is not None

    reply = phone.exchange(any_service, Page(farm, {}, [part]))
    rest = phone.page(reply.holds)
    phone.exchange(any_service, rest)

    assert rest.runs[0].after == reply.holds[phone.device][0] == len(part.texts)
    assert any_service.beds(farm) == phone.beds
    assert any_service.faults(farm) == []


def test_a_run_whose_lines_were_cut_is_refused_as_a_whole(service: Service, farm: str) -> None:
    """Lines missing at the end of a run break its digest: none of them is stored, and the sender is told."""
    phone = _phone_with_beds(service, farm)
    (run,) = phone.page({}).runs

    reply = phone.exchange(service, Page(farm, {}, [replace(run, texts=run.texts[:4])]))

    assert [verdict.device for verdict in reply.refused] == [phone.device]
    assert service.beds(farm) == {}
    assert phone.sync(service).refused == ()
    assert service.beds(farm) == phone.beds


def test_a_run_that_starts_too_late_is_left_for_the_next_sync(service: Service, farm: str) -> None:
    """Lines beyond a gap are not stored; the answer says what is held, and the next sync fills the gap."""
    phone = _phone_with_beds(service, farm)
    (run,) = phone.page({}).runs

    reply = phone.exchange(service, Page(farm, {}, [replace(run, after=4, texts=run.texts[4:])]))

    assert phone.device not in reply.holds
    phone.sync(service)
    assert service.beds(farm) == phone.beds


def _phone_with_beds(service: Service, farm: str) -> Phone:
    phone = service.phone(farm)
    for number in range(12):
        phone.add_bed(f"Bed {number}")
    return phone
