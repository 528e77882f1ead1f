"""The soil check without a window: guided by texture, judged at once, kept as it was seen."""

from datetime import UTC, datetime

import pytest
from sqlmodel import select

from mobile.presenters.checks.soil import SoilCheckForm
from shared_models.records.tables import Bed, SoilCheck
from tests.mobile.conftest import Crew
from tests.mobile.presenters.base.test_form import answer, last
from tests.mobile.support.quiet_phone import QuietContext


@pytest.fixture
def form(context: QuietContext, crew: Crew) -> SoilCheckForm:
    crew.notebook.write("bed", crew.bed, {"texture": "fine"})
    form = SoilCheckForm(context)
    answer(form, crew.bed)
    return form


def test_the_feel_test_is_guided_by_the_beds_texture(form: SoilCheckForm) -> None:
    moist = next(option for option in form.view.options if option.key == "moist")

    assert form.view.title == "Soil check, 2 of 7"
    assert moist.detail == "A smooth ball with finger marks; the hand is lightly stained; it ribbons."


def test_how_it_is_done_can_be_asked_and_put_away(form: SoilCheckForm) -> None:
    form.attempt(form.pick, "how")
    steps = form.view.how
    form.attempt(form.pick, "how")

    assert steps.startswith("1. Take a handful of soil")
    assert steps.count("\n") == 5
    assert form.view.how == ""


@pytest.mark.parametrize(
    ("feel", "sign", "expected"),
    [
        ("moist", "✓", "Ready"),
        ("wet", "▲", "Wait. The soil is too wet: it sticks to the furrow opener, smears and will not close"),
        ("dry", "▲", "Wait. The soil is too dry"),
    ],
)
def test_the_verdict_shows_as_soon_as_the_soil_is_felt(
    form: SoilCheckForm, feel: str, sign: str, expected: str
) -> None:
    before = form.view.notice.text

    answer(form, feel)

    assert before == ""
    assert form.view.notice.sign == sign
    assert form.view.notice.text.startswith(expected)


@pytest.mark.parametrize(("block", "expected"), [("Creek", "Creek"), ("north", ""), ("", "")])
def test_a_bed_tells_its_block_unless_its_name_does(
    context: QuietContext, crew: Crew, block: str, expected: str
) -> None:
    """With thirty beds, a second line that repeats the first one halves what is in view."""
    crew.notebook.write("bed", crew.bed, {"block": block})

    (bed, _) = SoilCheckForm(context).view.options

    assert (bed.text, bed.detail) == ("North 1", expected)


def test_the_worst_finding_is_the_verdict(form: SoilCheckForm) -> None:
    answer(form, "moist", 40)

    assert form.view.notice.text.startswith("Not fit. There is so much residue that the furrow will clog.")
    assert form.view.notice.sign == "✕"


def test_what_would_change_it_is_told_when_all_was_looked_at(form: SoilCheckForm) -> None:
    """Question after question it would only take the place of the answers."""
    answer(form, "wet")
    at_once = form.view.notice.text
    while form.view.kind != "review":
        form.attempt(form.forward)

    assert at_once.endswith("will not close over the chain.")
    assert form.view.notice.text.endswith("will not close over the chain. Let it dry and feel the soil again.")


def test_what_was_seen_is_kept(form: SoilCheckForm, context: QuietContext, crew: Crew) -> None:
    answer(form, "moist", 10, "few", "none")
    tilled = form.view.options[3]
    answer(form, tilled.key, 59)
    review = [(option.text, option.detail) for option in form.view.options]

    form.attempt(form.forward)

    assert review == [
        ("Bed", "North 1"),
        ("Feel", "Moist"),
        ("Residue", "10 %"),
        ("Stones", "Few"),
        ("Clods", "None"),
        ("Tilled", "Yesterday, about 23 hours ago"),
        ("Soil temperature", "59 °F"),
    ]
    check = last(context, SoilCheck)
    assert (check.bed, check.feel, check.residue_pct, check.stones, check.clods) == (
        crew.bed,
        "moist",
        10,
        "few",
        "none",
    )
    assert (check.tilled_at, check.soil_c) == (datetime(2026, 5, 13, 12, tzinfo=UTC), 15.0)
    assert context.navigator.last == "today"


def test_only_the_feel_is_needed(form: SoilCheckForm, context: QuietContext) -> None:
    can_skip_feel = form.view.can_forward
    answer(form, "moist", None, None, None, None, None)
    form.attempt(form.forward)

    check = last(context, SoilCheck)
    assert not can_skip_feel
    assert (check.feel, check.residue_pct, check.stones, check.tilled_at, check.soil_c) == (
        "moist",
        None,
        None,
        None,
        None,
    )


def test_tilled_offers_hours_of_today_and_noons_before(form: SoilCheckForm) -> None:
    answer(form, "moist", None, None, None)

    assert [(option.text, option.detail) for option in form.view.options] == [
        ("Today", "about 1 hour ago"),
        ("Today", "about 3 hours ago"),
        ("Today", "about 6 hours ago"),
        ("Yesterday", "about 23 hours ago"),
        ("May 12", "about 47 hours ago"),
        ("May 11", "about 3 days ago"),
        ("May 10", "about 4 days ago"),
        ("May 7", "about 7 days ago"),
        ("Apr 30", "about 14 days ago"),
    ]


def test_a_texture_that_is_not_known_is_asked_once_and_stays_with_the_bed(context: QuietContext, crew: Crew) -> None:
    form = SoilCheckForm(context)
    answer(form, crew.bed)
    ask = form.view.ask
    answer(form, "coarse", "wet", None, None, None, None, None)
    form.attempt(form.forward)

    with context.notebook.reading() as session:
        bed = session.exec(select(Bed)).one()
    assert (ask, bed.texture) == ("What kind of soil?", "coarse")


def test_a_coarse_soil_may_be_wetter(context: QuietContext, crew: Crew) -> None:
    form = SoilCheckForm(context)
    answer(form, crew.bed, "coarse", "wet")

    assert form.view.notice.text == "Ready"


def test_without_a_texture_the_feels_are_named_only(context: QuietContext, crew: Crew) -> None:
    form = SoilCheckForm(context)
    answer(form, crew.bed, None)

    assert {option.detail for option in form.view.options} == {""}


def test_checks_use_the_farms_own_limits(form: SoilCheckForm, crew: Crew) -> None:
    farm = {"name": "Heronbrook", "thresholds": {"residue_wait_pct": 25.0}}
    crew.notebook.write("farm", crew.notebook.farm, farm)
    form.reload()

    answer(form, "moist", 20)

    assert form.view.notice.text == "Ready"


def test_a_new_bed_can_be_made_on_the_way(context: QuietContext) -> None:
    form = SoilCheckForm(context)

    form.attempt(form.pick, "new")

    assert context.navigator.last == "bed"


def test_degrees_celsius(context: QuietContext, crew: Crew) -> None:
    crew.notebook.change_settings(units="metres")
    context.tune()
    form = SoilCheckForm(context)
    answer(form, crew.bed, None, "moist", None, None, None, None)
    unit = form.view.number.unit
    answer(form, 6)

    assert unit == "°C"
    assert "too cold" in form.view.notice.text
