"""Planting and counting: chains in a bed, the rows that are left, plants on an acre, stretches to count."""

from collections.abc import Mapping
from typing import cast

from server.office.forms.field_kinds import count, share
from server.office.methods.calculators.calculator import (
    Answer,
    Calculator,
    CalculatorContext,
    Input,
    UnfitTogetherError,
)
from server.office.methods.calculators.field_kinds import LENGTH, MINUTES, ROW_NUMBER, SPACING, Listed, minutes_text
from server.office.shell.view import Fact
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


def chains_in_a_bed(context: CalculatorContext, *, length: int, rows: int, spacing: float, cells: int) -> Answer:
    """The plants and trays of a bed, and where the next tray has to be ready."""
    localizer = context.localizer
    if not plants_in_row(length, spacing):
        raise UnfitTogetherError("spacing", localizer.t("not one plant fits in a row"))
    if trays_for(plants_in_bed(rows, length, spacing), cells) > MOST_CHAINS:
        most = localizer.number(MOST_CHAINS)
        raise UnfitTogetherError(
            "length", localizer.t("this takes more than {n} trays: ask for less at a time", n=most)
        )
    plan = lay_chains(rows, length, spacing, cells)
    plants = localizer.tn("{n} plant", "{n} plants", plan.plants)
    return Answer(
        localizer.tn("{plants} in {n} tray.", "{plants} in {n} trays.", plan.trays, plants=plants),
        (
            Fact(localizer.t("Plants in a row"), localizer.number(plants_in_row(length, spacing))),
            Fact(localizer.t("Cells left over"), localizer.number(plan.left_cells)),
            Fact(localizer.t("They plant another"), localizer.length(plan.left_mm)),
        ),
        _chain_ends(plan, context),
        localizer.t("Where each ends"),
    )


def _chain_ends(plan: ChainPlan, context: CalculatorContext) -> Table:
    localizer = context.localizer
    columns = (
        Column(localizer.t("chain"), words=True),
        Column(localizer.t("ends in\nrow")),
        Column(localizer.t("from its\nstart")),
    )
    ends = (
        (localizer.number(end.chain), localizer.number(end.row), localizer.length(end.along_mm)) for end in plan.ends
    )
    return Table(columns, tuple(ends))


def rows_left(context: CalculatorContext, *, times: tuple[float, ...], left: int) -> Answer:
    """The time for the rows that are left, by the times of those that are done."""
    localizer, ahead = (
        context.localizer,
        cast("Finish", time_left(times, left)),
    )  # None only of no row, and the field needs one
    sentence = localizer.t("About {time} more.", time=minutes_text(ahead.expected_s, localizer))
    if ahead.low_s is None or ahead.high_s is None:
        return Answer(sentence)
    low, high = (minutes_text(minutes, localizer) for minutes in (ahead.low_s, ahead.high_s))
    return Answer(sentence, (Fact(localizer.t("95% interval"), localizer.t("{low} to {high}", low=low, high=high)),))


def guessed_rows(context: CalculatorContext, *, best: float, likely: float, worst: float, rows: int) -> Answer:
    """The time for rows that nobody has timed yet, by three guesses for one of them."""
    localizer = context.localizer
    if not best <= likely <= worst:
        raise UnfitTogetherError("likely", localizer.t("it must be between the other two"))
    total = in_sequence([three_point(best, likely, worst)] * rows)
    return Answer(
        localizer.t("About {time} in all.", time=minutes_text(total.expected_s, localizer)),
        (Fact(localizer.t("Give or take"), minutes_text(total.sd_s, localizer)),),
    )


def plants_at_a_spacing(context: CalculatorContext, *, spacing: float, between: float, rows: int) -> Answer:
    """How many plants stand on an acre and on a hectare."""
    row_spacing = mean_row_spacing_mm(rows, between)
    return _population(context, plants_per_acre(spacing, row_spacing), plants_per_hectare(spacing, row_spacing))


def plants_by_a_count(context: CalculatorContext, *, plants: int, length: int, between: float, rows: int) -> Answer:
    """How many plants stand on an acre and on a hectare, by a count along a row."""
    row_spacing = mean_row_spacing_mm(rows, between)
    answer = _population(
        context, counted_per_acre(plants, length, row_spacing), counted_per_hectare(plants, length, row_spacing)
    )
    to_count = Fact(
        context.localizer.t("Row on a thousandth of an acre"),
        context.localizer.length(thousandth_acre_row_mm(row_spacing)),
    )
    return answer._replace(facts=(*answer.facts, to_count))


def _population(context: CalculatorContext, per_acre: float, per_hectare: float) -> Answer:
    localizer = context.localizer
    acre = localizer.t("{n} plants an acre", n=localizer.number(per_acre))
    hectare = localizer.t("{n} plants a hectare", n=localizer.number(per_hectare))
    first, second = (acre, hectare) if localizer.feet else (hectare, acre)
    return Answer(first + ".", (Fact(localizer.t("That is"), second),))


def stretches_to_count(context: CalculatorContext, *, stand: float, margin: float, places: int, alike: float) -> Answer:
    """How many stretches of row have to be counted for a stand that is known so well."""
    localizer = context.localizer
    stretches = samples_needed(margin, stand, places, kish_design_effect(places, alike))
    return Answer(
        localizer.tn("Count {n} stretch.", "Count {n} stretches.", stretches),
        (
            Fact(localizer.t("Places in all"), localizer.number(stretches * places)),
            Fact(localizer.t("If gaps were scattered"), localizer.number(samples_needed(margin, stand, places))),
        ),
    )


BETWEEN = Input("between", "From bed to bed", SPACING, hint="Or from row to row, if rows are not in beds.")
ON_A_BED = Input("rows", "Rows on a bed", ROW_NUMBER, 1)
IN_THE_ROW = Input("spacing", "Spacing in the row", SPACING)

CHAINS = Calculator(
    "bed",
    "How many trays does a bed take, and where does each chain end?",
    (
        Input("length", "Length of a row", LENGTH),
        Input("rows", "Rows", ROW_NUMBER),
        IN_THE_ROW,
        Input("cells", "Cells in a tray", count(1, 2000), CELLS_PER_TRAY),
    ),
    chains_in_a_bed,
)
LEFT = Calculator(
    "left",
    "How long will the rows that are left take?",
    (
        Input(
            "times",
            "Times of the rows done",
            Listed(MINUTES),
            hint="From one start to the next, with a space between.",
        ),
        Input("left", "Rows left", ROW_NUMBER),
    ),
    rows_left,
)
GUESS = Calculator(
    "guess",
    "How long will rows take that have not been timed?",
    (
        Input("best", "A row at best", MINUTES),
        Input("likely", "Most likely", MINUTES),
        Input("worst", "At worst", MINUTES),
        Input("rows", "Rows", ROW_NUMBER, 1),
    ),
    guessed_rows,
)
SPACED = Calculator("spaced", "How many plants at this spacing?", (IN_THE_ROW, BETWEEN, ON_A_BED), plants_at_a_spacing)
COUNTED = Calculator(
    "counted",
    "How many plants, by a count?",
    (Input("plants", "Plants counted", count()), Input("length", "Length counted", LENGTH), BETWEEN, ON_A_BED),
    plants_by_a_count,
)
STRETCHES = Calculator(
    "stretches",
    "How many stretches of row to count?",
    (
        Input("stand", "Stand to expect", share(1, 99.9), 0.9, "The worst that could be true."),
        Input("margin", "Known to plus or minus", share(0.1, 50), 0.03),
        Input("places", "Places in a stretch", count(1, 10_000), hint="Its length by the spacing."),
        Input(
            "alike", "How alike neighbors are", share(0, 100), USUAL_RHO, "How much gaps come in runs; 0: not at all."
        ),
    ),
    stretches_to_count,
)

CALCULATORS: Mapping[str, tuple[Calculator, ...]] = {
    "chain": (CHAINS,),
    "pace.finish": (LEFT, GUESS),
    "stand.population": (SPACED, COUNTED),
    "stand.stand": (STRETCHES,),
}
