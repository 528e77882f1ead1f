"""Preparing the bed: residue along a tape, and whether the soil is dry enough to till."""

from __future__ import annotations

from collections.abc import Mapping

from server.office.forms.field_kinds import Counted, Figure
from server.office.methods.calculators.calculator import Answer, Ask, Here, Reckoning, UnfitTogetherError
from server.office.methods.calculators.field_kinds import GRAMS, THICKNESS, Listed
from server.office.reports.planting_history import Fact
from shared_models.trade.soil.readiness import SoilLook, verdict
from shared_models.trade.soil.residue import Transect, residue_cover
from shared_models.trade.soil.tilth import THREAD_MM, optimum_tillage_water, thread_says_wet, water_content

WATER = Figure(1, 100, "%", of_one=True)


def cover_along_tapes(here: Here, *, hits: tuple[int, ...], marks: int) -> Answer:
    """How much of the ground is covered, within which range, and what the farm's limits say to it."""
    speech = here.speech
    if max(hits) > marks:
        raise UnfitTogetherError("hits", speech.say("more of them than a tape has marks"))
    cover = residue_cover([Transect(hit, marks) for hit in hits])
    findings = verdict(SoilLook(residue_pct=cover.percent), here.farm.soil_thresholds()).findings
    residue = next(finding for finding in findings if finding.factor == "residue")
    return Answer(
        f"{speech.say(residue.reason)} {speech.say(residue.change)}".strip(),
        (
            Fact(speech.say("Ground covered"), speech.percent(cover.percent / 100)),
            Fact(speech.say("95 % interval"), speech.span_of(cover.low_percent / 100, cover.high_percent / 100)),
            Fact(speech.say("The farm's limit"), speech.say("{n}%", n=speech.number(float(residue.limit or 0), 1))),
        ),
    )


def thread_test(here: Here, *, crumbled_at: float) -> Answer:
    """Whether soil that crumbles at this thickness is fit to till."""
    wet = thread_says_wet(crumbled_at) and round(crumbled_at, 1) < THREAD_MM  # so that 1/8 in is 3.2 mm, as printed
    return Answer(here.speech.say(TOO_WET if wet else FIT_TO_TILL))


def water_test(here: Here, *, wet_g: float, dry_g: float, plastic_limit: float) -> Answer:
    """Whether soil with so much water is fit to till."""
    speech = here.speech
    if wet_g < dry_g:
        raise UnfitTogetherError("wet_g", speech.say("moist soil weighs no less than dry soil"))
    water = water_content(wet_g, dry_g)
    return Answer(
        speech.say(TOO_WET if water > plastic_limit else FIT_TO_TILL),
        (
            Fact(speech.say("Water in the soil"), speech.percent(water)),
            Fact(speech.say("Crumbles best at"), speech.percent(optimum_tillage_water(plastic_limit))),
        ),
    )


TOO_WET = "Too wet to till: it would smear. Let it dry and test again."
FIT_TO_TILL = "Dry enough to till without smearing."
SAND = "Sand has no plastic limit: its thread always crumbles early."

TAPES = Reckoning(
    "tapes",
    "How much of the ground is covered?",
    (
        Ask(
            "hits",
            "Marks over residue",
            Listed(Counted(0, 1000)),
            hint="One count for each tape, with a space between.",
        ),
        Ask("marks", "Marks on a tape", Counted(1, 1000), 100),
    ),
    cover_along_tapes,
    "Residue lies in clumps: the true range is wider, and tapes read high. Lay three or more.",
)
THREAD = Reckoning(
    "thread",
    "Does the thread crumble in time?",
    (
        Ask(
            "crumbled_at",
            "The thread crumbles at",
            THICKNESS,
            hint="Roll soil to a thread. It is too wet if it gets thinner than 1/8 in (3.2 mm).",
        ),
    ),
    thread_test,
    SAND,
)
WEIGHED = Reckoning(
    "water",
    "Is it dry enough, by weight?",
    (
        Ask("wet_g", "Weight of the moist soil", GRAMS),
        Ask("dry_g", "Weight once dried", GRAMS),
        Ask(
            "plastic_limit",
            "Plastic limit",
            WATER,
            hint="Water at which a thread of this soil crumbles at 1/8 in (3.2 mm).",
        ),
    ),
    water_test,
    SAND,
)

RECKONINGS: Mapping[str, tuple[Reckoning, ...]] = {"soil.residue": (TAPES,), "soil.tilth": (THREAD, WEIGHED)}
