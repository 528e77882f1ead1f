"""A removed phone, and whoever goes on from it or hands on its lines."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from itertools import count
from pathlib import Path

import pytest
from sqlalchemy import Connection, Engine

from server.farms.devices import authenticate
from server.farms.exchange import exchange
from server.farms.phones import remove_phone
from shared_models.errors import WrongSecret
from shared_models.log import store
from shared_models.log.store import reading
from shared_models.sync.wire import Page, pack, unpack
from tests.server.exports.conftest import run as rowend
from tests.server.farms.test_pairing import succeed
from tests.server.support.service import Phone, Service


def remove(service: Service, phone: Phone) -> None:
    remove_phone(service.engine, phone.farm, phone.device, service.fakes.time)


def test_a_body_that_arrives_when_the_phone_was_removed_is_refused_and_gets_no_lines(any_service: Service) -> None:
    """The secret was checked before, when the request began."""
    farm = any_service.make_farm()
    phone = any_service.phone(farm)
    phone.add_bed("North 1")
    with reading(any_service.engine) as connection:
        known = authenticate(connection, phone.bearer)
    remove(any_service, phone)

    for page in (phone.page({}), Page(farm, {})):
        with pytest.raises(WrongSecret):
            exchange(any_service.engine, known, page, any_service.fakes.providers)

    assert any_service.beds(farm) == {}


def test_a_phone_that_is_removed_while_its_page_is_taken_in_stores_no_more(service: Service, farm: str) -> None:
    phone = service.phone(farm)
    for number in range(401):
        phone.add_bed(f"Bed {number}")

    service.fakes.seconds = (float(tick) for tick in count())
    with patched_writing(lambda: remove(service, phone)):
        answer = phone.send(service, pack(phone.page({})))

    assert answer.status_code == 401
    assert len(service.beds(farm)) == 200


@contextmanager
def patched_writing(between: Callable[[], None]) -> Iterator[None]:
    """After the first transaction of an intake, before the second one."""
    done = 0

    @contextmanager
    def writing(engine: Engine, farm: str) -> Iterator[Connection]:
        nonlocal done
        if done == 1:
            between()
        done += 1
        with store.writing(engine, farm) as connection:
            yield connection

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("server.farms.intake.writing", writing)
        yield


def test_its_successors_go_with_it(service: Service, farm: str) -> None:
    phone = service.phone(farm)
    second = successor_of(service, phone)
    service.fakes.wait(days=2)
    third = successor_of(service, second)

    remove(service, phone)

    assert [each.send(service, b"").status_code for each in (phone, second, third)] == [401] * 3
    assert succeed(service, second, third.device).status_code == 401


def test_a_removed_successor_cannot_be_renewed_by_the_phone_before_it(service: Service, farm: str) -> None:
    phone = service.phone(farm)
    second = successor_of(service, phone)
    remove(service, second)

    answer = succeed(service, phone, second.device)

    assert (answer.status_code, answer.json()["code"]) == (403, "not-allowed")
    assert second.send(service, b"").status_code == 401


def test_its_lines_are_not_taken_from_another_phone_and_others_are(any_service: Service) -> None:
    farm = any_service.make_farm()
    removed, other = any_service.phone(farm), any_service.phone(farm)
    removed.add_bed("North 1")
    removed.sync(any_service)
    removed.add_bed("Forged")
    other.ingest(removed.page({}))
    other.add_bed("South 1")
    remove(any_service, removed)

    answer = unpack(other.send(any_service, pack(other.page(any_service.holds(farm)))).content)

    assert [(each.code, each.device, each.seq) for each in answer.refused] == [("removed", removed.device, 2)]
    assert "an owner can bring its lines in from a bundle" in answer.refused[0].reason
    assert sorted(any_service.beds(farm).values()) == ["North 1", "South 1"]


def test_an_owner_brings_its_lines_in_from_a_bundle_by_naming_it(
    service: Service, farm: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    phone = service.phone(farm, "Ana's phone")
    phone.add_bed("North 1")
    remove(service, phone)
    card = tmp_path / "card"
    card.write_bytes(pack(phone.page({})))

    assert rowend(tmp_path, "take-in", card) == 1
    assert "--removed PHONE" in capsys.readouterr().err
    assert service.beds(farm) == {}
    assert rowend(tmp_path, "take-in", card, "--removed", "Ben's phone") == 2
    assert f"Ana's phone ({phone.device})" in capsys.readouterr().err
    assert rowend(tmp_path, "take-in", card, "--removed", "Ana's phone") == 0

    assert list(service.beds(farm).values()) == ["North 1"]


def test_a_phone_that_is_paired_again_hands_over_what_it_wrote_meanwhile(service: Service, farm: str) -> None:
    phone = service.phone(farm)
    remove(service, phone)
    phone.add_bed("North 1")

    phone.pair(service, service.code(farm))
    phone.sync(service)

    assert list(service.beds(farm).values()) == ["North 1"]


def successor_of(service: Service, phone: Phone) -> Phone:
    successor = Phone(phone.farm, service.fakes)
    answer = succeed(service, phone, successor.device)
    assert answer.status_code == 200, answer.text
    successor.bearer = f"{successor.device}.{answer.json()['secret']}"
    return successor
