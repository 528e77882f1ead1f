"""Sowing and raising: days to come up, seeds in a cell, trays to sow, growing warmth of a day."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from server.office.forms.field_kinds import Chosen, Counted, Warmth
from server.office.methods.calculators.calculator import Answer, Ask, Here, Reckoning, UnfitTogetherError
from server.office.methods.calculators.field_kinds import Listed, of_all
from server.office.reports.planting_history import Fact
from shared_models.trade.chain import CELLS_PER_TRAY
from shared_models.trade.raising.emergence import TABLE_TEMPERATURES_C, Basis, emergence, sprouting_range
from shared_models.trade.raising.empties import (
    TrayCount,
    empties_not_exceeded,
    empty_rate,
    expected_empties,
    trays_to_sow,
)
from shared_models.trade.raising.germination import p_cell_empty, seeds_per_cell_for
from shared_models.trade.weather.degree_days import average_method_1, average_method_2, single_sine

WARMTH, CELLS = Warmth(), Counted(1, 2000)
MOST_TRAYS_OF_20 = 0.95
F_PER_C = 1.8
#: the crops of the tables, each with what people call it
CROPS: Mapping[str, str] = {
    "asparagus": "asparagus",
    "bean, lima": "lima bean",
    "bean, snap": "snap bean",
    "beet": "beet",
    "cabbage": "cabbage",
    "carrot": "carrot",
    "cauliflower": "cauliflower",
    "celery": "celery",
    "chard, Swiss": "chard",
    "chives": "chives",
    "corn, sweet": "sweet corn",
    "cucumber": "cucumber",
    "eggplant": "eggplant",
    "leek": "leek",
    "lettuce": "lettuce",
    "muskmelon": "melon",
    "okra": "okra",
    "onion": "onion",
    "parsley": "parsley",
    "parsnip": "parsnip",
    "pea": "pea",
    "pepper": "pepper",
    "radish": "radish",
    "scallion": "scallion",
    "shallot": "shallot",
    "spinach": "spinach",
    "tomato": "tomato",
    "turnip": "turnip",
    "watermelon": "watermelon",
}


def days_to_come_up(here: Here, *, crop: str, soil_c: float) -> Answer:
    """After how many days, how many normal seedlings, and between which temperatures it sprouts."""
    speech, found, sprouts = here.speech, emergence(crop, soil_c), sprouting_range(crop)
    facts = []
    if found.normal_share is not None:
        facts.append(Fact(speech.say("Normal seedlings"), speech.share(found.normal_share)))
    if sprouts:
        facts += [
            Fact(speech.say("Sprouts"), _warmth(here, sprouts.lowest_c, sprouts.highest_c)),
            Fact(speech.say("Sprouts well"), _warmth(here, sprouts.good_from_c, sprouts.good_to_c)),
            Fact(speech.say("Sprouts best"), WARMTH.said(sprouts.best_c, here.words)),
        ]
    if found.borrowed and found.table_row:
        facts.append(Fact(speech.say("Read as"), speech.say(CROPS[found.table_row])))
    return Answer(_comes_up(here, found.basis, found.days), tuple(facts))


def _comes_up(here: Here, basis: Basis, days: float | None) -> str:
    speech = here.speech
    if days is not None:
        told = speech.count("{n} day", "{n} days", round(days))
        between = basis is Basis.BETWEEN
        return speech.say("It is up after about {days}." if between else "It is up after {days}.", days=told)
    if basis is Basis.LITTLE_OR_NONE:
        return speech.say("At this temperature little of it comes up, or none.")
    if basis is Basis.OUTSIDE:
        return speech.say(
            "The table goes from {range}.", range=_warmth(here, TABLE_TEMPERATURES_C[0], TABLE_TEMPERATURES_C[-1])
        )
    if basis is Basis.UNKNOWN_CROP:
        return speech.say("The table of days does not have this crop.")
    return speech.say("Nobody has tested it at this temperature.")


def _warmth(here: Here, low_c: float, high_c: float) -> str:
    low, high = (WARMTH.said(degrees, here.words) for degrees in (low_c, high_c))
    return here.speech.say("{low} to {high}", low=low, high=high)


def seeds_in_a_cell(here: Here, *, germination: float, full: float, cells: int) -> Answer:
    """The fewest seeds that fill as many cells as are wanted."""
    speech = here.speech
    seeds = seeds_per_cell_for(germination, 1 - full)
    p_empty = p_cell_empty(germination, seeds)
    return Answer(
        speech.count("{n} seed in a cell.", "{n} seeds in a cell.", seeds),
        (
            Fact(speech.say("Cells that stay empty"), speech.percent(p_empty)),
            Fact(speech.say("In a tray, on average"), speech.number(expected_empties(cells, p_empty), 1)),
            Fact(
                speech.say("In 19 of 20 trays, at most"),
                speech.number(empties_not_exceeded(MOST_TRAYS_OF_20, cells, p_empty)),
            ),
        ),
    )


def trays_for_plants(here: Here, *, plants: int, empties: tuple[int, ...], cells: int, sure: float) -> Answer:
    """The trays that surely hold enough plants, by the empty cells of the trays looked at."""
    speech = here.speech
    if max(empties) > cells:
        raise UnfitTogetherError("empties", speech.say("more cells are empty than were looked at"))
    seen = empty_rate([TrayCount(cells, empty) for empty in empties])
    sow = trays_to_sow(plants, seen.p_empty, sure, seen.clustering or 0.0, cells)
    return Answer(
        speech.count("Sow {n} tray.", "Sow {n} trays.", sow.trays),
        (
            Fact(speech.say("More than if every cell filled"), speech.number(sow.extra)),
            Fact(speech.say("Chance that they are enough"), speech.percent(sow.chance)),
            Fact(speech.say("Empty cells"), speech.percent(seen.p_empty)),
            Fact(speech.say("Trays differ beyond chance"), _likeness(here, seen.clustering)),
        ),
    )


def _likeness(here: Here, clustering: float | None) -> str:
    return here.speech.say("cannot be told") if clustering is None else here.speech.percent(clustering)


def growing_warmth(here: Here, *, t_min: float, t_max: float, base: float, upper: float | None = None) -> Answer:
    """The degree-days of a day, in the degrees that people here say."""
    say = here.speech.say
    if t_max < t_min:
        raise UnfitTogetherError("t_max", say("the warmest is colder than the coldest"))
    if upper is not None and upper <= base:
        raise UnfitTogetherError("upper", say("it must lie above the base"))
    ways: dict[str, Callable[[float, float, float, float | None], float]] = {
        say("By a sine wave"): single_sine,
        say("By the day's mean"): average_method_1,
        say("By the mean, each reading held first"): average_method_2,
    }
    facts = [Fact(name, _degree_days(here, way(t_min, t_max, base, upper))) for name, way in ways.items()]
    return Answer(say("The day brought {n}.", n=facts[0].told), tuple(facts))


def _degree_days(here: Here, in_c: float) -> str:
    grown = in_c * (F_PER_C if here.speech.feet else 1)
    return here.speech.say("{n} degree-days {unit}", n=here.speech.number(grown, 2), unit=WARMTH.unit(here.words))


COME_UP = Reckoning(
    "up",
    "How soon is it up?",
    (Ask("crop", "Crop", Chosen(CROPS)), Ask("soil_c", "Soil temperature", WARMTH, hint="As warm all the time.")),
    days_to_come_up,
    "Sown half an inch (13 mm) deep in moist soil. Editions of the table differ by a day.",
)
SEEDS = Reckoning(
    "seeds",
    "How many seeds in a cell?",
    (
        Ask("germination", "Germination", of_all(1, 100), hint="On the label, or from a test of your own."),
        Ask("full", "Cells that shall hold a plant", of_all(1, 99.9), 0.99),
        Ask("cells", "Cells in a tray", CELLS, CELLS_PER_TRAY),
    ),
    seeds_in_a_cell,
    "Trays come up worse than tests: old seed, crusted mix and a dry corner are not in the figure of the label.",
)
TRAYS = Reckoning(
    "trays",
    "How many trays to sow?",
    (
        Ask("plants", "Plants wanted", Counted(1, 200_000)),
        Ask(
            "empties",
            "Empty cells of each tray",
            Listed(Counted(0, 2000)),
            hint="Of trays that were looked at, with a space between.",
        ),
        Ask("cells", "Cells in a tray", CELLS, CELLS_PER_TRAY),
        Ask("sure", "How sure it shall be", of_all(50, 99.9), 0.95),
    ),
    trays_for_plants,
)
WARM_DAY = Reckoning(
    "day",
    "How much growing warmth did a day bring?",
    (
        Ask("t_min", "Coldest", WARMTH),
        Ask("t_max", "Warmest", WARMTH),
        Ask("base", "Base", WARMTH, hint="Below it the crop does not grow."),
        Ask("upper", "Upper limit", WARMTH, hint="More warmth adds no more. Empty: none.", needed=False),
    ),
    growing_warmth,
)

RECKONINGS: Mapping[str, tuple[Reckoning, ...]] = {
    "raising.emergence": (COME_UP,),
    "raising.germination": (SEEDS,),
    "raising.empties": (TRAYS,),
    "weather.degree_days": (WARM_DAY,),
}
