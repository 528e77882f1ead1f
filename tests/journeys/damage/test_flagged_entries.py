"""One line that cannot be folded never holds up the others."""

from typing import Any

from sqlmodel import Session, select

from shared_models.log.store import reading
from shared_models.records.tables import Flagged
from shared_models.reports.audit.entries import problems_in
from shared_models.sync.wire import Page
from tests.journeys.together.test_newer_apps import line
from tests.server.support.service import Service
from tests.shared_models.log.device import run_of


def test_an_impossible_entry_is_flagged_and_corrected_by_a_further_line(any_service: Service) -> None:
    """A bed of -3 mm is kept and flagged with the reason, its neighbours stand, and a correction sets it right."""
    farm, fakes = any_service.make_farm(), any_service.fakes
    phone = any_service.phone(farm)
    good, bad = fakes.new_id(), fakes.new_id()
    texts = (
        line(fakes, 1, "bed", bad, name="North 1", length_mm=-3, rows=0),
        line(fakes, 2, "bed", good, name="North 2", length_mm=30_480, rows=4),
    )

    reply = phone.exchange(any_service, Page(farm, {}, [run_of(phone.device, *texts)]))
    flagged = _flagged(any_service)
    before = any_service.beds(farm)
    phone.write("bed", bad, length_mm=30_480, rows=4)
    phone.sync(any_service)

    assert reply.refused == ()
    assert list(flagged) == [bad]
    assert set(flagged[bad]) == {"length_mm", "rows"}
    assert before == {good: "North 2"}
    assert any_service.beds(farm) == {bad: "North 1", good: "North 2"}
    assert _flagged(any_service) == {}
    assert any_service.faults(farm) == []


def _flagged(service: Service) -> dict[str, Any]:
    with reading(service.engine) as connection, Session(connection) as session:
        return {flagged.id: problems_in(flagged.problems) for flagged in session.exec(select(Flagged))}
