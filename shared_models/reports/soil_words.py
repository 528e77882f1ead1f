"""How a verdict on a bed, and what was seen there, is said in English."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from shared_models.reports.figures import short
from shared_models.reports.soil import BedSoil
from shared_models.trade.soil import SoilLook, Verdict
from shared_models.units import celsius_to_fahrenheit
from shared_models.words import LengthUnits, Readiness

READINESS: Mapping[Readiness, str] = {
    Readiness.READY: "ready",
    Readiness.WAIT: "wait",
    Readiness.NOT_FIT: "not fit",
}
NOBODY_LOOKED = "Nobody has looked at this bed yet."
HOURS_A_DAY = 24
#: From so many hours on, time that has passed is said in days.
SAID_IN_DAYS_H = 48


def why(verdict: Verdict) -> str:
    """The reason for a verdict, and what would change it."""
    limiting = verdict.limiting
    return f"{limiting.reason} {limiting.change}" if limiting else "Nothing that was looked at stands in the way."


def limiting_factor(verdict: Verdict) -> str:
    """The factor that decides, in words; empty when the bed is ready."""
    return verdict.limiting.factor.replace("_", " ") if verdict.limiting else ""


def ago(hours: float) -> str:
    """How long ago, roughly."""
    if hours < 0:
        return "in the future"
    if hours >= SAID_IN_DAYS_H:
        return f"{hours / HOURS_A_DAY:.0f} days ago"
    return f"{hours:.0f} h ago" if hours >= 1 else "within the hour"


def state(bed: BedSoil) -> str:
    """The verdict in a word or two; an old check asks for a new one."""
    if bed.now is None:
        return "not looked at"
    return f"look again (was {READINESS[bed.now.readiness]})" if bed.stale else READINESS[bed.now.readiness]


def seen(look: SoilLook, units: LengthUnits) -> str:
    """What was seen, in a line."""
    return ", ".join(_seen(look, units)) or "nothing noted"


def _seen(look: SoilLook, units: LengthUnits) -> Iterable[str]:
    if look.feel is not None:
        yield f"feels {look.feel.replace('_', ' ')}"
    if look.residue_pct is not None:
        yield f"residue {short(look.residue_pct)} %"
    if look.stones is not None:
        yield f"stones {look.stones}"
    if look.clods is not None:
        yield f"clods {look.clods}"
    if look.hours_since_tillage is not None:
        yield f"tilled {ago(look.hours_since_tillage)}"
    if look.soil_c is not None:
        yield temperature(look.soil_c, units)


def temperature(celsius: float, units: LengthUnits) -> str:
    """A soil temperature in the degrees that go with the farm's units."""
    if units is LengthUnits.FEET:
        return f"soil {celsius_to_fahrenheit(celsius):.0f} °F"
    return f"soil {short(celsius)} °C"
