"""Two corrections that don't fit together: every page shows the last good values, and asks."""

from typing import Any

import pytest

from tests.server.support.service import Service
from tests.shared_models.reports.support.farmbook import FarmBook, HandDay

CONFLICT = "Two corrections of this entry don&#39;t fit together."
LAST_GOOD = "Its last good values count until it is corrected."
BREAKING: list[tuple[str, str, dict[str, Any], str]] = [
    ("row_pass", "second", {"filled": 90}, CONFLICT),
    (
        "row_pass",
        "second",
        {"started_at": "2031-05-14T12:00:00Z"},
        "Two corrections of this entry don&#39;t fit together.",
    ),
    ("bed", "north", {"rows": 0}, LAST_GOOD),
    ("row_pass", "second", {"stops": [{"reason": "tea"}]}, LAST_GOOD),
]


@pytest.mark.parametrize(("kind", "which", "changed", "sentence"), BREAKING)
def test_a_record_that_broke_by_merging_stays_on_every_page_and_is_asked_about(
    service: Service, farm: str, kind: str, which: str, changed: dict[str, Any], sentence: str
) -> None:
    day = HandDay(FarmBook(service.engine, id=farm))
    record = getattr(day, which)
    service.open_office(farm)
    asked = ["/soil", "/season", "/stand", "/pace"]
    before = {path: service.client.get(path, headers={"Accept": "text/html"}).text.count("Bed 1") for path in asked}
    day.book.correct_elsewhere(kind, record, **changed)

    pages = ["/", "/?day=2026-05-04", "/log", f"/log/{kind}/{record}", f"/record/{day.north}", "/plan", "/setup"]
    answers = {path: service.client.get(path, headers={"Accept": "text/html"}) for path in (*pages, *asked)}

    assert {path: answer.status_code for path, answer in answers.items()} == dict.fromkeys(answers, 200)
    assert [sentence in answers[path].text for path in ("/?day=2026-05-04", "/log", pages[3], pages[4])] == [True] * 4
    assert {path: answers[path].text.count("Bed 1") for path in asked} == before
