"""Money: whether the tool pays against plug trays set by hand, and which figure decides it."""

from collections.abc import Mapping

from server.office.forms.field_kinds import count, share
from server.office.methods.calculators.calculator import Answer, Calculator, CalculatorContext, Input
from server.office.methods.calculators.field_kinds import LENGTH, MONEY, SPACING
from server.office.shell.view import Fact
from server.render.tables import Column, Table
from shared_models.trade.chain import CELLS_PER_TRAY
from shared_models.trade.planning.cost import Case, HandSetting, Inputs, PayBack, Prices, Swing, pay_back, sensitivity

A_FIFTH = 0.2
#: the figures that are moved one by one, by their names in a `Case`
MOVED: Mapping[str, str] = {
    "inputs.stand": "Stand with the chain",
    "inputs.person_hours": "Hours with the chain",
    "prices.hour": "Hourly wage",
    "prices.seed": "A seed",
    "prices.chain": "Chain, for a tray",
    "prices.mix": "Mix, for a tray",
    "prices.plug": "A plug ready to set",
    "hand.plants_per_person_hour": "Plants a person sets by hand in an hour",
    "hand.stand": "Stand by hand",
    "tool_price": "Price of the tool",
}


def tool_pays(
    context: CalculatorContext,
    *,
    season: int,
    spacing: float,
    pace: int,
    stand: float,
    seeds: int,
    cells: int,
    hour: float,
    seed: float,
    chain: float,
    mix: float,
    plug: float,
    by_hand: float,
    stand_by_hand: float,
    tool: float,
) -> Answer:
    """After how many seasons the tool has earned its price, and by how much each figure moves that."""
    localizer, places = context.localizer, season / spacing
    inputs = Inputs(season, places, stand, season / pace, places / cells, places * seeds)
    case = Case(inputs, Prices(hour, seed, chain, mix, plug), HandSetting(by_hand, stand_by_hand), tool)
    paid = pay_back(case, season, season)
    swings = sensitivity(case, {name: _around(case, name) for name in MOVED}, season, season)
    return Answer(
        localizer.t("At these prices it never pays for itself.")
        if paid.seasons is None
        else localizer.t("It pays for itself in {n} seasons.", n=localizer.number(paid.seasons, 1)),
        (
            Fact(
                localizer.t("Saved in a season"), localizer.number(paid.saved_per_established_plant * places * stand, 2)
            ),
            Fact(localizer.t("Saved for each living plant"), localizer.number(paid.saved_per_established_plant, 4)),
        ),
        _swings(swings, context),
        localizer.t("Seasons, if one figure were a fifth less or more"),
    )


def _around(case: Case, name: str) -> tuple[float, float]:
    """A fifth less and more; a stand is never more than full."""
    part, _, field = name.rpartition(".")
    value: float = getattr(getattr(case, part) if part else case, field)
    more = value * (1 + A_FIFTH)
    return value * (1 - A_FIFTH), min(1.0, more) if field == "stand" else more


def _swings(swings: tuple[Swing, ...], context: CalculatorContext) -> Table:
    t = context.localizer.t
    columns = (Column(t("figure"), words=True), Column(t("a fifth\nless")), Column(t("a fifth\nmore")))
    rows = ((t(MOVED[each.figure]), _seasons(each.at_low, context), _seasons(each.at_high, context)) for each in swings)
    return Table(columns, tuple(rows))


def _seasons(paid: PayBack, context: CalculatorContext) -> str:
    return context.localizer.t("never") if paid.seasons is None else context.localizer.number(paid.seasons, 1)


PAYS = Calculator(
    "pays",
    "Does the tool pay off compared with setting plugs by hand?",
    (
        Input("season", "Row planted in a season", LENGTH),
        Input("spacing", "Spacing in the row", SPACING),
        Input("pace", "Row a person plants in an hour", LENGTH, hint="All hours, from sowing to filling."),
        Input("stand", MOVED["inputs.stand"], share(1, 100)),
        Input("seeds", "Seeds in a cell", count(1, 20), 1),
        Input("cells", "Cells in a tray", count(1, 2000), CELLS_PER_TRAY),
        Input("hour", MOVED["prices.hour"], MONEY),
        Input("seed", MOVED["prices.seed"], MONEY),
        Input("chain", MOVED["prices.chain"], MONEY),
        Input("mix", MOVED["prices.mix"], MONEY),
        Input("plug", MOVED["prices.plug"], MONEY),
        Input("by_hand", MOVED["hand.plants_per_person_hour"], count(1, 100_000)),
        Input("stand_by_hand", MOVED["hand.stand"], share(1, 100)),
        Input("tool", MOVED["tool_price"], MONEY),
    ),
    tool_pays,
    ("Without interest, repairs and fill plants. Prices are in the page's address too: be careful who you send it to."),
)

CALCULATORS: Mapping[str, tuple[Calculator, ...]] = {"planning.cost": (PAYS,)}
