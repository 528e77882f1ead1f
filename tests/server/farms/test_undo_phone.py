"""Undo what a phone sent since some time."""

from datetime import timedelta
from typing import Any

import pytest

from server.farms import undo_phone
from server.farms.undo_phone import sent_since, set_back, undo_sent
from shared_models.log.store import reading
from shared_models.sync.wire import Page, pack
from tests.server.farms.test_pairing import succeed
from tests.server.support.service import Phone, Service
from tests.server.support.setup_client import records
from tests.shared_models.log.device import A_BED, A_ROW, an_id, line, run_of


class Undoing:
    """A farm with two phones whose beds are synced an hour before the liar writes."""

    def __init__(self, service: Service, farm: str) -> None:
        self.service, self.farm = service, farm
        self.liar, self.honest = service.phone(farm, "Field phone 2"), service.phone(farm, "Ana's phone")
        self.bed = self.honest.add_bed("North 1")
        self.old = self.liar.add_bed("South 1")
        self.sync()
        service.fakes.wait(hours=1)
        self.since = service.fakes.time
        service.fakes.wait(minutes=1)

    def sync(self) -> None:
        for phone in (self.honest, self.liar, self.honest, self.liar):
            phone.sync(self.service)

    def undo(self) -> int:
        self.service.fakes.wait(minutes=1)
        return undo_sent(
            self.service.engine, self.farm, self.liar.device, self.since, None, self.service.fakes.providers
        )

    def beds(self) -> dict[str, dict[str, Any]]:
        return {bed["id"]: bed for bed in records(self.service, self.farm, "bed")}


@pytest.fixture
def undoing(service: Service, farm: str) -> Undoing:
    return Undoing(service, farm)


def test_its_records_are_as_without_it_and_those_it_made_are_deleted(undoing: Undoing) -> None:
    undoing.liar.write("bed", undoing.bed, name="Forged", rows=2)
    undoing.liar.write("bed", undoing.old, voided=True)
    made = undoing.liar.add_bed("Forged 2")
    undoing.sync()

    assert undoing.undo() == 3

    beds = undoing.beds()
    assert (beds[undoing.bed]["name"], beds[undoing.bed]["rows"]) == ("North 1", 4)
    assert not beds[undoing.old]["voided"]
    assert beds[made]["voided"]
    assert undoing.service.faults(undoing.farm) == []
    undoing.sync()
    assert undoing.honest.beds == undoing.service.beds(undoing.farm)


def test_what_others_entered_stays(undoing: Undoing) -> None:
    undoing.liar.write("bed", undoing.bed, name="Forged", rows=2)
    undoing.sync()
    undoing.service.fakes.wait(minutes=1)
    undoing.honest.write("bed", undoing.bed, rows=3)
    undoing.sync()

    undoing.undo()

    bed = undoing.beds()[undoing.bed]
    assert (bed["name"], bed["rows"]) == ("North 1", 3)


def test_doing_it_again_changes_nothing(undoing: Undoing) -> None:
    undoing.liar.write("bed", undoing.bed, name="Forged")
    undoing.liar.add_bed("Forged 2")
    undoing.sync()

    assert [undoing.undo(), undoing.undo()] == [2, 0]


def test_a_unit_is_set_back_whole(undoing: Undoing) -> None:
    undoing.honest.write("bed", undoing.bed, latitude=42.6, longitude=-73.7)
    undoing.sync()
    undoing.since = undoing.service.fakes.time + timedelta(seconds=30)
    undoing.service.fakes.wait(minutes=1)
    undoing.liar.write("bed", undoing.bed, latitude=1.0, longitude=2.0)
    undoing.sync()

    undoing.undo()

    bed = undoing.beds()[undoing.bed]
    assert (bed["latitude"], bed["longitude"]) == (42.6, -73.7)


def test_it_goes_by_when_lines_came_in_not_by_what_their_stamps_say(undoing: Undoing) -> None:
    """A phone that lies about its clock is undone too; what came in before stays."""
    undoing.service.fakes.wait(days=-30)
    made = undoing.liar.add_bed("Forged 2")
    undoing.service.fakes.wait(days=30)
    undoing.sync()

    assert undoing.undo() == 1

    assert undoing.beds()[made]["voided"]
    assert not undoing.beds()[undoing.old]["voided"]


def test_its_successors_and_logs_of_nobody_that_it_brought_are_undone_too(undoing: Undoing) -> None:
    successor = Phone(undoing.farm, undoing.service.fakes)
    answer = succeed(undoing.service, undoing.liar, successor.device)
    successor.bearer = f"{successor.device}.{answer.json()['secret']}"
    later = successor.add_bed("Forged 2")
    successor.sync(undoing.service)
    nobody = run_of(undoing.service.fakes.new_device(), line(1, record=an_id(7), set=A_BED))
    undoing.liar.send(undoing.service, pack(Page(undoing.farm, {}, [nobody])))

    assert undoing.undo() == 2

    assert undoing.beds()[later]["voided"]
    assert undoing.beds()[an_id(7)]["voided"]


def test_what_it_handed_on_from_other_phones_stays(undoing: Undoing) -> None:
    made = undoing.honest.add_bed("North 2")
    undoing.liar.ingest(undoing.honest.page({}))
    undoing.liar.sync(undoing.service)

    assert undoing.undo() == 0

    assert not undoing.beds()[made]["voided"]


def test_what_would_break_a_rule_is_left_and_named(undoing: Undoing, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two misses became ten, and eight of them were filled: two again cannot be."""
    row = undoing.honest.write("row_pass", **A_ROW, misses=2)
    undoing.sync()
    undoing.service.fakes.wait(minutes=1)
    undoing.liar.write("row_pass", row, misses=10)
    undoing.liar.add_bed("Forged 2")
    undoing.sync()
    undoing.service.fakes.wait(minutes=1)
    undoing.honest.write("row_pass", row, filled=8)
    undoing.sync()
    monkeypatch.setattr(undo_phone, "_AT_ONCE", 1)

    assert undoing.undo() == 1

    with reading(undoing.service.engine) as connection:
        sent = sent_since(connection, undoing.farm, undoing.liar.device, undoing.since)
        (left,) = set_back(connection, undoing.farm, sent)
    assert (left.key.id, left.stuck, left.changes) == (row, True, {"misses": 2})
    (found,) = records(undoing.service, undoing.farm, "row_pass")
    assert (found["misses"], found["filled"]) == (10, 8)


def test_a_phone_without_lines_of_its_own_has_nothing_to_undo(undoing: Undoing) -> None:
    assert undoing.undo() == 0
