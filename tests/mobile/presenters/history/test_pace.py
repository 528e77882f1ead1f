"""The day's pace without a window: what was quick, what is usual, what slowed it."""

import pytest

from mobile.presenters.base.bars import Bar, on_one_scale
from mobile.presenters.history.pace import PacePresenter
from shared_models.core.vocabulary import StopReason
from tests.mobile.conftest import Crew
from tests.mobile.support.quiet_phone import QuietContext

DAY_S = 24 * 3600


def plant(crew: Crew, seconds: float = 600, rows: int = 3, *people: str) -> str:
    """A planting of 100 ft rows, a minute of turning between them, then on to the next day at the same hour."""
    notebook = crew.notebook
    planting = notebook.add("planting", bed=crew.bed, sowing=crew.sowing)
    notebook.set_crew(planting, people)
    for row in range(rows):
        crew.wait(60 if row else 0)
        notebook.start_row(planting)
        crew.wait(seconds)
        notebook.end_row(planting)
    return planting


def next_day(crew: Crew) -> None:
    now = crew.phone.clock.true
    crew.wait(DAY_S - (now.hour - 11) * 3600 - now.minute * 60 - now.second)


def show(pace: PacePresenter, what: str, key: str) -> None:
    pace.attempt(pace.choose, what)
    pace.attempt(pace.pick, key)


def bar_texts(bars: tuple[Bar, ...]) -> list[tuple[str, str]]:
    return [(bar.text, bar.detail) for bar in bars]


def test_a_day_without_rows_says_so(context: QuietContext) -> None:
    view = PacePresenter(context).view

    assert (view.title, view.rate, view.against) == ("Pace · Today", "No rows finished this day.", "")
    assert (view.bars, view.slow_bars, view.notes) == ((), (), ())


def test_a_first_day_has_its_rates_and_nothing_to_compare_with(context: QuietContext, crew: Crew) -> None:
    """300 ft in 35 minutes."""
    plant(crew, 660)

    view = PacePresenter(context).view

    assert (view.rate, view.against, view.legend) == ("514 ft/h", "No earlier beds to compare.", "")
    assert bar_texts(view.bars) == [("11:00\xa0AM · 514 ft/h", "300 ft")]
    assert view.notes[:2] == (
        "3,086 plants/h · 514 ft/h each · 3,086 plants/h each",
        "300 ft in 35 min; chain moving 94% of the time.",
    )


def test_today_stands_against_the_middle_of_earlier_days(context: QuietContext, crew: Crew) -> None:
    """One row a day: 600, 300 and 400 ft/h; today 300."""
    for seconds in (600, 1200, 900, 1200):
        next_day(crew)
        plant(crew, seconds, 1)

    view = PacePresenter(context).view

    assert (view.rate, view.against) == ("300 ft/h", "75% of usual 400 ft/h, 3 days")
    assert bar_texts(view.bars) == [("11:00\xa0AM · 300 ft/h", "100 ft · 75% of usual 400 ft/h, 3 days")]
    assert (view.bars[0].size, view.bars[0].mark) == pytest.approx((0.75, 1))
    assert view.legend.startswith("The line is your usual")


def test_by_crew_and_by_person(context: QuietContext, crew: Crew) -> None:
    ines, june = (crew.notebook.add("person", name=name) for name in ("Ines", "June"))
    plant(crew, 600, 1, ines, june)
    plant(crew, 900, 1, june)
    plant(crew, 1200, 1)
    pace = PacePresenter(context)

    show(pace, "by", "crew")
    crews = [bar.text for bar in pace.view.bars]
    show(pace, "by", "person")

    assert crews == ["Ines + June · 600 ft/h", "June · 400 ft/h", "no crew entered · 300 ft/h"]
    assert [bar.text for bar in pace.view.bars] == ["Ines · 600 ft/h", "June · 450 ft/h", "no crew entered · 300 ft/h"]


def test_a_large_crew_is_told_by_its_first_names(context: QuietContext, crew: Crew) -> None:
    names = ("Ines Hernandez", "June Oxlade", "Maria Villanueva", "Tomas Ek")
    plant(crew, 600, 1, *(crew.notebook.add("person", name=name) for name in names))
    pace = PacePresenter(context)

    show(pace, "by", "crew")

    assert pace.view.bars[0].text == "Ines Hernandez, June Oxlade, Maria Villanueva and 1 more · 600 ft/h"


def test_a_crew_has_a_usual_of_its_own(context: QuietContext, crew: Crew) -> None:
    ines, june = (crew.notebook.add("person", name=name) for name in ("Ines", "June"))
    plant(crew, 600, 1, ines)
    plant(crew, 1200, 1, june)
    next_day(crew)
    plant(crew, 600, 1, ines)
    pace = PacePresenter(context)

    show(pace, "by", "crew")

    assert bar_texts(pace.view.bars) == [("Ines · 600 ft/h", "100 ft · 100% of usual 600 ft/h, 1 day")]


def test_by_bed_and_by_crop(context: QuietContext, crew: Crew) -> None:
    plant(crew, 600, 1)
    pace = PacePresenter(context)

    show(pace, "by", "bed")
    beds = [bar.text for bar in pace.view.bars]
    show(pace, "by", "crop")

    assert (beds, [bar.text for bar in pace.view.bars]) == (["North 1 · 600 ft/h"], ["scallion · 600 ft/h"])


def test_days_stand_side_by_side_the_last_one_first(context: QuietContext, crew: Crew) -> None:
    for seconds in (600, 1200):
        plant(crew, seconds, 1)
        next_day(crew)
    plant(crew, 900, 1)
    pace = PacePresenter(context)

    show(pace, "by", "day")

    assert [bar.text for bar in pace.view.bars] == ["Today · 400 ft/h", "Yesterday · 300 ft/h", "May 14 · 600 ft/h"]
    assert [bar.size for bar in pace.view.bars] == pytest.approx([4 / 6, 3 / 6, 1])
    assert [bar.mark for bar in pace.view.bars] == pytest.approx([4.5 / 6] * 3)


def test_plants_and_people(context: QuietContext, crew: Crew) -> None:
    people = [crew.notebook.add("person", name=name) for name in ("Ines", "June")]
    plant(crew, 600, 1, *people)
    pace = PacePresenter(context)

    shown = []
    for measure in ("plants", "row_person", "plants_person"):
        show(pace, "measure", measure)
        shown.append((pace.view.rate, pace.view.bars[0].text, pace.view.measure))

    assert shown == [
        ("3,600 plants/h", "11:00\xa0AM · 3,600 plants/h", "Plants an hour"),
        ("300 ft/h each", "11:00\xa0AM · 300 ft/h each", "Row feet an hour, each person"),
        ("1,800 plants/h each", "11:00\xa0AM · 1,800 plants/h each", "Plants an hour, each person"),
    ]


def test_an_earlier_day_can_be_looked_at(context: QuietContext, crew: Crew) -> None:
    plant(crew, 600, 1)
    next_day(crew)
    plant(crew, 900, 1)
    pace = PacePresenter(context)
    pace.attempt(pace.choose, "day")
    offered = [option.text for option in pace.view.options]

    pace.attempt(pace.pick, "2026-05-14")

    assert offered == ["Today", "Yesterday"]
    assert (pace.view.title, pace.view.rate) == ("Pace · Yesterday", "600 ft/h")
    assert pace.view.against == "No earlier beds to compare."


def test_the_last_day_with_rows_is_shown_first(context: QuietContext, crew: Crew) -> None:
    plant(crew, 600, 1)
    next_day(crew)
    next_day(crew)
    pace = PacePresenter(context)
    pace.attempt(pace.choose, "day")

    assert pace.view.title == "Pace · May 14"
    assert [(option.text, option.chosen) for option in pace.view.options] == [("Today", False), ("May 14", True)]


def test_what_slowed_the_day_stands_in_the_order_of_its_time(context: QuietContext, crew: Crew) -> None:
    notebook, planting = crew.notebook, crew.planting
    for reason, seconds in ((StopReason.TRAY_CHANGE, 20), (StopReason.CHAIN_BROKE, 90), (StopReason.TRAY_CHANGE, 25)):
        notebook.start_row(planting)
        crew.wait(300)
        notebook.stop(planting, reason)
        crew.wait(seconds)
        notebook.go_on(planting)
        notebook.end_row(planting)
        crew.wait(30)

    view = PacePresenter(context).view

    assert view.slowed == "What slowed you"
    assert [bar.text for bar in view.slow_bars] == [
        "Chain broke · 1 min 30 s · 1 time",
        "turning between rows · 1 min",
        "Tray change · 45 s · 2 times",
    ]
    assert [bar.size for bar in view.slow_bars] == pytest.approx([1, 60 / 90, 45 / 90])


def test_rows_that_cannot_be_counted_are_told(context: QuietContext, crew: Crew) -> None:
    plant(crew, 600, 1)
    crew.notebook.start_row(crew.planting)

    assert PacePresenter(context).view.notes[-1] == "1 row is open or has odd times."


def test_the_way_back_leads_out_of_the_choosing_first(context: QuietContext) -> None:
    pace = PacePresenter(context)
    pace.attempt(pace.choose, "by")
    choosing = bool(pace.view.options)
    pace.attempt(pace.back)
    closed = pace.view.options
    pace.attempt(pace.choose, "measure")
    pace.attempt(pace.choose, "measure")
    twice = pace.view.options
    pace.attempt(pace.back)

    assert (choosing, closed, twice) == (True, (), ())
    assert context.navigator.went == [("back", {})]


def test_metres_and_spanish(context: QuietContext, crew: Crew) -> None:
    crew.notebook.change_settings(language="es", units="metres")
    context.tune()
    plant(crew, 600, 1)

    view = PacePresenter(context).view

    assert (view.rate, view.bars[0].text, view.measure) == ("183 m/h", "11:00\xa0a.m. · 183 m/h", "Metros por hora")


def test_bars_stand_on_one_scale_with_their_marks() -> None:
    bars = on_one_scale([Bar("a", "", 30, 60), Bar("b", "", 0)])

    assert [(bar.size, bar.mark) for bar in bars] == [(0.5, 1), (0, None)]
    assert on_one_scale([Bar("c", "", 0)])[0].size == 0
    assert on_one_scale([]) == ()
