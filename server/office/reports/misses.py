"""What the page of the misses shows: what went with them, how sure that is, and what to try next."""

from collections.abc import Iterable
from dataclasses import dataclass

from server.office.reports.charts.base import Chart
from server.office.reports.charts.misses import Dot, miss_chart
from server.office.shell.query import FilterForm
from server.office.shell.view import Figure
from server.render.localizer import Localizer
from server.render.tables import Column, Table
from shared_models.core.vocabulary import Feel
from shared_models.i18n.formats import NO_VALUE
from shared_models.i18n.labels import FEELS, inline
from shared_models.reports.misses import MissEffect, MissesSheet
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
#: Odds beyond these are shown as less or more than them.
LEAST_SHOWN, MOST_SHOWN = 0.01, 100.0
#: What is surer than this is shown as more than it.
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

    form: FilterForm
    any_rows: bool
    sentence: str
    lacking: str
    figures: tuple[Figure, ...]
    chart: Chart | None
    sentences: tuple[str, ...]
    effects: Table
    left_out: tuple[tuple[str, str], ...]
    unusable: str
    to_try: ToTry | None


def misses_page(sheet: MissesSheet, form: FilterForm, localizer: Localizer) -> MissesPage:
    """Turn the sheet into its page."""
    analysis, t = sheet.analysis, localizer.t
    dots = tuple(_dot(each, localizer) for each in sheet.effects)
    return MissesPage(
        form=form,
        any_rows=bool(analysis.rows or sheet.unusable),
        sentence=t(analysis.sentence),
        lacking=_lacking(sheet, localizer),
        figures=tuple(_figures(sheet, localizer)),
        chart=miss_chart(dots, localizer) if dots else None,
        sentences=tuple(_effect_text(each, localizer) for each in sheet.effects),
        effects=_effects(sheet.effects, localizer),
        left_out=tuple((t(FACTOR_NAMES[left.factor]), t(left.sentence)) for left in analysis.left_out),
        unusable=_unusable(sheet.unusable, localizer),
        to_try=_to_try(sheet.next, localizer) if sheet.next else None,
    )


def _figures(sheet: MissesSheet, localizer: Localizer) -> Iterable[Figure]:
    analysis, t = sheet.analysis, localizer.t
    plantings = localizer.tn("of {n} planting", "of {n} plantings", analysis.plantings)
    yield Figure(t("Rows compared"), localizer.fixed(analysis.rows), "", plantings)
    each = 1000 * analysis.misses / analysis.positions if analysis.positions else None
    beside = t("{n} per {thousand} plants", n=localizer.fixed(each, 1), thousand=localizer.fixed(1000))
    yield Figure(t("Misses in them"), localizer.fixed(analysis.misses), "", beside)


def _lacking(sheet: MissesSheet, localizer: Localizer) -> str:
    analysis = sheet.analysis
    if analysis.enough:
        return ""
    if analysis.rows_lacking is None:
        return localizer.t("No misses in these rows, so there is nothing to compare.")
    parts = []
    if analysis.rows_lacking:
        more = localizer.tn("{n} more row", "{n} more rows", analysis.rows_lacking)
        parts.append(
            localizer.t("Too few rows to be sure: about {more} like these needed for a first comparison.", more=more)
        )
    if analysis.plantings_lacking:
        more = localizer.tn("{n} more planting", "{n} more plantings", analysis.plantings_lacking)
        parts.append(
            localizer.t(
                "To compare moisture, plant age and tillage, {more} needed.",
                more=more,
            )
        )
    return " ".join(parts)


def _dot(found: MissEffect, localizer: Localizer) -> Dot:
    effect = found.effect
    clear = effect.direction is not Direction.UNCLEAR
    return Dot(_compared(found, localizer), effect.odds_ratio, effect.low, effect.high, clear)


def _compared(found: MissEffect, localizer: Localizer) -> str:
    effect, t = found.effect, localizer.t
    if effect.factor in STEPS:
        step = _setting(effect.factor, STEPS[effect.factor], localizer)
        steps = {
            Factor.DEPTH: t("{step} deeper", step=step),
            Factor.PLANT_AGE: t("{step} older", step=step),
            Factor.TILLAGE_AGE: t("{step} longer since tillage", step=step),
            Factor.SPACING: t("{step} wider", step=step),
        }
        return steps[effect.factor]
    sides = (_setting(effect.factor, each or "", localizer) for each in (found.level, found.usual))
    return t("{level} against {usual}", **dict(zip(("level", "usual"), sides, strict=True)))


def _setting(factor: Factor, value: float | str, localizer: Localizer) -> str:
    if isinstance(value, str):
        return inline(localizer.t(FEELS[Feel(value)])) if factor is Factor.MOISTURE else localizer.name(value)
    if factor is Factor.PLANT_AGE:
        return localizer.tn("{n} day", "{n} days", round(value))
    if factor is Factor.TILLAGE_AGE:
        return localizer.tn("{n} hour", "{n} hours", round(value))
    return localizer.spacing(value)


def _odds(value: float | None, localizer: Localizer) -> str:
    if value is None:
        return NO_VALUE
    if value < LEAST_SHOWN:
        return f"< {localizer.fixed(LEAST_SHOWN, 2)}"
    return f"> {localizer.fixed(MOST_SHOWN)}" if value > MOST_SHOWN else localizer.fixed(value, 2)


def _effect_text(found: MissEffect, localizer: Localizer) -> str:
    effect = found.effect
    return localizer.t(
        "{what}: {sentence} Odds of a miss: {odds} times (95% interval {low} to {high}).",
        what=_compared(found, localizer),
        sentence=localizer.t(effect.sentence),
        odds=_odds(effect.odds_ratio, localizer),
        low=_odds(effect.low, localizer),
        high=_odds(effect.high, localizer),
    )


def _effects(effects: Iterable[MissEffect], localizer: Localizer) -> Table:
    t = localizer.t
    columns = (
        Column(t("compared"), words=True),
        Column(t("odds of a\nmiss, times")),
        Column(t("95%\ninterval"), words=True),
        Column(t("how\nsure")),
        Column(t("same planting,\ntimes")),
        Column(t("its 95%\ninterval"), words=True),
    )
    return Table(columns, tuple(_effect(each, localizer) for each in effects))


def _effect(found: MissEffect, localizer: Localizer) -> tuple[str, ...]:
    effect, alike = found.effect, found.alike
    return (
        _compared(found, localizer),
        _odds(effect.odds_ratio, localizer),
        _interval(effect.low, effect.high, localizer),
        _sure(effect.sure, localizer),
        _odds(alike.odds_ratio if alike else None, localizer),
        _interval(alike.low, alike.high, localizer) if alike else NO_VALUE,
    )


def _sure(chance: float, localizer: Localizer) -> str:
    return f">\N{NO-BREAK SPACE}{localizer.percent(SUREST)}" if chance > SUREST else localizer.percent(chance)


def _interval(low: float | None, high: float | None, localizer: Localizer) -> str:
    if low is None or high is None:
        return NO_VALUE
    return localizer.t("{low} to {high}", low=_odds(low, localizer), high=_odds(high, localizer))


def _unusable(rows: int, localizer: Localizer) -> str:
    if not rows:
        return ""
    left_out = localizer.tn("{n} row is left out.", "{n} rows are left out.", rows)
    why = localizer.t("Not ended, no spacing entered, or more misses than plants.")
    return f"{left_out} {why}"


def _to_try(suggestion: Suggestion, localizer: Localizer) -> ToTry:
    t = localizer.t
    settings = [_setting(suggestion.factor, each, localizer) for each in suggestion.settings]
    odds = {name: _odds(getattr(suggestion, name), localizer) for name in ("odds_ratio", "low", "high")}
    sure = _sure(suggestion.sure, localizer)
    if suggestion.proposal is Proposal.STEP:
        text = t(
            "If this is the cause, expect {odds_ratio} times the odds of a miss at the middle of what was "
            "tried (95% interval {low} to {high}). Chance that misses fall: {sure}."
            if suggestion.factor in STEPS
            else (
                "If this is the cause, expect {odds_ratio} times the usual odds of a miss (95% interval "
                "{low} to {high}). Chance that misses fall: {sure}."
            ),
            sure=sure,
            **odds,
        )
        beyond = t("Not tried yet: test it in one row first.") if suggestion.beyond else ""
        return ToTry(t(suggestion.sentence), ", ".join(settings), text, beyond)
    text = t(
        "Too few rows to be sure: so far the second has {odds_ratio} times the odds of a miss of the first "
        "(95% interval {low} to {high}; {sure} sure which is better).",
        sure=sure,
        **odds,
    )
    more = ""
    if suggestion.more_rows:
        more = localizer.tn(
            "If the difference is as large as it looks, {n} more row should make it clear.",
            "If the difference is as large as it looks, {n} more rows should make it clear.",
            suggestion.more_rows,
        )
    first, second = settings
    return ToTry(t(suggestion.sentence), t("{first} and {second}", first=first, second=second), text, more)
