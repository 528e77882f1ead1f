"""How a verdict on a bed, and what was seen there, is said."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from shared_models.core.units import celsius_to_fahrenheit
from shared_models.i18n.labels import AMOUNTS, FEELS, READINESS, inline
from shared_models.i18n.localizer import Localizer
from shared_models.reports.soil.beds import BedSoil
from shared_models.trade.soil.readiness import SoilLook, Verdict

FACTORS: Mapping[str, str] = {
    "moisture": "moisture",
    "residue": "residue",
    "stones": "stones",
    "clods": "clods",
    "tillage": "tillage",
    "soil_temperature": "soil temperature",
}
NOBODY_LOOKED = "This bed has not been checked yet."
NOTHING_IN_THE_WAY = "No problems found."
HOURS_A_DAY = 24
#: From so many hours on, time that has passed is said in days.
SAID_IN_DAYS_H = 48
ENGLISH = Localizer()


def why(verdict: Verdict, localizer: Localizer = ENGLISH) -> str:
    """The reason for a verdict, and what would change it."""
    limiting = verdict.limiting
    if limiting is None:
        return localizer.t(NOTHING_IN_THE_WAY)
    return f"{localizer.t(limiting.reason)} {localizer.t(limiting.change)}"


def limiting_factor(verdict: Verdict, localizer: Localizer = ENGLISH) -> str:
    """The factor that decides, in words; empty when the bed is ready."""
    return localizer.t(FACTORS[verdict.limiting.factor]) if verdict.limiting else ""


def ago(hours: float, localizer: Localizer = ENGLISH) -> str:
    """How long ago, roughly."""
    if hours < 0:
        return localizer.t("in the future")
    if hours >= SAID_IN_DAYS_H:
        return localizer.t("{n} days ago", n=f"{hours / HOURS_A_DAY:.0f}")
    return localizer.t("{n} h ago", n=f"{hours:.0f}") if hours >= 1 else localizer.t("within the hour")


def state(bed: BedSoil, localizer: Localizer = ENGLISH) -> str:
    """The verdict in a word or two; an old check asks for a new one."""
    if bed.now is None:
        return localizer.t("not checked")
    verdict = inline(localizer.t(READINESS[bed.now.readiness]))
    return localizer.t("check again (was {verdict})", verdict=verdict) if bed.stale else verdict


def seen(look: SoilLook, localizer: Localizer) -> str:
    """What was seen, in a line."""
    return ", ".join(_seen(look, localizer)) or localizer.t("nothing logged")


def _seen(look: SoilLook, localizer: Localizer) -> Iterable[str]:
    t = localizer.t
    if look.feel is not None:
        yield t("feels {feel}", feel=inline(t(FEELS[look.feel])))
    if look.residue_pct is not None:
        yield t("residue {percent}", percent=localizer.percent(look.residue_pct / 100, 1, trim=True))
    if look.stones is not None:
        yield t("stones {amount}", amount=inline(t(AMOUNTS[look.stones])))
    if look.clods is not None:
        yield t("clods {amount}", amount=inline(t(AMOUNTS[look.clods])))
    if look.hours_since_tillage is not None:
        yield t("tilled {ago}", ago=ago(look.hours_since_tillage, localizer))
    if look.soil_c is not None:
        yield t("soil {temperature}", temperature=temperature(look.soil_c, localizer))


def temperature(celsius: float, localizer: Localizer) -> str:
    """A temperature in the degrees that go with the farm's units."""
    if localizer.feet:
        return f"{localizer.number(celsius_to_fahrenheit(celsius))} °F"
    return f"{localizer.number(celsius, 1)} °C"
