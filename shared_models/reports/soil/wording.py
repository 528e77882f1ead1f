"""How a verdict on a bed, and what was seen there, is said."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from shared_models.core.units import celsius_to_fahrenheit
from shared_models.core.vocabulary import Amount, Feel, Readiness
from shared_models.i18n.localizer import Speech
from shared_models.reports.soil.beds import BedSoil
from shared_models.trade.soil.readiness import SoilLook, Verdict

READINESS: Mapping[Readiness, str] = {
    Readiness.READY: "ready",
    Readiness.WAIT: "wait",
    Readiness.NOT_FIT: "not fit",
}
FEELS: Mapping[Feel, str] = {
    Feel.DRY: "dry",
    Feel.SLIGHTLY_MOIST: "slightly moist",
    Feel.MOIST: "moist",
    Feel.WET: "wet",
    Feel.FIELD_CAPACITY: "field capacity",
}
AMOUNTS: Mapping[Amount, str] = {Amount.NONE: "none", Amount.FEW: "few", Amount.SOME: "some", Amount.MANY: "many"}
FACTORS: Mapping[str, str] = {
    "moisture": "moisture",
    "residue": "residue",
    "stones": "stones",
    "clods": "clods",
    "tillage": "tillage",
    "soil_temperature": "soil temperature",
}
NOBODY_LOOKED = "Nobody has looked at this bed yet."
NOTHING_IN_THE_WAY = "Nothing that was looked at stands in the way."
HOURS_A_DAY = 24
#: From so many hours on, time that has passed is said in days.
SAID_IN_DAYS_H = 48
ENGLISH = Speech()


def why(verdict: Verdict, speech: Speech = ENGLISH) -> str:
    """The reason for a verdict, and what would change it."""
    limiting = verdict.limiting
    if limiting is None:
        return speech.say(NOTHING_IN_THE_WAY)
    return f"{speech.say(limiting.reason)} {speech.say(limiting.change)}"


def limiting_factor(verdict: Verdict, speech: Speech = ENGLISH) -> str:
    """The factor that decides, in words; empty when the bed is ready."""
    return speech.say(FACTORS[verdict.limiting.factor]) if verdict.limiting else ""


def ago(hours: float, speech: Speech = ENGLISH) -> str:
    """How long ago, roughly."""
    if hours < 0:
        return speech.say("in the future")
    if hours >= SAID_IN_DAYS_H:
        return speech.say("{n} days ago", n=f"{hours / HOURS_A_DAY:.0f}")
    return speech.say("{n} h ago", n=f"{hours:.0f}") if hours >= 1 else speech.say("within the hour")


def state(bed: BedSoil, speech: Speech = ENGLISH) -> str:
    """The verdict in a word or two; an old check asks for a new one."""
    if bed.now is None:
        return speech.say("not looked at")
    verdict = speech.say(READINESS[bed.now.readiness])
    return speech.say("look again (was {verdict})", verdict=verdict) if bed.stale else verdict


def seen(look: SoilLook, speech: Speech) -> str:
    """What was seen, in a line."""
    return ", ".join(_seen(look, speech)) or speech.say("nothing noted")


def _seen(look: SoilLook, speech: Speech) -> Iterable[str]:
    say = speech.say
    if look.feel is not None:
        yield say("feels {feel}", feel=say(FEELS[look.feel]))
    if look.residue_pct is not None:
        yield say("residue {n} %", n=speech.number(look.residue_pct, 1))
    if look.stones is not None:
        yield say("stones {amount}", amount=say(AMOUNTS[look.stones]))
    if look.clods is not None:
        yield say("clods {amount}", amount=say(AMOUNTS[look.clods]))
    if look.hours_since_tillage is not None:
        yield say("tilled {ago}", ago=ago(look.hours_since_tillage, speech))
    if look.soil_c is not None:
        yield say("soil {temperature}", temperature=temperature(look.soil_c, speech))


def temperature(celsius: float, speech: Speech) -> str:
    """A temperature in the degrees that go with the farm's units."""
    if speech.feet:
        return f"{speech.number(celsius_to_fahrenheit(celsius))} °F"
    return f"{speech.number(celsius, 1)} °C"
