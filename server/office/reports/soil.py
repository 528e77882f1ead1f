"""The soil page: each bed now, its checks over time, and when a wet one will be OK to plant."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import NamedTuple

from server.office.reports.charts.base import Chart
from server.office.reports.charts.soil import DryingDay, History, Mark, drying_chart, history_chart
from server.office.reports.day import BedNow, bed_now
from server.office.shell.query import FilterForm
from server.render.localizer import Localizer
from server.render.tables import Column, Table
from shared_models.core.vocabulary import Readiness
from shared_models.i18n.labels import FEELS, READINESS, inline
from shared_models.reports.common.farm import FarmFacts
from shared_models.reports.soil.beds import BedSoil
from shared_models.reports.soil.dry_down import Lacking, Outlook
from shared_models.reports.soil.history import SoilHistory
from shared_models.reports.soil.wording import FACTORS
from shared_models.trade.soil.drydown import FitWindow

#: More beds than this make no picture that can be read; asking for one bed shows it alone.
MOST_LINES = 40
NOT_FELT = "not felt"
LACKING = {
    Lacking.TEXTURE: "No outlook: enter the bed's soil texture on the phone, under the bed.",
    Lacking.POSITION: ("No outlook: enter the farm's location in its settings, so the sun can be estimated."),
    Lacking.TEMPERATURES: (
        "No outlook: no temperatures since the bed was checked, or the week before. Log the weather on the phone."
    ),
}


class Drying(NamedTuple):
    """The outlook of a wet bed: what it comes to, its picture and table (None without an outlook), what it rests on."""

    bed: str
    sentence: str
    chart: Chart | None
    table: Table | None
    rests_on: str


@dataclass(frozen=True, slots=True)
class SoilPage:
    """Everything on the page of the soil."""

    form: FilterForm
    days: str
    beds: tuple[BedNow, ...]
    picture: Chart | None
    left_out: str
    limits: Table
    drying: tuple[Drying, ...]


def soil_page(history: SoilHistory, form: FilterForm, farm: FarmFacts, localizer: Localizer) -> SoilPage:
    """Turn the history into its page."""
    shown = [bed for bed in history.beds if bed.checks or not bed.retired]
    pictured = [bed for bed in shown if bed.checks or history.planted.get(bed.bed_id)]
    left_out = len(pictured) - MOST_LINES
    return SoilPage(
        form=form,
        days=localizer.date_range(history.first, history.last),
        beds=tuple(bed_now(bed, localizer) for bed in shown),
        picture=picture(history, pictured[:MOST_LINES], farm, localizer),
        left_out=localizer.t("{n} more beds are not in the picture. Choose one to see it.", n=left_out)
        if left_out > 0
        else "",
        limits=_limits(shown, localizer),
        drying=tuple(
            drying(localizer.name(bed.bed), history.outlooks[bed.bed_id], localizer)
            for bed in shown
            if bed.bed_id in history.outlooks
        ),
    )


def picture(history: SoilHistory, beds: Sequence[BedSoil], farm: FarmFacts, localizer: Localizer) -> Chart | None:
    """Several beds have a line each; one bed has a line for each class of moisture."""
    if not beds:
        return None
    if len(beds) == 1:
        return moisture_picture(history, beds[0], farm, localizer)
    checks = tuple(
        Mark(localizer.name(bed.bed), farm.local(check.at), localizer.t(READINESS[check.verdict.readiness]))
        for bed in beds
        for check in bed.checks
    )
    planted = tuple(
        Mark(localizer.name(bed.bed), _midday(day), localizer.t("planted"))
        for bed in beds
        for day in history.planted.get(bed.bed_id, ())
    )
    description = localizer.t(
        "{checks} soil checks of {beds} beds over time, a shape for each verdict, with planting days and "
        "water. The same checks are listed under each bed.",
        checks=len(checks),
        beds=len(beds),
    )
    return history_chart(
        _history(history, [localizer.name(bed.bed) for bed in beds], checks, planted), description, localizer
    )


def moisture_picture(history: SoilHistory, bed: BedSoil, farm: FarmFacts, localizer: Localizer) -> Chart:
    """One bed: how wet it was felt, and the verdict, over time."""
    classes = [localizer.t(word) for word in reversed([*FEELS.values()])]
    planted_line = localizer.t("planted")
    lines = [*classes, localizer.t(NOT_FELT), planted_line]
    checks = tuple(
        Mark(
            localizer.t(FEELS[check.observed.feel] if check.observed.feel else NOT_FELT),
            farm.local(check.at),
            localizer.t(READINESS[check.verdict.readiness]),
        )
        for check in bed.checks
    )
    planted = tuple(Mark(planted_line, _midday(day), planted_line) for day in history.planted.get(bed.bed_id, ()))
    description = localizer.t(
        "How wet {bed} felt in {n} checks, a shape for each verdict, with planting days and water. The "
        "same checks are listed beside it.",
        bed=localizer.name(bed.bed),
        n=len(checks),
    )
    used = {mark.line for mark in (*checks, *planted)}
    kept = [line for line in lines if line in classes or line in used]
    return history_chart(_history(history, kept, checks, planted), description, localizer)


def _history(
    history: SoilHistory, lines: Iterable[str], checks: tuple[Mark, ...], planted: tuple[Mark, ...]
) -> History:
    return History(tuple(lines), checks, planted, tuple(history.water_mm.items()), history.first, history.last)


def _midday(day: date) -> datetime:
    return datetime.combine(day, time(12))


def _limits(beds: Iterable[BedSoil], localizer: Localizer) -> Table:
    t, counts = localizer.t, dict.fromkeys(FACTORS, 0)
    checks = ready = 0
    for bed in beds:
        for check in bed.checks:
            checks += 1
            limiting = check.verdict.limiting
            ready += check.verdict.readiness is Readiness.READY
            if limiting:
                counts[limiting.factor] += 1
    columns = (Column(t("what limited it"), words=True), Column(t("checks")), Column(t("of all\nchecks")))
    limits = [(t(FACTORS[factor]), count) for factor, count in counts.items() if count]
    limits = [*sorted(limits, key=lambda each: -each[1]), (t("nothing: ready"), ready)]
    rows = tuple((name, str(count), localizer.percent(count / checks)) for name, count in limits) if checks else ()
    return Table(columns, rows, shares=tuple(count / checks for _, count in limits) if checks else ())


def drying(bed: str, outlook: Outlook, localizer: Localizer) -> Drying:
    """The outlook of a wet bed."""
    t = localizer.t
    if outlook.lacking or outlook.window is None:
        return Drying(bed, t(LACKING[outlook.lacking or Lacking.TEMPERATURES]), None, None, "")
    sentence = _window(outlook.window, localizer)
    description = t("Available water in the top soil day by day. {sentence}", sentence=sentence)
    days = tuple(DryingDay(day.on, day.least, day.likely, day.most) for day in outlook.days)
    columns = (Column(t("day"), words=True), Column(t("likely")), Column(t("least")), Column(t("most")))
    rows = tuple(
        (localizer.date(day.on), *(localizer.percent(share) for share in (day.likely, day.least, day.most)))
        for day in outlook.days
    )
    chart = drying_chart(days, outlook.fit_below, description, localizer)
    return Drying(bed, sentence, chart, Table(columns, rows), " ".join(_rests_on(outlook, localizer)))


def _rests_on(outlook: Outlook, localizer: Localizer) -> Iterable[str]:
    t = localizer.t
    feel = inline(t(FEELS[outlook.felt]))
    yield t("Based on the check on {day} ({feel}).", day=localizer.month_day(outlook.checked_on), feel=feel)
    if outlook.known_days:
        yield localizer.tn(
            "{n} day since then has weather logged.", "{n} days since then have weather logged.", outlook.known_days
        )
    if outlook.dry_days:
        yield localizer.tn(
            "{n} day since then has none and counts as dry.",
            "{n} days since then have none and count as dry.",
            outlook.dry_days,
        )
    yield t(
        "Assumes dry days ahead that dry the soil like the days on record; rain delays it. The range covers soil, feel "
        "test and weather."
    )


def _window(window: FitWindow, localizer: Localizer) -> str:
    t = localizer.t
    if window.likely is None:
        return t("It will likely not be fit within 30 dry days.")
    days = {
        "likely": localizer.month_day(window.likely),
        "earliest": localizer.month_day(window.earliest or window.likely),
    }
    if window.latest is None:
        return t("Probably OK to plant on {likely}, {earliest} at the earliest; no latest day.", **days)
    days["latest"] = localizer.month_day(window.latest)
    return t("Probably OK to plant on {likely}, {earliest} at the earliest, {latest} at the latest.", **days)
