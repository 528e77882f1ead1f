"""Planting and counting: chains in a bed, the rows that are left, plants on an acre, stretches to count."""

from __future__ import annotations

from collections.abc import Mapping
from typing import cast

from server.office.forms.field_kinds import LENGTH, SPACING, Counted
from server.office.forms.fields import ROW_NUMBER
from server.office.methods.calculators.calculator import Answer, Ask, Here, Reckoning, UnfitTogetherError
from server.office.methods.calculators.field_kinds import MINUTES, Listed, minutes_said, of_all
from server.office.reports.planting_history import Fact
from server.render.tables import Column, Table
from shared_models.trade.chain import CELLS_PER_TRAY, ChainPlan, lay_chains, plants_in_bed, plants_in_row, trays_for
from shared_models.trade.pace.finish import Finish, in_sequence, three_point, time_left
from shared_models.trade.stand.population import (
    counted_per_acre,
    counted_per_hectare,
    mean_row_spacing_mm,
    plants_per_acre,
    plants_per_hectare,
    thousandth_acre_row_mm,
)
from shared_models.trade.stand.stand import USUAL_RHO, kish_design_effect, samples_needed

#: more chains than this are no bed, and too long a list to read
MOST_CHAINS = 300


def chains_in_a_bed(here: Here, *, length: int, rows: int, spacing: float, cells: int) -> Answer:
    """The plants and trays of a bed, and where the next tray has to be ready."""
    speech = here.speech
    if not plants_in_row(length, spacing):
        raise UnfitTogetherError("spacing", speech.say("not one plant fits in a row"))
    if trays_for(plants_in_bed(rows, length, spacing), cells) > MOST_CHAINS:
        most = speech.number(MOST_CHAINS)
        raise UnfitTogetherError("length", speech.say("this takes more than {n} trays: ask for less at a time", n=most))
    plan = lay_chains(rows, length, spacing, cells)
    plants = speech.count("{n} plant", "{n} plants", plan.plants)
    return Answer(
        speech.count("{plants} in {n} tray.", "{plants} in {n} trays.", plan.trays, plants=plants),
        (
            Fact(speech.say("Plants in a row"), speech.number(plants_in_row(length, spacing))),
            Fact(speech.say("Cells left over"), speech.number(plan.left_cells)),
            Fact(speech.say("They plant another"), speech.length(plan.left_mm)),
        ),
        _chain_ends(plan, here),
        speech.say("Where each ends"),
    )


def _chain_ends(plan: ChainPlan, here: Here) -> Table:
    speech = here.speech
    columns = (
        Column(speech.say("chain"), words=True),
        Column(speech.say("ends in\nrow")),
        Column(speech.say("from its\nstart")),
    )
    ends = ((speech.number(end.chain), speech.number(end.row), speech.length(end.along_mm)) for end in plan.ends)
    return Table(columns, tuple(ends))


def rows_left(here: Here, *, times: tuple[float, ...], left: int) -> Answer:
    """The time for the rows that are left, by the times of those that are done."""
    speech, ahead = here.speech, cast("Finish", time_left(times, left))  # None only of no row, and the field needs one
    says = speech.say("About {time} more.", time=minutes_said(ahead.expected_s, speech))
    if ahead.low_s is None or ahead.high_s is None:
        return Answer(says)
    low, high = (minutes_said(minutes, speech) for minutes in (ahead.low_s, ahead.high_s))
    return Answer(says, (Fact(speech.say("95 % interval"), speech.say("{low} to {high}", low=low, high=high)),))


def guessed_rows(here: Here, *, best: float, likely: float, worst: float, rows: int) -> Answer:
    """The time for rows that nobody has timed yet, by three guesses for one of them."""
    speech = here.speech
    if not best <= likely <= worst:
        raise UnfitTogetherError("likely", speech.say("it must lie between the other two"))
    told = in_sequence([three_point(best, likely, worst)] * rows)
    return Answer(
        speech.say("About {time} in all.", time=minutes_said(told.expected_s, speech)),
        (Fact(speech.say("Give or take"), minutes_said(told.sd_s, speech)),),
    )


def plants_at_a_spacing(here: Here, *, spacing: float, between: float, rows: int) -> Answer:
    """How many plants stand on an acre and on a hectare."""
    row_spacing = mean_row_spacing_mm(rows, between)
    return _population(here, plants_per_acre(spacing, row_spacing), plants_per_hectare(spacing, row_spacing))


def plants_by_a_count(here: Here, *, plants: int, length: int, between: float, rows: int) -> Answer:
    """How many plants stand on an acre and on a hectare, by a count along a row."""
    row_spacing = mean_row_spacing_mm(rows, between)
    answer = _population(
        here, counted_per_acre(plants, length, row_spacing), counted_per_hectare(plants, length, row_spacing)
    )
    to_count = Fact(
        here.speech.say("Row on a thousandth of an acre"), here.speech.length(thousandth_acre_row_mm(row_spacing))
    )
    return answer._replace(facts=(*answer.facts, to_count))


def _population(here: Here, per_acre: float, per_hectare: float) -> Answer:
    speech = here.speech
    acre = speech.say("{n} plants an acre", n=speech.number(per_acre))
    hectare = speech.say("{n} plants a hectare", n=speech.number(per_hectare))
    first, second = (acre, hectare) if speech.feet else (hectare, acre)
    return Answer(first + ".", (Fact(speech.say("That is"), second),))


def stretches_to_count(here: Here, *, stand: float, margin: float, places: int, alike: float) -> Answer:
    """How many stretches of row have to be counted for a stand that is known so well."""
    speech = here.speech
    stretches = samples_needed(margin, stand, places, kish_design_effect(places, alike))
    return Answer(
        speech.count("Count {n} stretch.", "Count {n} stretches.", stretches),
        (
            Fact(speech.say("Places in all"), speech.number(stretches * places)),
            Fact(speech.say("If gaps lay singly"), speech.number(samples_needed(margin, stand, places))),
        ),
    )


BETWEEN = Ask("between", "From bed to bed", SPACING, hint="Or from row to row, where rows lie singly.")
ON_A_BED = Ask("rows", "Rows on a bed", ROW_NUMBER, 1)
IN_THE_ROW = Ask("spacing", "Spacing in the row", SPACING)

CHAINS = Reckoning(
    "bed",
    "How many trays does a bed take, and where does each chain end?",
    (
        Ask("length", "Length of a row", LENGTH),
        Ask("rows", "Rows", ROW_NUMBER),
        IN_THE_ROW,
        Ask("cells", "Cells in a tray", Counted(1, 2000), CELLS_PER_TRAY),
    ),
    chains_in_a_bed,
)
LEFT = Reckoning(
    "left",
    "How long will the rows that are left take?",
    (
        Ask(
            "times",
            "Times of the rows done",
            Listed(MINUTES),
            hint="From one start to the next, with a space between.",
        ),
        Ask("left", "Rows left", ROW_NUMBER),
    ),
    rows_left,
)
GUESS = Reckoning(
    "guess",
    "How long will rows take that nobody has timed?",
    (
        Ask("best", "A row at best", MINUTES),
        Ask("likely", "Most likely", MINUTES),
        Ask("worst", "At worst", MINUTES),
        Ask("rows", "Rows", ROW_NUMBER, 1),
    ),
    guessed_rows,
)
SPACED = Reckoning("spaced", "How many plants at this spacing?", (IN_THE_ROW, BETWEEN, ON_A_BED), plants_at_a_spacing)
COUNTED = Reckoning(
    "counted",
    "How many plants, by a count?",
    (Ask("plants", "Plants counted", Counted()), Ask("length", "Length counted", LENGTH), BETWEEN, ON_A_BED),
    plants_by_a_count,
)
STRETCHES = Reckoning(
    "stretches",
    "How many stretches of row to count?",
    (
        Ask("stand", "Stand to expect", of_all(1, 99.9), 0.9, "The worst that could be true."),
        Ask("margin", "Known to plus or minus", of_all(0.1, 50), 0.03),
        Ask("places", "Places in a stretch", Counted(1, 10_000), hint="Its length by the spacing."),
        Ask("alike", "Neighbours alike", of_all(0, 100), USUAL_RHO, "How much gaps come in runs; 0: not at all."),
    ),
    stretches_to_count,
)

RECKONINGS: Mapping[str, tuple[Reckoning, ...]] = {
    "chain": (CHAINS,),
    "pace.finish": (LEFT, GUESS),
    "stand.population": (SPACED, COUNTED),
    "stand.stand": (STRETCHES,),
}
