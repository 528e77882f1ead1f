"""Preparing the bed: residue along a tape, and whether the soil is dry enough to till."""

from collections.abc import Mapping

from server.office.forms.field_kinds import count, share
from server.office.methods.calculators.calculator import (
    Answer,
    Calculator,
    CalculatorContext,
    Input,
    UnfitTogetherError,
)
from server.office.methods.calculators.field_kinds import GRAMS, THICKNESS, Listed
from server.office.shell.view import Fact
from shared_models.trade.soil.readiness import SoilObservation, verdict
from shared_models.trade.soil.residue import Transect, residue_cover
from shared_models.trade.soil.tilth import THREAD_MM, optimum_tillage_water, thread_says_wet, water_content

WATER = share(1, 100)


def cover_along_tapes(context: CalculatorContext, *, hits: tuple[int, ...], marks: int) -> Answer:
    """How much of the ground is covered, within which range, and what the farm's limits say to it."""
    localizer = context.localizer
    if max(hits) > marks:
        raise UnfitTogetherError("hits", localizer.t("more of them than a tape has marks"))
    cover = residue_cover([Transect(hit, marks) for hit in hits])
    findings = verdict(SoilObservation(residue_pct=cover.percent), context.farm.soil_thresholds()).findings
    residue = next(finding for finding in findings if finding.factor == "residue")
    return Answer(
        f"{localizer.t(residue.reason)} {localizer.t(residue.change)}".strip(),
        (
            Fact(localizer.t("Ground covered"), localizer.percent(cover.percent / 100, 1)),
            Fact(
                localizer.t("95% interval"),
                localizer.percent_range(cover.low_percent / 100, cover.high_percent / 100),
            ),
            Fact(localizer.t("The farm's limit"), localizer.percent(float(residue.limit or 0) / 100, 1, trim=True)),
        ),
    )


def thread_test(context: CalculatorContext, *, crumbled_at: float) -> Answer:
    """Whether soil that crumbles at this thickness is fit to till."""
    wet = thread_says_wet(crumbled_at) and round(crumbled_at, 1) < THREAD_MM  # so that 1/8 in is 3.2 mm, as printed
    return Answer(context.localizer.t(TOO_WET if wet else FIT_TO_TILL))


def water_test(context: CalculatorContext, *, wet_g: float, dry_g: float, plastic_limit: float) -> Answer:
    """Whether soil with so much water is fit to till."""
    localizer = context.localizer
    if wet_g < dry_g:
        raise UnfitTogetherError("wet_g", localizer.t("moist soil weighs no less than dry soil"))
    water = water_content(wet_g, dry_g)
    return Answer(
        localizer.t(TOO_WET if water > plastic_limit else FIT_TO_TILL),
        (
            Fact(localizer.t("Water in the soil"), localizer.percent(water, 1)),
            Fact(localizer.t("Crumbles best at"), localizer.percent(optimum_tillage_water(plastic_limit), 1)),
        ),
    )


TOO_WET = "Too wet to till: it would smear. Let it dry and test again."
FIT_TO_TILL = "Dry enough to till without smearing."
SAND = "Sand has no plastic limit: its thread always crumbles early."

TAPES = Calculator(
    "tapes",
    "How much of the ground is covered?",
    (
        Input(
            "hits",
            "Marks over residue",
            Listed(count(0, 1000)),
            hint="One count for each tape, with a space between.",
        ),
        Input("marks", "Marks on a tape", count(1, 1000), 100),
    ),
    cover_along_tapes,
    "Residue lies in clumps: the true range is wider, and tapes read high. Lay three or more.",
)
THREAD = Calculator(
    "thread",
    "Does the thread crumble in time?",
    (
        Input(
            "crumbled_at",
            "The thread crumbles at",
            THICKNESS,
            hint="Roll soil to a thread. It is too wet if it gets thinner than 1/8 in (3.2 mm).",
        ),
    ),
    thread_test,
    SAND,
)
WEIGHED = Calculator(
    "water",
    "Is it dry enough, by weight?",
    (
        Input("wet_g", "Weight of the moist soil", GRAMS),
        Input("dry_g", "Weight once dried", GRAMS),
        Input(
            "plastic_limit",
            "Plastic limit",
            WATER,
            hint="Water at which a thread of this soil crumbles at 1/8 in (3.2 mm).",
        ),
    ),
    water_test,
    SAND,
)

CALCULATORS: Mapping[str, tuple[Calculator, ...]] = {"soil.residue": (TAPES,), "soil.tilth": (THREAD, WEIGHED)}
