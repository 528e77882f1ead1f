"""Money: whether the tool pays against plug trays set by hand, and which figure decides it."""

from __future__ import annotations

from collections.abc import Mapping

from server.office.forms.field_kinds import LENGTH, MONEY, SPACING, Counted
from server.office.methods.calculators.calculator import Answer, Ask, Here, Reckoning
from server.office.methods.calculators.field_kinds import of_all
from server.office.reports.planting_history import Fact
from server.render.tables import Column, Table
from shared_models.trade.chain import CELLS_PER_TRAY
from shared_models.trade.planning.cost import Case, HandSetting, Inputs, PayBack, Prices, Swing, pay_back, sensitivity

A_FIFTH = 0.2
#: the figures that are moved one by one, by their names in a `Case`
MOVED: Mapping[str, str] = {
    "inputs.stand": "Stand with the chain",
    "inputs.person_hours": "Hours with the chain",
    "prices.hour": "Wage of an hour",
    "prices.seed": "A seed",
    "prices.chain": "Chain, for a tray",
    "prices.mix": "Mix, for a tray",
    "prices.plug": "A plug ready to set",
    "hand.plants_per_person_hour": "Plants a person sets by hand in an hour",
    "hand.stand": "Stand by hand",
    "tool_price": "Price of the tool",
}


def tool_pays(
    here: Here,
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
    speech, places = here.speech, season / spacing
    inputs = Inputs(season, places, stand, season / pace, places / cells, places * seeds)
    case = Case(inputs, Prices(hour, seed, chain, mix, plug), HandSetting(by_hand, stand_by_hand), tool)
    paid = pay_back(case, season, season)
    swings = sensitivity(case, {name: _around(case, name) for name in MOVED}, season, season)
    return Answer(
        speech.say("At these prices it never pays.")
        if paid.seasons is None
        else speech.say("It has paid after {n} seasons.", n=speech.number(paid.seasons, 1)),
        (
            Fact(speech.say("Saved in a season"), speech.number(paid.saved_per_established_plant * places * stand, 2)),
            Fact(speech.say("Saved for each living plant"), speech.number(paid.saved_per_established_plant, 4)),
        ),
        _swings(swings, here),
        speech.say("Seasons, if one figure were a fifth less or more"),
    )


def _around(case: Case, name: str) -> tuple[float, float]:
    """A fifth less and more; a stand is never more than full."""
    part, _, field = name.rpartition(".")
    value: float = getattr(getattr(case, part) if part else case, field)
    more = value * (1 + A_FIFTH)
    return value * (1 - A_FIFTH), min(1.0, more) if field == "stand" else more


def _swings(swings: tuple[Swing, ...], here: Here) -> Table:
    say = here.speech.say
    columns = (Column(say("figure"), words=True), Column(say("a fifth\nless")), Column(say("a fifth\nmore")))
    rows = ((say(MOVED[each.figure]), _seasons(each.at_low, here), _seasons(each.at_high, here)) for each in swings)
    return Table(columns, tuple(rows))


def _seasons(paid: PayBack, here: Here) -> str:
    return here.speech.say("never") if paid.seasons is None else here.speech.number(paid.seasons, 1)


PAYS = Reckoning(
    "pays",
    "Does the tool pay against plugs set by hand?",
    (
        Ask("season", "Row planted in a season", LENGTH),
        Ask("spacing", "Spacing in the row", SPACING),
        Ask("pace", "Row a person plants in an hour", LENGTH, hint="All hours, from sowing to filling."),
        Ask("stand", MOVED["inputs.stand"], of_all(1, 100)),
        Ask("seeds", "Seeds in a cell", Counted(1, 20), 1),
        Ask("cells", "Cells in a tray", Counted(1, 2000), CELLS_PER_TRAY),
        Ask("hour", MOVED["prices.hour"], MONEY),
        Ask("seed", MOVED["prices.seed"], MONEY),
        Ask("chain", MOVED["prices.chain"], MONEY),
        Ask("mix", MOVED["prices.mix"], MONEY),
        Ask("plug", MOVED["prices.plug"], MONEY),
        Ask("by_hand", MOVED["hand.plants_per_person_hour"], Counted(1, 100_000)),
        Ask("stand_by_hand", MOVED["hand.stand"], of_all(1, 100)),
        Ask("tool", MOVED["tool_price"], MONEY),
    ),
    tool_pays,
    "Without interest, repairs and plants for filling. Prices stand in the address too: mind whom you send it to.",
)

RECKONINGS: Mapping[str, tuple[Reckoning, ...]] = {"planning.cost": (PAYS,)}
