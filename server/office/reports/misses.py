"""What the page of the misses shows: what went with them, how sure that is, and what to try next."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from server.office.reports.charts.base import Chart
from server.office.reports.charts.misses import Dot, miss_chart
from server.office.reports.day import Figure
from server.office.shell.query import AskedForm
from server.render.localizer import Speech
from server.render.tables import Column, Table
from shared_models.core.vocabulary import Feel
from shared_models.i18n.formats import NOT_TOLD
from shared_models.reports.misses import MissEffect, MissesSheet
from shared_models.reports.soil.wording import FEELS
from shared_models.trade.misses.effects import Direction
from shared_models.trade.misses.factors import STEPS, Factor
from shared_models.trade.misses.suggestion import Proposal, Suggestion

FACTOR_NAMES = {
    Factor.DEPTH: "depth of the furrow",
    Factor.MOISTURE: "moisture of the soil",
    Factor.PLANT_AGE: "age of the plants",
    Factor.TILLAGE_AGE: "time since tillage",
    Factor.SPACING: "spacing",
    Factor.CREW: "crew",
}
#: Odds beyond these are said as less or more than them.
LEAST_SAID, MOST_SAID = 0.01, 100.0
#: What is surer than this is said as more than it.
SUREST = 0.99


@dataclass(frozen=True, slots=True)
class ToTry:
    """The next setting to try: what to do, with which figures, how sure it is, and what to keep in mind."""

    sentence: str
    settings: str
    sure: str
    beside: str


@dataclass(frozen=True, slots=True)
class MissesPage:
    """Everything on the page of the misses. `lacking` says how much more it takes before anything can be said."""

    form: AskedForm
    any_rows: bool
    sentence: str
    lacking: str
    figures: tuple[Figure, ...]
    chart: Chart | None
    says: tuple[str, ...]
    effects: Table
    left_out: tuple[tuple[str, str], ...]
    unusable: str
    to_try: ToTry | None


def misses_page(sheet: MissesSheet, form: AskedForm, speech: Speech) -> MissesPage:
    """Turn the sheet into its page."""
    insight, say = sheet.insight, speech.say
    dots = tuple(_dot(each, speech) for each in sheet.effects)
    return MissesPage(
        form=form,
        any_rows=bool(insight.rows or sheet.unusable),
        sentence=say(insight.sentence),
        lacking=_lacking(sheet, speech),
        figures=tuple(_figures(sheet, speech)),
        chart=miss_chart(dots, speech) if dots else None,
        says=tuple(_said(each, speech) for each in sheet.effects),
        effects=_effects(sheet.effects, speech),
        left_out=tuple((say(FACTOR_NAMES[left.factor]), say(left.sentence)) for left in insight.left_out),
        unusable=_unusable(sheet.unusable, speech),
        to_try=_to_try(sheet.next, speech) if sheet.next else None,
    )


def _figures(sheet: MissesSheet, speech: Speech) -> Iterable[Figure]:
    insight, say = sheet.insight, speech.say
    plantings = speech.count("of {n} planting", "of {n} plantings", insight.plantings)
    yield Figure(say("Rows compared"), speech.fixed(insight.rows), "", plantings)
    each = 1000 * insight.misses / insight.positions if insight.positions else None
    beside = say("{n} per {thousand} plants", n=speech.fixed(each, 1), thousand=speech.fixed(1000))
    yield Figure(say("Misses in them"), speech.fixed(insight.misses), "", beside)


def _lacking(sheet: MissesSheet, speech: Speech) -> str:
    """How much more is needed before anything can be said."""
    insight = sheet.insight
    if insight.enough:
        return ""
    if insight.rows_lacking is None:
        return speech.say("No miss was noted in these rows, so there is nothing to compare.")
    parts = []
    if insight.rows_lacking:
        more = speech.count("{n} more row", "{n} more rows", insight.rows_lacking)
        parts.append(speech.say("It takes about {more} like these before a first thing can be looked at.", more=more))
    if insight.plantings_lacking:
        more = speech.count("{n} more planting", "{n} more plantings", insight.plantings_lacking)
        parts.append(
            speech.say(
                "It takes {more} before what is the same in all rows of a planting can be: moisture, age, tillage.",
                more=more,
            )
        )
    return " ".join(parts)


def _dot(told: MissEffect, speech: Speech) -> Dot:
    effect = told.effect
    clear = effect.direction is not Direction.UNCLEAR
    return Dot(_compared(told, speech), effect.odds_ratio, effect.low, effect.high, clear)


def _compared(told: MissEffect, speech: Speech) -> str:
    """What is compared: a step more of a figure, or a class or crew with the usual one."""
    effect, say = told.effect, speech.say
    if effect.factor in STEPS:
        step = _setting(effect.factor, STEPS[effect.factor], speech)
        steps = {
            Factor.DEPTH: say("{step} deeper", step=step),
            Factor.PLANT_AGE: say("{step} older", step=step),
            Factor.TILLAGE_AGE: say("{step} longer since tillage", step=step),
            Factor.SPACING: say("{step} wider", step=step),
        }
        return steps[effect.factor]
    sides = (_setting(effect.factor, each or "", speech) for each in (told.level, told.usual))
    return say("{level} against {usual}", **dict(zip(("level", "usual"), sides, strict=True)))


def _setting(factor: Factor, value: float | str, speech: Speech) -> str:
    """A setting in words: a depth, an age, a class, a crew."""
    if isinstance(value, str):
        return speech.say(FEELS[Feel(value)]) if factor is Factor.MOISTURE else speech.name(value)
    if factor is Factor.PLANT_AGE:
        return speech.count("{n} day", "{n} days", round(value))
    if factor is Factor.TILLAGE_AGE:
        return speech.count("{n} hour", "{n} hours", round(value))
    return speech.spacing(value)


def _odds(value: float | None, speech: Speech) -> str:
    if value is None:
        return NOT_TOLD
    if value < LEAST_SAID:
        return f"< {speech.fixed(LEAST_SAID, 2)}"
    return f"> {speech.fixed(MOST_SAID)}" if value > MOST_SAID else speech.fixed(value, 2)


def _said(told: MissEffect, speech: Speech) -> str:
    """An effect as a sentence of its own, with its figures."""
    effect = told.effect
    return speech.say(
        "{what}: {sentence} {odds} times the odds of a miss, 95 % interval {low} to {high}.",
        what=_compared(told, speech),
        sentence=speech.say(effect.sentence),
        odds=_odds(effect.odds_ratio, speech),
        low=_odds(effect.low, speech),
        high=_odds(effect.high, speech),
    )


def _effects(effects: Iterable[MissEffect], speech: Speech) -> Table:
    say = speech.say
    columns = (
        Column(say("compared"), words=True),
        Column(say("odds of a\nmiss, times")),
        Column(say("95 %\ninterval"), words=True),
        Column(say("sure of the\ndirection")),
        Column(say("like against\nlike, times")),
        Column(say("its 95 %\ninterval"), words=True),
    )
    return Table(columns, tuple(_effect(each, speech) for each in effects))


def _effect(told: MissEffect, speech: Speech) -> tuple[str, ...]:
    effect, alike = told.effect, told.alike
    return (
        _compared(told, speech),
        _odds(effect.odds_ratio, speech),
        _interval(effect.low, effect.high, speech),
        _sure(effect.sure, speech),
        _odds(alike.odds_ratio if alike else None, speech),
        _interval(alike.low, alike.high, speech) if alike else NOT_TOLD,
    )


def _sure(chance: float, speech: Speech) -> str:
    """How sure something is; nothing of this is ever quite sure."""
    return f">\N{NO-BREAK SPACE}{speech.percent(SUREST, 0)}" if chance > SUREST else speech.percent(chance, 0)


def _interval(low: float | None, high: float | None, speech: Speech) -> str:
    if low is None or high is None:
        return NOT_TOLD
    return speech.say("{low} to {high}", low=_odds(low, speech), high=_odds(high, speech))


def _unusable(rows: int, speech: Speech) -> str:
    if not rows:
        return ""
    left_out = speech.count("{n} row is left out.", "{n} rows are left out.", rows)
    why = speech.say("They are not ended, their spacing is not known, or they have more misses than places.")
    return f"{left_out} {why}"


def _to_try(suggestion: Suggestion, speech: Speech) -> ToTry:
    say = speech.say
    settings = [_setting(suggestion.factor, each, speech) for each in suggestion.settings]
    told = {name: _odds(getattr(suggestion, name), speech) for name in ("odds_ratio", "low", "high")}
    sure = _sure(suggestion.sure, speech)
    if suggestion.proposal is Proposal.STEP:
        text = say(
            "If it is the cause, a miss should then have {odds_ratio} times the odds it had in the middle of what was "
            "tried, 95 % interval {low} to {high}. That misses fall at all is {sure} sure."
            if suggestion.factor in STEPS
            else "If it is the cause, a miss should then have {odds_ratio} times the odds it had as usual, 95 % "
            "interval {low} to {high}. That misses fall at all is {sure} sure.",
            sure=sure,
            **told,
        )
        beyond = (
            say("This lies outside of what was tried so far: try it in one row first.") if suggestion.beyond else ""
        )
        return ToTry(say(suggestion.sentence), ", ".join(settings), text, beyond)
    text = say(
        "So far the second has {odds_ratio} times the odds of the first, 95 % interval {low} to {high}; the direction "
        "is {sure} sure.",
        sure=sure,
        **told,
    )
    more = ""
    if suggestion.more_rows:
        more = speech.count(
            "If the difference is as large as it looks, {n} more row should make it clear.",
            "If the difference is as large as it looks, {n} more rows should make it clear.",
            suggestion.more_rows,
        )
    first, second = settings
    return ToTry(say(suggestion.sentence), say("{first} and {second}", first=first, second=second), text, more)
