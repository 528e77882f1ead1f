"""Whatever record is flagged, by two corrections that met or from its start, the row goes on, and the phone asks."""

from collections.abc import Callable
from typing import Any

import pytest
from sqlmodel import select

from mobile.log.rows import RowTap
from mobile.presenters.base.presenter import Presenter
from mobile.presenters.history.entries import EntriesPresenter
from mobile.presenters.history.entry import EntryPresenter
from mobile.presenters.row.row import RowPresenter, opening
from mobile.presenters.row.row_settings import RowSettingsPresenter
from mobile.presenters.row.stop import StopPresenter
from mobile.presenters.row.summary import SummaryPresenter
from mobile.presenters.today import TodayPresenter
from shared_models.core.vocabulary import StopReason
from shared_models.log.verify import verify
from shared_models.records.models import moment_fields
from shared_models.records.tables import Flagged, Sowing
from tests.mobile.conftest import Crew
from tests.mobile.support.other_phone import bring
from tests.mobile.support.quiet_phone import QuietContext

NEXT_YEAR = "2027-05-14T11:00:00+00:00"
STOP_NEXT_YEAR = {"reason": "rest", "began": {"at": NEXT_YEAR}}
#: what another phone or program may set in a record that was good
BREAKING: list[tuple[str, dict[str, Any]]] = [
    ("farm", {"zone": "Mars/Olympus"}),
    ("person", {"name": ""}),
    ("bed", {"rows": 0}),
    ("bed", {"length_mm": "long", "name": None}),
    ("sowing", {"ready_from": "2026-06-02", "ready_until": "2026-05-02"}),
    ("sowing", {"spacing_mm": None}),
    ("planting", {"bed": "nonsense", "sowing": 7}),
    ("tray_check", {"cells_seen": 1, "cells_empty": 2}),
    ("soil_check", {"soil_c": 900}),
    ("weather", {"t_min_c": 30, "t_max_c": 10}),
    ("stand_count", {"sample_length_mm": 1000, "plants": 1, "positions_mm": [2000]}),
    ("row_pass", {"filled": 5}),
    ("row_pass", {"misses": -1}),
    ("row_pass", {"planting": "nonsense"}),
    ("row_pass", {"row": 0, "length_mm": 0}),
    ("row_pass", {"crew": "everybody"}),
    ("row_pass", {"started_at": NEXT_YEAR}),
    ("row_pass", {"started_at": None}),
    ("row_pass", {"ended_at": "2026-05-13T11:00:00+00:00"}),
    ("row_pass", {"stops": [STOP_NEXT_YEAR]}),
    ("row_pass", {"stops": [STOP_NEXT_YEAR | {"ended": {"at": "2026-05-13T11:00:00Z"}}]}),
    ("row_pass", {"stops": [{"reason": "tea"}], "doubles": None}),
]
IDS = [f"{kind} {' '.join(fields)}" for kind, fields in BREAKING]


@pytest.fixture
def records(crew: Crew) -> dict[str, str]:
    """One good record of each kind, of the bed whose row is open."""
    notebook, on = crew.notebook, crew.notebook.now().at.date()
    notebook.write("farm", notebook.farm, {"name": "Heronbrook"})
    person = notebook.add("person", name="Ana")
    notebook.set_crew(crew.planting, [person])
    return {
        "farm": notebook.farm,
        "person": person,
        "bed": crew.bed,
        "sowing": crew.sowing,
        "planting": crew.planting,
        "tray_check": notebook.check_trays(crew.sowing, on, 50, 2),
        "soil_check": notebook.check_soil(crew.bed, residue_pct=10),
        "weather": notebook.add("weather", on=on.isoformat(), t_min_c=10, t_max_c=20),
        "stand_count": notebook.count_stand(crew.planting, 1, 3048, 40),
        "row_pass": notebook.start_row(crew.planting),
    }


def tap(crew: Crew, presenter: Presenter, action: Callable[..., None], *args: Any) -> None:
    presenter.attempt(action, *args)
    assert presenter.view
    assert presenter.trouble == ""
    crew.wait(60)


def play(crew: Crew, context: QuietContext, planting: str) -> RowPresenter:
    """Count, stop, undo, end and start again, from the row that is open."""
    row = RowPresenter(context, planting)
    crew.wait(60)
    misses = crew.notebook.row_state(planting).require_at_hand().misses
    tap(crew, row, row.miss)
    assert row.view.misses == str(misses + 1)
    tap(crew, row, row.undo)
    tap(crew, row, row.undo)
    assert row.view.misses == str(misses + 1)
    if row.view.sign == "■":
        tap(crew, StopPresenter(context, planting), StopPresenter(context, planting).pick, StopReason.REST)
        row.reload()
    tap(crew, row, row.press)
    assert row.view.sign == "■"
    settings = RowSettingsPresenter(context, planting)
    tap(crew, settings, settings.double)
    row.reload()
    tap(crew, row, row.press)
    assert row.view.sign == "▶"
    tap(crew, row, row.press)
    assert row.view.sign == "■"
    tap(crew, row, row.press)
    for other in (SummaryPresenter(context, planting), TodayPresenter(context)):
        other.reload()
        assert other.view
        assert other.trouble == ""
    return row


def unsound(crew: Crew) -> list[str]:
    with crew.notebook.reading() as session:
        return list(verify(session.connection(), crew.notebook.farm))


@pytest.mark.parametrize(("kind", "changed"), BREAKING, ids=IDS)
def test_the_row_goes_on_when_a_good_record_comes_to_break_a_rule(
    crew: Crew, context: QuietContext, records: dict[str, str], kind: str, changed: dict[str, Any]
) -> None:
    """While its row is open; the record is asked about where it can be corrected, and the row's taps take effect."""
    bring(crew.notebook, kind, records[kind], **changed)
    place = opening(context)[1]

    play(crew, context, crew.planting)

    assert place == {"planting": crew.planting}
    first, second = crew.state.own
    assert (first.id, first.ended is None, second.row, second.ended is None) == (records["row_pass"], False, 2, False)
    assert EntryPresenter(context, kind, records[kind]).view
    assert EntriesPresenter(context).view
    assert unsound(crew) == []


@pytest.mark.parametrize("kind", ["bed", "sowing", "planting"])
def test_rows_go_on_where_what_they_belong_to_never_was_valid(crew: Crew, context: QuietContext, kind: str) -> None:
    notebook = crew.notebook
    odd = {name: notebook.new_id() for name in ("bed", "sowing", "planting")}
    bring(notebook, kind, odd[kind], bed=7, sowing="none", rows="many", crop=[])
    place = {"bed": crew.bed, "sowing": crew.sowing} | ({kind: odd[kind]} if kind != "planting" else {})
    planting = odd["planting"] if kind == "planting" else notebook.add("planting", **place)
    begun = moment_fields("started", notebook.now())
    notebook.add("row_pass", planting=planting, row=1, length_mm=20_000, **begun)
    where = opening(context)[1]

    row = play(crew, context, planting)

    assert where == {"planting": planting}
    assert [each.row for each in notebook.row_state(planting).own] == [1, 2]
    assert notebook.row_state(planting).own[1].length_mm == (30_480 if kind == "sowing" else 20_000)
    assert ("unknown" in row.view.bed) is True
    assert unsound(crew) == []


@pytest.mark.parametrize("kind", ["farm", "person", "row_pass", "tray_check", "soil_check", "weather", "stand_count"])
def test_rows_go_on_beside_a_record_that_never_was_valid(crew: Crew, context: QuietContext, kind: str) -> None:
    record = crew.notebook.farm if kind == "farm" else crew.notebook.new_id()
    here: dict[str, Any] = {"planting": crew.planting, "bed": crew.bed, "sowing": crew.sowing}
    crew.notebook.start_row(crew.planting)
    bring(crew.notebook, kind, record, row=-1, name=7, on="soon", **here)

    play(crew, context, crew.planting)

    assert [each.row for each in crew.state.own] == [1, 2]
    assert EntryPresenter(context, kind, record).view.notice.text.startswith("Left out of reports")


def test_a_planting_whose_sowing_never_was_valid_is_planted_from_the_day_s_list(
    crew: Crew, context: QuietContext
) -> None:
    sowing = crew.notebook.new_id()
    bring(crew.notebook, "sowing", sowing, crop="leek", spacing_mm=-1)
    planting = crew.notebook.add("planting", bed=crew.bed, sowing=sowing)

    names = [option.text for section in TodayPresenter(context).view.sections for option in section.options]
    tapped, state = crew.notebook.tap_row(planting)

    assert "North 1 · unknown crop" in names
    assert (tapped, state.require_open().row, state.length_mm) == (RowTap.STARTED, 1, 30_480)


def test_two_corrections_of_a_readiness_window_do_not_break_it(crew: Crew, context: QuietContext) -> None:
    """The first and last day are saved together: the later correction holds, whole."""
    notebook = crew.notebook
    notebook.correct("sowing", crew.sowing, {"ready_from": "2026-05-10", "ready_until": "2026-05-20"})
    notebook.start_row(crew.planting)
    notebook.correct("sowing", crew.sowing, {"ready_from": "2026-05-18"})
    bring(notebook, "sowing", crew.sowing, ready_from="2026-05-10", ready_until="2026-05-14")

    play(crew, context, crew.planting)

    with notebook.reading() as session:
        (sowing,) = session.exec(select(Sowing))
        assert (str(sowing.ready_from), str(sowing.ready_until)) == ("2026-05-10", "2026-05-14")
        assert session.exec(select(Flagged)).all() == []


def test_corrections_that_do_not_fit_together_are_named_and_can_be_corrected(
    crew: Crew, context: QuietContext, records: dict[str, str]
) -> None:
    row = records["row_pass"]
    crew.notebook.miss(crew.planting, 4)
    bring(crew.notebook, "row_pass", row, filled=3)
    crew.notebook.correct("row_pass", row, {"filled": 3, "note": "north end"})
    bring(crew.notebook, "row_pass", row, misses=1)

    first = EntriesPresenter(context).view.sections[0]
    notice = EntryPresenter(context, "row_pass", row).view.notice.text
    held = crew.state.require_open()
    crew.notebook.correct("row_pass", row, {"filled": 1})
    after = crew.state.require_open()

    assert (first.title, first.options[0].key) == ("To fix; last good values count until then", f"row_pass {row}")
    assert notice == (
        "Two corrections of this entry don't fit together. Its last good values count until it is corrected. "
        "More misses were filled than were logged."
    )
    assert (held.misses, held.filled, held.note) == (1, 0, "north end")
    assert (after.misses, after.filled) == (1, 1)
    assert EntryPresenter(context, "row_pass", row).view.notice.text == ""
    assert not EntriesPresenter(context).view.sections[0].title.startswith("To fix")
