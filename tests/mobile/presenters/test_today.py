"""The day without a window: what is in progress, what comes next, what waits and why, what is done."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from mobile.presenters.base.options import Option
from mobile.presenters.today import TodayPresenter
from mobile.sync.scheduler import SyncStatus
from shared_models.core.vocabulary import Feel
from shared_models.errors import OtherFarm, Unreachable
from tests.mobile.conftest import MORNING, Crew
from tests.mobile.support.quiet_phone import QuietContext


def sections(context: QuietContext) -> dict[str, list[Option]]:
    return {section.title: list(section.options) for section in TodayPresenter(context).view.sections}


def texts(context: QuietContext) -> dict[str, list[tuple[str, str]]]:
    return {title: [(each.text, each.detail) for each in options] for title, options in sections(context).items()}


def plant(crew: Crew, rows: int) -> None:
    for _ in range(rows):
        crew.notebook.start_row(crew.planting)
        crew.wait(600)
        crew.notebook.end_row(crew.planting)
        crew.wait(60)


def test_a_planting_says_how_large_it_is_and_whether_the_soil_was_checked(context: QuietContext) -> None:
    assert texts(context) == {"To plant": [("North 1 · scallion", "5 rows of 100 ft · soil not checked")]}


def test_the_soil_is_ready_until_its_check_is_old(context: QuietContext, crew: Crew) -> None:
    crew.notebook.check_soil(crew.bed, feel=Feel.MOIST)
    fresh = texts(context)["To plant"][0][1]
    crew.wait(30 * 3600)

    assert (fresh, texts(context)["To plant"][0][1]) == (
        "5 rows of 100 ft · soil ready",
        "5 rows of 100 ft · soil check is old",
    )


def test_a_wet_bed_waits_and_says_why(context: QuietContext, crew: Crew) -> None:
    crew.notebook.check_soil(crew.bed, feel=Feel.WET)

    (name, why), *_ = texts(context)["Waiting"]

    assert name == "North 1 · scallion"
    assert why.startswith("The soil is too wet")


def test_a_bed_that_is_begun_waits_no_more(context: QuietContext, crew: Crew) -> None:
    plant(crew, 2)
    crew.notebook.check_soil(crew.bed, feel=Feel.WET)

    assert texts(context) == {"In progress": [("North 1 · scallion", "2 of 5 rows planted")]}


def test_the_open_row_comes_first(context: QuietContext, crew: Crew) -> None:
    other = crew.notebook.add("planting", bed=crew.bed, sowing=crew.sowing)
    plant(crew, 1)
    crew.notebook.start_row(other)

    assert [detail for _, detail in texts(context)["In progress"]] == ["row 1 of 5 is open", "1 of 5 rows planted"]


def test_a_finished_bed_shows_its_rate_on_its_day_only(context: QuietContext, crew: Crew) -> None:
    plant(crew, 5)
    on_its_day = texts(context)
    crew.wait(24 * 3600)

    assert on_its_day == {"Done today": [("North 1 · scallion", "500 ft · 556 ft/h")]}
    assert texts(context) == {}


def test_plantings_of_other_days(context: QuietContext, crew: Crew) -> None:
    crew.notebook.void("planting", crew.planting)
    for days in (-2, 0, 3):
        planned = (MORNING + timedelta(days=days)).date().isoformat()
        crew.notebook.add("planting", bed=crew.bed, sowing=crew.sowing, planned_on=planned)

    assert [detail for _, detail in texts(context)["To plant"]] == [
        "5 rows of 100 ft · soil not checked · planned May 12",
        "5 rows of 100 ft · soil not checked",
    ]


def test_a_day_without_plantings_says_what_to_do(context: QuietContext, crew: Crew) -> None:
    crew.notebook.void("planting", crew.planting)

    view = TodayPresenter(context).view

    assert (view.title, view.nothing) == (
        "Today, May 14",
        "Nothing is planned. Add a planting under New. Or pair this phone under Sync.",
    )


def test_a_paired_phone_is_not_told_to_pair(context: QuietContext, crew: Crew) -> None:
    crew.notebook.void("planting", crew.planting)
    crew.notebook.change_settings(server="http://barn.test")

    assert TodayPresenter(context).view.nothing == "Nothing is planned. Add a planting under New."


def test_a_touch_leads_to_the_row_and_to_the_summary_when_all_is_planted(context: QuietContext, crew: Crew) -> None:
    TodayPresenter(context).pick(crew.planting)
    plant(crew, 5)
    TodayPresenter(context).pick(crew.planting)

    args = {"planting": crew.planting}
    assert context.navigator.went == [("row", args), ("summary", args)]


def test_the_other_rooms(context: QuietContext) -> None:
    for place in ("check", "new", "history", "sync"):
        TodayPresenter(context).visit(place)

    assert [place for place, _ in context.navigator.went] == ["check", "new", "history", "sync"]


@pytest.mark.parametrize(
    ("status", "expected"),
    [
        (SyncStatus(), "not synced yet"),
        (SyncStatus(under_way=True), "syncing now"),
        (SyncStatus(problem=Unreachable("No.")), "sync failed"),
        (SyncStatus(success=datetime(2026, 5, 13, 22, 5, tzinfo=UTC)), "last synced yesterday, 10:05\xa0PM"),
        (SyncStatus(success=MORNING, problem=Unreachable("No.")), "last synced 11:00\xa0AM"),
        (SyncStatus(success=MORNING, problem=OtherFarm()), "sync failed"),
        (SyncStatus(success=MORNING), "last synced 11:00\xa0AM"),
    ],
)
def test_the_strip_counts_what_only_this_phone_holds(
    context: QuietContext, crew: Crew, status: SyncStatus, expected: str
) -> None:
    crew.notebook.change_settings(server="http://barn.test")
    context.sync.status = status

    held = TodayPresenter(context).view.sync_notice

    assert (held.sign, held.text, held.tone) == ("▲", f"3 entries only on this phone · {expected}", "caution")


def test_the_strip_rests_when_all_is_synced(context: QuietContext, crew: Crew) -> None:
    crew.notebook.change_settings(server="http://barn.test", handed_over={crew.notebook.device: 3})
    context.sync.status = replace(context.sync.status, success=MORNING)

    held = TodayPresenter(context).view.sync_notice

    assert (held.sign, held.text, held.tone) == ("✓", "All synced · last synced 11:00\xa0AM", "plain")


def test_an_unpaired_phone_says_so(context: QuietContext) -> None:
    assert TodayPresenter(context).view.sync_notice.text == "3 entries only on this phone · not paired"


def test_metres_and_spanish(context: QuietContext, crew: Crew) -> None:
    crew.notebook.write("farm", crew.notebook.farm, {"name": "Granja", "zone": "America/New_York", "units": "metres"})
    crew.notebook.change_settings(language="es")
    context.tune()

    assert texts(context) == {"Por plantar": [("North 1 · scallion", "5 hileras de 30.5 m · suelo sin revisar")]}
