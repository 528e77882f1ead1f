"""Sowing and raising: days to come up, seeds in a cell, trays to sow, growing warmth of a day."""

from collections.abc import Callable, Mapping

from server.office.forms.field_kinds import Chosen, count, share
from server.office.methods.calculators.calculator import (
    Answer,
    Calculator,
    CalculatorContext,
    Input,
    UnfitTogetherError,
)
from server.office.methods.calculators.field_kinds import TEMPERATURE, Listed
from server.office.shell.view import Fact
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

CELLS = count(1, 2000)
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


def days_to_come_up(context: CalculatorContext, *, crop: str, soil_c: float) -> Answer:
    """After how many days, how many normal seedlings, and between which temperatures it sprouts."""
    localizer, found, sprouts = context.localizer, emergence(crop, soil_c), sprouting_range(crop)
    facts = []
    if found.normal_share is not None:
        facts.append(Fact(localizer.t("Normal seedlings"), localizer.percent(found.normal_share)))
    if sprouts:
        facts += [
            Fact(localizer.t("Sprouts"), _warmth(context, sprouts.lowest_c, sprouts.highest_c)),
            Fact(localizer.t("Sprouts well"), _warmth(context, sprouts.good_from_c, sprouts.good_to_c)),
            Fact(localizer.t("Sprouts best"), TEMPERATURE.format(sprouts.best_c, context.names)),
        ]
    if found.borrowed and found.table_row:
        facts.append(Fact(localizer.t("Read as"), localizer.t(CROPS[found.table_row])))
    return Answer(_comes_up(context, found.basis, found.days), tuple(facts))


def _comes_up(context: CalculatorContext, basis: Basis, days: float | None) -> str:
    localizer = context.localizer
    if days is not None:
        days_text = localizer.tn("{n} day", "{n} days", round(days))
        between = basis is Basis.BETWEEN
        return localizer.t("Up in about {days}." if between else "Up in {days}.", days=days_text)
    if basis is Basis.LITTLE_OR_NONE:
        return localizer.t("At this temperature little or nothing comes up.")
    if basis is Basis.OUTSIDE:
        return localizer.t(
            "The table goes from {range}.", range=_warmth(context, TABLE_TEMPERATURES_C[0], TABLE_TEMPERATURES_C[-1])
        )
    if basis is Basis.UNKNOWN_CROP:
        return localizer.t("The table of days does not have this crop.")
    return localizer.t("Not tested at this temperature.")


def _warmth(context: CalculatorContext, low_c: float, high_c: float) -> str:
    low, high = (TEMPERATURE.format(degrees, context.names) for degrees in (low_c, high_c))
    return context.localizer.t("{low} to {high}", low=low, high=high)


def seeds_in_a_cell(context: CalculatorContext, *, germination: float, full: float, cells: int) -> Answer:
    """The fewest seeds that fill as many cells as are wanted."""
    localizer = context.localizer
    seeds = seeds_per_cell_for(germination, 1 - full)
    p_empty = p_cell_empty(germination, seeds)
    return Answer(
        localizer.tn("{n} seed in a cell.", "{n} seeds in a cell.", seeds),
        (
            Fact(localizer.t("Cells that stay empty"), localizer.percent(p_empty, 1)),
            Fact(localizer.t("In a tray, on average"), localizer.number(expected_empties(cells, p_empty), 1)),
            Fact(
                localizer.t("In 19 of 20 trays, at most"),
                localizer.number(empties_not_exceeded(MOST_TRAYS_OF_20, cells, p_empty)),
            ),
        ),
    )


def trays_for_plants(
    context: CalculatorContext, *, plants: int, empties: tuple[int, ...], cells: int, sure: float
) -> Answer:
    """The trays that surely hold enough plants, by the empty cells of the trays looked at."""
    localizer = context.localizer
    if max(empties) > cells:
        raise UnfitTogetherError("empties", localizer.t("more cells are empty than were checked"))
    seen = empty_rate([TrayCount(cells, empty) for empty in empties])
    sow = trays_to_sow(plants, seen.p_empty, sure, seen.clustering or 0.0, cells)
    return Answer(
        localizer.tn("Sow {n} tray.", "Sow {n} trays.", sow.trays),
        (
            Fact(localizer.t("More than if every cell filled"), localizer.number(sow.extra)),
            Fact(localizer.t("Chance that they are enough"), localizer.percent(sow.chance, 1)),
            Fact(localizer.t("Empty cells"), localizer.percent(seen.p_empty, 1)),
            Fact(localizer.t("Trays differ beyond chance"), _likeness(context, seen.clustering)),
        ),
    )


def _likeness(context: CalculatorContext, clustering: float | None) -> str:
    return context.localizer.t("not known") if clustering is None else context.localizer.percent(clustering, 1)


def growing_warmth(
    context: CalculatorContext, *, t_min: float, t_max: float, base: float, upper: float | None = None
) -> Answer:
    """The degree-days of a day, in the degrees that people use."""
    t = context.localizer.t
    if t_max < t_min:
        raise UnfitTogetherError("t_max", t("the warmest temperature is below the coldest"))
    if upper is not None and upper <= base:
        raise UnfitTogetherError("upper", t("it must be above the base"))
    ways: dict[str, Callable[[float, float, float, float | None], float]] = {
        t("By a sine wave"): single_sine,
        t("By the day's mean"): average_method_1,
        t("By the mean, each reading held first"): average_method_2,
    }
    facts = [Fact(name, _degree_days(context, way(t_min, t_max, base, upper))) for name, way in ways.items()]
    return Answer(t("The day brought {n}.", n=facts[0].value), tuple(facts))


def _degree_days(context: CalculatorContext, in_c: float) -> str:
    grown = in_c * (F_PER_C if context.localizer.feet else 1)
    return context.localizer.t(
        "{n} degree-days {unit}", n=context.localizer.number(grown, 2), unit=TEMPERATURE.unit(context.names)
    )


COME_UP = Calculator(
    "up",
    "How soon is it up?",
    (
        Input("crop", "Crop", Chosen(CROPS)),
        Input("soil_c", "Soil temperature", TEMPERATURE, hint="As warm all the time."),
    ),
    days_to_come_up,
    "Sown half an inch (13 mm) deep in moist soil. Editions of the table differ by a day.",
)
SEEDS = Calculator(
    "seeds",
    "How many seeds in a cell?",
    (
        Input("germination", "Germination", share(1, 100), hint="On the label, or from a test of your own."),
        Input("full", "Cells that should hold a plant", share(1, 99.9), 0.99),
        Input("cells", "Cells in a tray", CELLS, CELLS_PER_TRAY),
    ),
    seeds_in_a_cell,
    "Trays do worse than tests: the label's figure leaves out old seed, crusted mix and dry corners.",
)
TRAYS = Calculator(
    "trays",
    "How many trays to sow?",
    (
        Input("plants", "Plants wanted", count(1, 200_000)),
        Input(
            "empties",
            "Empty cells of each tray",
            Listed(count(0, 2000)),
            hint="From checked trays, separated by spaces.",
        ),
        Input("cells", "Cells in a tray", CELLS, CELLS_PER_TRAY),
        Input("sure", "How sure it should be", share(50, 99.9), 0.95),
    ),
    trays_for_plants,
)
WARM_DAY = Calculator(
    "day",
    "How many degree days did a day bring?",
    (
        Input("t_min", "Coldest", TEMPERATURE),
        Input("t_max", "Warmest", TEMPERATURE),
        Input("base", "Base", TEMPERATURE, hint="Below it the crop does not grow."),
        Input("upper", "Upper limit", TEMPERATURE, hint="More warmth adds no more. Empty: none.", needed=False),
    ),
    growing_warmth,
)

CALCULATORS: Mapping[str, tuple[Calculator, ...]] = {
    "raising.emergence": (COME_UP,),
    "raising.germination": (SEEDS,),
    "raising.empties": (TRAYS,),
    "weather.degree_days": (WARM_DAY,),
}
