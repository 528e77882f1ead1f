"""What people work out with figures of their own: figures known from outside, refusals, and the pages they stand on."""

from collections.abc import Callable, Iterator, Mapping
from urllib.parse import parse_qsl
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from playwright.sync_api import Page, expect

from server.office.methods.calculators.calculator import Calculator, CalculatorContext, Result, work_out
from server.office.methods.calculators.raising import CROPS
from server.office.methods.calculators.registry import CALCULATORS
from server.render.localizer import Localizer
from server.web.language import LANGUAGE_COOKIE
from shared_models.core.vocabulary import LengthUnits, Role
from shared_models.methods import topics
from shared_models.reports.common.farm import FarmFacts
from shared_models.trade.raising.emergence import Basis, emergence, sprouting_range
from tests.fixtures.axe import grave_findings
from tests.server.support.service import Service

ENGLISH, METRIC = Localizer("en"), Localizer("en", LengthUnits.METRES)
SPANISH = Localizer("es", LengthUnits.METRES, ZoneInfo("America/Costa_Rica"))
CONTEXT = CalculatorContext(FarmFacts("f"), Localizer("en"))
BY_NAME = {each.name: each for several in CALCULATORS.values() for each in several}
BROWSER = {"Accept": "text/html"}


def calculate(asked: str, localizer: Localizer = ENGLISH, farm: FarmFacts | None = None) -> Result:
    """What is shown for a calculator and its figures, written as in `bed?length=100&rows=5`."""
    name, _, query = asked.partition("?")
    return work_out(BY_NAME[name], address(name, query), CalculatorContext(farm or FarmFacts("f"), localizer))


def address(name: str, query: str) -> dict[str, str]:
    """The figures as they stand in the address of the page."""
    return {f"{name}.{field}": text for field, text in parse_qsl(query, keep_blank_values=True)}


def told(worked: Result) -> str:
    """The answer in one text; no-break spaces as spaces."""
    assert worked.answer is not None, problems(worked)
    facts = (f"{fact.name}: {fact.value}" for fact in worked.answer.facts)
    return "; ".join([worked.answer.sentence, *facts]).replace("\N{NO-BREAK SPACE}", " ")


def problems(worked: Result) -> dict[str, str]:
    """Why there is no answer, by field."""
    beside = {each.name.partition(".")[2]: each.problem for each in worked.filled if each.problem}
    return beside | ({"": worked.problem} if worked.problem else {})


#: Example 4 of the lifting manual (tests/published/work/test_lifting.py): 34.81 lb where it starts, 15.25 where it ends
LIFT = "lift?low=22&high=59&turn=0&lifts=3&hours=1&grip=fair"
EXAMPLE_4 = LIFT + "&reach=10&reach_there=20"
#: its worked example in kg and cm: 15.7 kg
HOMEWORK = "lift?weight=12&reach=25&low=55&high=150&turn=0&lifts=3&hours=1&grip=fair"
PAYS = (
    "pays?season=1000&spacing=5&pace=100&stand=80&seeds=2&cells=250&hour=20&seed=0.01&chain=4&mix=1.5&plug=0.05"
    "&by_hand=400&stand_by_hand=100"
)
#: figures known from outside, as tests/published has them with their sources; what is worked out by hand says so
KNOWN: Mapping[Localizer, Mapping[str, str]] = {
    ENGLISH: {
        EXAMPLE_4 + "&weight=30": "how far it is from the body. | Lift at most: 34.8 lb; Put down at most: 15.3 lb",
        # by hand: 30, 55 and 15 lb by 15.25; beyond 25 in the multiplier of the reach is 0
        EXAMPLE_4 + "&weight=30.5": "For some people this is too heavy. | Lifting index: 2",
        EXAMPLE_4 + "&weight=55+lb": "For nearly everybody this is too heavy. | Lifting index: 3.61",
        EXAMPLE_4 + "&weight=15": "Nearly all healthy people can lift this like that. | Lifting index: 0.98",
        LIFT
        + "&weight=15&reach=26": "Nothing should be lifted like that. | far it is from the body | Lifting index: –",
        # Harrington & Minges
        "up?crop=lettuce&soil_c=59": "Up in 4 days. | 99% | Sprouts: 35 °F to 95 °F | best: 75 °F",
        # the binomial distribution of 264 cells
        "seeds?germination=90&full=99&cells=264": "2 seeds in a cell. | 1.0% | average: 2.6 | at most: 6",
        "seeds?germination=60&full=99&cells=264": "6 seeds in a cell.",
        "seeds?germination=100&full=99&cells=264": "1 seed in a cell. | at most: 0",
        # by hand: with 26 of 264 cells empty, one tray is short of 264 plants, and two hold some 475
        "trays?plants=264&empties=26&cells=264&sure=95": "Sow 2 trays. | 9.8% | not known",
        "trays?plants=264&empties=0+0&cells=264&sure=95": "Sow 1 tray.",
        # by hand: mean squares 9.560 between and 0.0827 within trays, (9.560 - 0.083) / (9.560 + 263 × 0.083)
        "trays?plants=264&empties=2,+90,+4&cells=264&sure=95": "beyond chance: 30.3%",
        # 22 April 2020 at Esparto; by hand (49 + 77) / 2 - 50 and (50 + 70) / 2 - 50
        "day?t_min=49&t_max=77&base=50&upper=70": "The day brought 11.55 degree-days °F. | mean: 13 | first: 10 ",
        # University of Missouri; Wilson
        "tapes?hits=44&marks=100": "will clog. | covered: 44.0%; 95% interval: 34.7% to 53.8% | limit: 30%",
        # by hand: (4 + 8 + 12) / 300
        "tapes?hits=4+8+12&marks=100": "There is little residue on the bed.; Ground covered: 8.0%",
        # 1/8 in is the thread's 3.2 mm; 0.9 of 22%
        "thread?crumbled_at=1/8": "Dry enough to till",
        "water?wet_g=121&dry_g=100&plastic_limit=22": "Dry enough to till | Crumbles best at: 19.8%",
        "water?wet_g=125&dry_g=100&plastic_limit=22": "Too wet to till | Water in the soil: 25.0%",
        # five rows of 100 ft
        "bed?length=100&rows=5&spacing=2&cells=264": "3,000 plants in 12 trays. | left over: 168 | another: 28 ft",
        # 215.625 ± 19.547; by hand 5 × 41
        "left?times=41+44+39+47+43+45+40+46&left=5": "About 216 min more.; 95% interval: 196 min to 235 min",
        "left?times=41&left=5": "About 205 min more.",
        # 6.667 ± 1.333; by hand four of them, ± twice as much
        "guess?best=4&likely=6&worst=12&rows=1": "About 6.67 min in all.; Give or take: 1.33 min",
        "guess?best=4&likely=6&worst=12&rows=4": "About 26.67 min in all.; Give or take: 2.67 min",
        # Bailey; four rows on 48 in count as rows 12 in apart; 150 plants in 100 ft; 17 ft 5 in for a thousandth
        "spaced?spacing=24&between=36&rows=1": "7,260 plants an acre.",
        "spaced?spacing=2&between=48&rows=4": "261,360 plants an acre.",
        "counted?plants=150&length=100&between=30&rows=1": "26,136 plants an acre. | thousandth of an acre: 17 ft",
        # 384.15 places by 40, and 2.95 times as many
        "stretches?stand=90&margin=3&places=40&alike=0": "Count 10 stretches.; Places in all: 400 | scattered: 10",
        "stretches?stand=90&margin=3&places=40&alike=5": "Count 29 stretches. | If gaps were scattered: 10",
        # 0.20 at 110 and 15% make 0.25882, or 0.253; 24 of 480 min
        "job?watched=20&pace=110&rest=15&shift=8": "Plan 25.88 min for each: 18 in a shift. | of the work: 25.3 min",
        "job?watched=4.56&pace=100&rest=5&shift=8": "Plan 4.8 min for each: 100 in a shift. | : 24 min | : 456 min",
        # unit 125 from 100 at 0.85: 32.23647, and 5201.085 in all
        "ahead?minutes=100&rate=85&row=125": "Row 125 takes 32.24 min. | time: 32.2%; All rows up to it: 5,201 min",
        # by hand: 0.8 × 0.8 × 10; and nobody who gets faster
        "seen?times=10+8&row=4": "Row 4 takes 6.4 min.; Each doubling takes the time to: 80.0% | explained",
        "seen?times=10+10&row=4": "Row 4 takes 10 min.; Each doubling takes the time to: 100.0%",
    },
    METRIC: {
        HOMEWORK: "Lift at most: 15.7 kg",
        # by hand: between 7 days at 10 °C and 4 at 15, 1 / (0.5/7 + 0.5/4) = 5.09
        "up?crop=lettuce&soil_c=12.5": "Up in about 5 days.",
        # what the table of Harrington & Minges has beside days
        "up?crop=leek&soil_c=15": "Up in 7 days. | Read as: onion",
        "up?crop=pepper&soil_c=38": "At this temperature little or nothing comes up.",
        "up?crop=pea&soil_c=37": "Not tested at this temperature.",
        "up?crop=celery&soil_c=-2": "The table goes from 0 °C to 40 °C.",
        "up?crop=chard,+Swiss&soil_c=20": "The table of days does not have this crop. | Sprouts well: 10 °C",
        # by hand, with no limit crossed: (10 + 24) / 2 - 5
        "day?t_min=10&t_max=24&base=5&upper=": "The day brought 12 degree-days °C.",
        "thread?crumbled_at=3.1": "Too wet to till",
        "thread?crumbled_at=0.01": "Too wet to till",
        # by hand: 1040 for 16,000 living plants of 20,000 places, by hand 2000 for 20,000; 1400 by 560 a season
        PAYS + "&tool=1400": (
            "It pays for itself in 2.5 seasons.; Saved in a season: 560; Saved for each living plant: 0.035"
        ),
        PAYS.replace("plug=0.05", "plug=0") + "&tool=1": "At these prices it never pays for itself. | plant: −0.015",
        # teaching notes
        "spaced?spacing=20&between=60&rows=1": "83,333 plants a hectare.; That is: 33,724 plants an acre",
        "counted?plants=50&length=10&between=60&rows=1": "83,333 plants a hectare.",
    },
    SPANISH: {
        # by hand: 22.5 g of water in 100 g; 0.9 of 24%
        "water?wet_g=122,5&dry_g=100&plastic_limit=24,0": "Está lo bastante seco | 22,5% | mejor con: 21,6%",
        "seen?times=10,0+8,0&row=4": "La hilera 4 toma 6,4 min.",
        "spaced?spacing=0,2+m&between=60,0&rows=1": "83 333 plantas por hectárea.",
    },
}
CASES = [(asked, localizer, answer) for localizer, known in KNOWN.items() for asked, answer in known.items()]


@pytest.mark.parametrize(("asked", "localizer", "answer"), CASES)
def test_an_answer_is_the_figure_known_from_outside(asked: str, localizer: Localizer, answer: str) -> None:
    got = told(calculate(asked, localizer))

    assert [part for part in answer.split(" | ") if part not in got] == [], got


def test_each_chain_ends_where_it_was_worked_out_by_hand() -> None:
    """Chains of 44 ft in rows of 100: the third ends 32 ft into the second row."""
    worked = calculate("bed?length=100+ft&rows=5&spacing=2&cells=264")

    assert worked.answer is not None
    assert worked.answer.table is not None
    rows = worked.answer.table.rows
    assert (rows[0], rows[2], rows[11]) == (("1", "1", "44 ft"), ("3", "2", "32 ft"), ("12", "5", "100 ft"))


def test_what_decides_whether_the_tool_pays_stands_first() -> None:
    """By hand: 1400 by 960 a season where 80% stand by hand, by 440 and 680 with wages of 16 and 24."""
    worked = calculate(PAYS + "&tool=1400", METRIC)

    assert worked.answer is not None
    assert worked.answer.table is not None
    rows = {name: (low, high) for name, low, high in worked.answer.table.rows}
    assert rows["Stand by hand"] == ("1.5", "2.5")
    assert rows["Hourly wage"] == ("3.2", "2.1")
    assert rows["Price of the tool"] == ("2", "3")
    assert next(iter(rows)) == "Stand with the chain"


def test_residue_is_judged_by_the_limits_of_the_farm() -> None:
    lenient = FarmFacts("f", thresholds={"residue_wait_pct": 50.0, "residue_not_fit_pct": 60.0})

    assert "There is little residue" in told(calculate("tapes?hits=44&marks=100", farm=lenient))


REFUSED: Mapping[str, dict[str, str]] = {
    EXAMPLE_4 + "&weight=heavy": {"weight": "enter a number"},
    LIFT.replace("hours=1", "hours=9") + "&weight=9&reach=9": {"hours": "enter a number from 0.1 to 8"},
    LIFT.replace("fair", "iron") + "&weight=9&reach=9": {"grip": "choose one from the list"},
    "up?crop=cheese&soil_c=": {"crop": "choose one from the list", "soil_c": "this cannot be left empty"},
    "up?crop=&soil_c=cold": {"crop": "this cannot be left empty", "soil_c": "enter a number"},
    "seeds?germination=0&full=99&cells=264": {"germination": "enter a number from 1 to 100"},
    "trays?plants=9&empties=3&cells=2&sure=95": {"empties": "more cells are empty than were checked"},
    "trays?plants=9&empties=9&cells=9&sure=95": {"": "These figures don't fit together. Check each one."},
    "day?t_min=60&t_max=50&base=50": {"t_max": "the warmest temperature is below the coldest"},
    "day?t_min=50&t_max=60&base=50&upper=50": {"upper": "it must be above the base"},
    "tapes?hits=4+101&marks=100": {"hits": "more of them than a tape has marks"},
    "tapes?hits=;&marks=100": {"hits": "enter from 1 to 100 numbers"},
    "tapes?hits=4,5&marks=100": {"hits": "enter a whole number"},
    "water?wet_g=9&dry_g=10&plastic_limit=22": {"wet_g": "moist soil weighs no less than dry soil"},
    "bed?length=1&rows=1&spacing=13&cells=264": {"spacing": "not one plant fits in a row"},
    "bed?length=9000&rows=1000&spacing=0.1&cells=1": {
        "length": "this takes more than 300 trays: ask for less at a time"
    },
    "guess?best=6&likely=4&worst=12&rows=1": {"likely": "it must be between the other two"},
    "seen?times=10&row=4": {"times": "enter from 2 to 100 numbers"},
}


@pytest.mark.parametrize("asked", REFUSED)
def test_what_cannot_be_is_refused_beside_its_field_and_kept(asked: str) -> None:
    worked, (name, _, query) = calculate(asked), asked.partition("?")

    assert worked.answer is None
    assert problems(worked) == REFUSED[asked]
    assert {each.name: each.text for each in worked.filled if each.text} == {
        field: text for field, text in address(name, query).items() if text
    }


@pytest.mark.parametrize("calculator", BY_NAME.values(), ids=lambda calculator: calculator.name)
def test_nothing_typed_shows_the_usual_figures_and_nothing_worked_out(calculator: Calculator) -> None:
    for localizer in (ENGLISH, SPANISH):
        worked = work_out(calculator, {}, CalculatorContext(FarmFacts("f"), localizer))

        assert worked.answer is None
        assert problems(worked) == {}
        assert [bool(each.text) for each in worked.filled] == [field.usual is not None for field in calculator.inputs]


@pytest.mark.parametrize("calculator", BY_NAME.values(), ids=lambda calculator: calculator.name)
def test_a_usual_figure_can_be_sent_as_it_stands(calculator: Calculator) -> None:
    for localizer in (ENGLISH, SPANISH):
        context = CalculatorContext(FarmFacts("f"), localizer)
        for field in (field for field in calculator.inputs if field.usual is not None):
            assert field.kind.parse(field.kind.to_text(field.usual, context.names), context.names) == pytest.approx(
                field.usual
            )


FIGURES = st.one_of(
    st.sampled_from(["0", "1", "0.1", "100", "1e9", "9" * 20, "0,000000001", "1/8", "-1", "", "lettuce", "fair", "x"]),
    st.decimals(-10, 3000, places=2).map(str),
    st.lists(st.integers(0, 2000).map(str), max_size=4).map(" ".join),
    st.text(max_size=8),
)


@pytest.mark.parametrize("calculator", BY_NAME.values(), ids=lambda calculator: calculator.name)
@settings(max_examples=settings().max_examples // 2)
@given(data=st.data())
def test_whatever_is_typed_gets_an_answer_or_a_reason(calculator: Calculator, data: st.DataObject) -> None:
    chosen = {field.name: [each.value for each in field.kind.choices("", CONTEXT.names)] for field in calculator.inputs}
    typed = {
        calculator.key(field): data.draw(st.sampled_from(chosen[field.name]) if chosen[field.name] else FIGURES)
        for field in calculator.inputs
    }

    worked = work_out(calculator, typed, CONTEXT)

    assert (worked.answer is None) == bool(problems(worked))


def test_every_calculator_belongs_to_a_question_and_has_a_name_of_its_own() -> None:
    assert {topic.module for topic in topics()} >= CALCULATORS.keys()
    assert len(BY_NAME) == sum(map(len, CALCULATORS.values()))


def test_every_crop_to_choose_is_in_a_table() -> None:
    unknown = [c for c in CROPS if emergence(c, 20).basis is Basis.UNKNOWN_CROP and sprouting_range(c) is None]

    assert unknown == []


def test_the_longest_calculation_is_soon_done(office: Service) -> None:
    """As many plants and trays as the fields take, from trays that differ: an answer or a sentence, never a mistake."""
    for plants, empties in (("200000", "1000 0 2000"), ("200000", "1 0 2"), ("1", "2000 2000")):
        asked = {"trays.plants": plants, "trays.empties": empties, "trays.cells": "2000", "trays.sure": "99.9"}
        answer = office.client.get("/methods/raising.empties", params=asked, headers=BROWSER)
        assert answer.status_code == 200


@pytest.fixture
def opened(page: Page, service: Service, farm: str) -> Iterator[Callable[..., Page]]:
    """Opens an address in a browser in which somebody of the crew is signed in."""
    with service.served_to(page, farm, Role.CREW) as address:

        def at(path: str, language: str = "en") -> Page:
            page.context.add_cookies([{"name": LANGUAGE_COOKIE, "value": language, "url": address}])
            page.goto(address + path)
            return page

        yield at


def test_a_grower_fills_in_his_figures_and_keeps_the_answer_as_a_link(opened: Callable[..., Page]) -> None:
    page = opened("/methods/stand.population")
    form = page.get_by_role("group", name="How many plants at this spacing?")
    expect(page.get_by_role("group", name="Answer")).to_have_count(0)

    form.get_by_label("Spacing in the row").fill("24")
    form.get_by_label("From bed to bed").fill("36")
    form.get_by_role("button", name="Work it out").click()

    expect(form.get_by_role("group", name="Answer")).to_contain_text("7,260 plants an acre.")
    expect(page.get_by_role("group", name="Answer")).to_have_count(1)
    expect(form.get_by_role("group", name="Answer")).to_be_in_viewport()
    expect(form.get_by_label("From bed to bed")).to_have_value("36")
    assert page.url.endswith("?spaced.spacing=24&spaced.between=36&spaced.rows=1#answer-spaced")
    page.goto(page.url)
    expect(form.get_by_role("group", name="Answer")).to_contain_text("7,260 plants an acre.")


def test_a_page_in_spanish_takes_a_decimal_comma(opened: Callable[..., Page]) -> None:
    page = opened("/methods/soil.tilth", "es")
    form = page.get_by_role("group", name="¿Está lo bastante seco, por peso?")

    form.get_by_label("Peso del suelo húmedo").fill("122,5")
    form.get_by_label("Peso ya seco").fill("100")
    form.get_by_label("Límite plástico").fill("22")
    form.get_by_role("button", name="Calcúlelo").click()

    answer = form.get_by_role("group", name="Respuesta")
    expect(answer).to_contain_text("Está muy mojado para labrar")
    expect(answer).to_contain_text("22.5%")


@pytest.mark.parametrize(
    "path",
    [
        "/methods/chain?bed.length=100&bed.rows=5&bed.spacing=2&bed.cells=264",
        "/methods/work.lifting?lift.weight=x&lift.reach=&lift.low=22&lift.high=59",
    ],
)
def test_everybody_can_use_an_answer_and_a_refusal(opened: Callable[..., Page], path: str) -> None:
    page = opened(path)

    assert grave_findings(page) == []
    for width in (360, 1280):
        page.set_viewport_size({"width": width, "height": 800})
        assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"), width


def test_a_lift_always_carries_its_caution(opened: Callable[..., Page]) -> None:
    form = opened("/methods/work.lifting").get_by_role("group", name="Is this tray too heavy?")

    expect(form).to_contain_text("Local rules and licensed practice come first.")


def test_the_questions_that_can_be_worked_out_are_marked(opened: Callable[..., Page]) -> None:
    marked = opened("/methods").get_by_role("listitem").filter(has_text="with your figures").get_by_role("link")

    wanted = {topic.question for topic in topics() if topic.module in CALCULATORS}
    assert set(marked.all_inner_texts()) == wanted


def test_a_question_without_a_calculator_has_no_form(office: Service) -> None:
    page = office.client.get("/methods/pace.pace?bed.length=1", headers=BROWSER)

    assert page.status_code == 200
    assert "Work it out" not in page.text


def test_what_was_typed_is_shown_as_text(office: Service) -> None:
    asked = {"lift.weight": "<script>", "lift.reach": "9" * 400}

    page = office.client.get("/methods/work.lifting", params=asked, headers=BROWSER)

    assert page.status_code == 200
    assert "<script" not in page.text
    assert "&lt;script&gt;" in page.text
