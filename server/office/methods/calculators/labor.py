"""People at work: a tray that is lifted, the time to plan for a job, how fast a crew gets better at it."""

import math
from collections.abc import Mapping
from dataclasses import asdict, replace

from server.office.forms.field_kinds import Chosen, count, figure, share
from server.office.methods.calculators.calculator import Answer, Calculator, CalculatorContext, Input
from server.office.methods.calculators.field_kinds import HEIGHT, HOURS, MINUTES, WEIGHT, Listed, minutes_text
from server.office.shell.view import Fact
from shared_models.core.units import MM_PER_INCH
from shared_models.fields.quantities import MM_PER_CM
from shared_models.trade.work.allowance import PERSONAL_ALLOWANCE, normal_time, standard_time, standard_time_on_work
from shared_models.trade.work.learning import crawford_total, crawford_unit, fit_learning
from shared_models.trade.work.lifting import (
    KG_CM,
    LB_IN,
    Coupling,
    Lift,
    lifting_index,
    multipliers,
    recommended_weight,
)

GRIPS: Mapping[Coupling, str] = {
    Coupling.GOOD: "good: handles",
    Coupling.FAIR: "fair: fingers bent under it",
    Coupling.POOR: "poor: slippery or bending",
}
#: what each multiplier of a lift stands for
PARTS: Mapping[str, str] = {
    "horizontal": "how far it is from the body",
    "vertical": "how high or low the hands are",
    "distance": "how far up or down it goes",
    "asymmetry": "how far the body turns",
    "frequency": "how often and how long",
    "coupling": "the grip",
}
SOME_AT_RISK, NEARLY_ALL_AT_RISK = 1, 3
NOT_AT_ALL = "Nothing should be lifted like that. Change first: {part}."
FOR_NEARLY_ALL = "Nearly all healthy people can lift this like that."
FOR_SOME = "For some people this is too heavy. Change first: {part}."
FOR_NOBODY = "For nearly everybody this is too heavy. Change first: {part}."


def tray_lifted(
    context: CalculatorContext,
    *,
    weight: float,
    reach: float,
    low: float,
    high: float,
    turn: float,
    lifts: float,
    hours: float,
    grip: str,
    reach_there: float | None = None,
) -> Answer:
    """The weight recommended where the lift starts and where it ends; the smaller one counts."""
    localizer, units = context.localizer, LB_IN if context.localizer.feet else KG_CM
    size = MM_PER_INCH if localizer.feet else MM_PER_CM
    far, start, end = (mm / size for mm in (reach if reach_there is None else reach_there, low, high))
    taken = Lift(reach / size, start, abs(end - start), turn, lifts, hours, Coupling(grip))
    put = replace(taken, reach=far, height=end, origin_height=start)
    worse = min((taken, put), key=lambda lift: recommended_weight(lift, units))
    shares = asdict(multipliers(worse, units))
    index = lifting_index(weight, worse, units)
    return Answer(
        localizer.t(_too_heavy(index), part=localizer.t(PARTS[min(shares, key=shares.__getitem__)])),
        (
            Fact(localizer.t("Lift at most"), _weight(context, recommended_weight(taken, units))),
            Fact(localizer.t("Put down at most"), _weight(context, recommended_weight(put, units))),
            Fact(localizer.t("Lifting index"), localizer.number(index, 2) if math.isfinite(index) else "–"),
        ),
    )


def _too_heavy(index: float) -> str:
    if math.isinf(index):
        return NOT_AT_ALL
    if index > NEARLY_ALL_AT_RISK:
        return FOR_NOBODY
    return FOR_SOME if index > SOME_AT_RISK else FOR_NEARLY_ALL


def _weight(context: CalculatorContext, weight: float) -> str:
    return f"{context.localizer.number(weight, 1)} {WEIGHT.unit(context.names)}"


def time_to_plan(context: CalculatorContext, *, watched: float, pace: float, rest: float, shift: float) -> Answer:
    """The time to plan for a job that was watched, and how often it fits in a shift."""
    localizer, shift_min = context.localizer, shift * 60
    usual = normal_time(watched, pace)
    planned = standard_time(usual, rest)
    fit = math.floor(shift_min / planned + 1e-9)  # a hair, so that rounding loses no job that just fits
    return Answer(
        localizer.t(
            "Plan {time} for each: {n} in a shift.", time=minutes_text(planned, localizer), n=localizer.number(fit)
        ),
        (
            Fact(localizer.t("Rest and needs in a shift"), minutes_text(shift_min * rest, localizer)),
            Fact(localizer.t("Work in a shift"), minutes_text(shift_min * (1 - rest), localizer)),
            Fact(
                localizer.t("Rest as a share of the work"), minutes_text(standard_time_on_work(usual, rest), localizer)
            ),
        ),
    )


def row_to_come(context: CalculatorContext, *, minutes: float, rate: float, row: int) -> Answer:
    """The time of a row to come, by that of the first."""
    return _ahead(context, minutes, rate, row, ())


def learning_seen(context: CalculatorContext, *, times: tuple[float, ...], row: int) -> Answer:
    """How fast a crew got better, and the time of a row to come."""
    localizer, seen = context.localizer, fit_learning(range(1, len(times) + 1), times)
    facts = [Fact(localizer.t("Each doubling takes the time to"), localizer.percent(seen.rate, 1))]
    if seen.r_squared is not None:
        facts.append(Fact(localizer.t("Share of the scatter explained"), localizer.percent(seen.r_squared, 1)))
    return _ahead(context, seen.first_s, seen.rate, row, tuple(facts))


def _ahead(context: CalculatorContext, first: float, rate: float, row: int, facts: tuple[Fact, ...]) -> Answer:
    localizer, time = context.localizer, crawford_unit(first, row, rate)
    return Answer(
        localizer.t("Row {row} takes {time}.", row=localizer.number(row), time=minutes_text(time, localizer)),
        (
            *facts,
            Fact(localizer.t("Of the first row's time"), localizer.percent(time / first, 1)),
            Fact(localizer.t("All rows up to it"), minutes_text(crawford_total(first, row, rate), localizer)),
        ),
    )


ROW_TO_COME = Input("row", "Later row", count(1, 10_000), 10)

LIFTING = Calculator(
    "lift",
    "Is this tray too heavy?",
    (
        Input("weight", "Weight", WEIGHT),
        Input("grip", "Grip", Chosen(GRIPS), Coupling.FAIR),
        Input("turn", "Turn of the body", figure(0, 180, "°"), 0),
        Input("reach", "Hands in front of the ankles", HEIGHT),
        Input("reach_there", "In front of the ankles at the end", HEIGHT, hint="Empty: as at the start.", needed=False),
        Input("low", "Hands above the ground at the start", HEIGHT),
        Input("high", "Hands above the ground at the end", HEIGHT),
        Input("lifts", "Lifts a minute", figure(0, 60), 1),
        Input("hours", "Hours of lifting", figure(0.1, 8, "h"), 1),
    ),
    tray_lifted,
    "This is a guess, for two hands, standing still, a steady load and firm ground. It does not hold for carrying, "
    "kneeling or pulling. Local rules and licensed practice come first.",
)
PLANNED = Calculator(
    "job",
    "How long to plan for a job?",
    (
        Input("watched", "Time that was watched", MINUTES),
        Input("pace", "Pace of who was watched", share(10, 300), 1.0, "110: a tenth faster than usual."),
        Input("rest", "Rest and personal needs", share(0, 90), PERSONAL_ALLOWANCE, "A share of the shift."),
        Input("shift", "Shift", HOURS, 8),
    ),
    time_to_plan,
)
AHEAD = Calculator(
    "ahead",
    "How much faster will a later row go?",
    (
        Input("minutes", "Time of the first row", MINUTES),
        Input("rate", "Each doubling takes the time to", share(50, 100), hint="100: nobody gets faster."),
        ROW_TO_COME,
    ),
    row_to_come,
)
SEEN = Calculator(
    "seen",
    "How fast does the crew get better?",
    (
        Input(
            "times",
            "Times of the first rows, in their order",
            Listed(MINUTES, least=2),
            hint="Rows of one length, with a space between.",
        ),
        ROW_TO_COME,
    ),
    learning_seen,
)

CALCULATORS: Mapping[str, tuple[Calculator, ...]] = {
    "work.allowance": (PLANNED,),
    "work.learning": (AHEAD, SEEN),
    "work.lifting": (LIFTING,),
}
