"""Wording of a verdict on a bed and of what was observed there."""

from collections.abc import Iterable, Mapping

from shared_models.core.units import celsius_to_fahrenheit
from shared_models.i18n.labels import AMOUNTS, FEELS, READINESS, inline
from shared_models.i18n.localizer import Localizer
from shared_models.reports.soil.beds import BedSoil
from shared_models.trade.soil.readiness import SoilObservation, Verdict

FACTORS: Mapping[str, str] = {
    "moisture": "moisture",
    "residue": "residue",
    "stones": "stones",
    "clods": "clods",
    "tillage": "tillage",
    "soil_temperature": "soil temperature",
}
NOT_CHECKED = "This bed has not been checked yet."
NO_PROBLEMS = "No problems found."
HOURS_A_DAY = 24
#: From so many hours on, time that has passed is shown in days.
SHOWN_IN_DAYS_H = 48
ENGLISH = Localizer()


def why(verdict: Verdict, localizer: Localizer = ENGLISH) -> str:
    """The reason for a verdict, and the remedy."""
    limiting = verdict.limiting
    if limiting is None:
        return localizer.t(NO_PROBLEMS)
    return f"{localizer.t(limiting.reason)} {localizer.t(limiting.change)}"


def limiting_factor(verdict: Verdict, localizer: Localizer = ENGLISH) -> str:
    """The label of the deciding factor; empty when the bed is ready."""
    return localizer.t(FACTORS[verdict.limiting.factor]) if verdict.limiting else ""


def ago(hours: float, localizer: Localizer = ENGLISH) -> str:
    """Format a time in the past, roughly."""
    if hours < 0:
        return localizer.t("in the future")
    if hours >= SHOWN_IN_DAYS_H:
        return localizer.t("{n} days ago", n=f"{hours / HOURS_A_DAY:.0f}")
    return localizer.t("{n} h ago", n=f"{hours:.0f}") if hours >= 1 else localizer.t("within the hour")


def state(bed: BedSoil, localizer: Localizer = ENGLISH) -> str:
    """The verdict in a word or two; an old check asks for a new one."""
    if bed.now is None:
        return localizer.t("not checked")
    verdict = inline(localizer.t(READINESS[bed.now.readiness]))
    return localizer.t("check again (was {verdict})", verdict=verdict) if bed.stale else verdict


def observation_text(observed: SoilObservation, localizer: Localizer) -> str:
    """One line with everything observed."""
    return ", ".join(_observation_parts(observed, localizer)) or localizer.t("nothing logged")


def _observation_parts(observed: SoilObservation, localizer: Localizer) -> Iterable[str]:
    t = localizer.t
    if observed.feel is not None:
        yield t("feels {feel}", feel=inline(t(FEELS[observed.feel])))
    if observed.residue_pct is not None:
        yield t("residue {percent}", percent=localizer.percent(observed.residue_pct / 100, 1, trim=True))
    if observed.stones is not None:
        yield t("stones {amount}", amount=inline(t(AMOUNTS[observed.stones])))
    if observed.clods is not None:
        yield t("clods {amount}", amount=inline(t(AMOUNTS[observed.clods])))
    if observed.hours_since_tillage is not None:
        yield t("tilled {ago}", ago=ago(observed.hours_since_tillage, localizer))
    if observed.soil_c is not None:
        yield t("soil {temperature}", temperature=temperature(observed.soil_c, localizer))


def temperature(celsius: float, localizer: Localizer) -> str:
    """Format a temperature in the farm's units."""
    if localizer.feet:
        return f"{localizer.number(celsius_to_fahrenheit(celsius))} °F"
    return f"{localizer.number(celsius, 1)} °C"
