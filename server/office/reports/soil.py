"""What the page of the soil shows: each bed now, its looks over time as a picture, and when a wet one will be fit."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import NamedTuple

from server.office.reports.charts.base import Chart
from server.office.reports.charts.soil import DryingDay, History, Mark, drying_chart, history_chart
from server.office.reports.day import BedNow, bed_now
from server.office.shell.query import AskedForm
from server.render.localizer import Speech
from server.render.tables import Column, Table
from shared_models.core.vocabulary import Readiness
from shared_models.reports.common.farm import FarmFacts
from shared_models.reports.soil.beds import BedSoil
from shared_models.reports.soil.dry_down import Lacking, Outlook
from shared_models.reports.soil.history import SoilHistory
from shared_models.reports.soil.wording import FACTORS, FEELS, READINESS
from shared_models.trade.soil.drydown import FitWindow

#: More beds than this make no picture that can be read; asking for one bed shows it alone.
MOST_LINES = 40
NOT_FELT = "not felt"
LACKING = {
    Lacking.TEXTURE: "There is no outlook: the bed's soil texture is not known. Tell it on the phone, under the bed.",
    Lacking.POSITION: (
        "There is no outlook: the farm's position is not known, so neither is its sun. Tell it in the farm's settings."
    ),
    Lacking.TEMPERATURES: (
        "There is no outlook: no temperatures were noted since the look at the bed, nor in the week before. "
        "Note the weather on the phone."
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

    form: AskedForm
    days: str
    beds: tuple[BedNow, ...]
    picture: Chart | None
    left_out: str
    limits: Table
    drying: tuple[Drying, ...]


def soil_page(history: SoilHistory, form: AskedForm, farm: FarmFacts, speech: Speech) -> SoilPage:
    """Turn the history into its page."""
    shown = [bed for bed in history.beds if bed.checks or not bed.retired]
    pictured = [bed for bed in shown if bed.checks or history.planted.get(bed.bed_id)]
    left_out = len(pictured) - MOST_LINES
    return SoilPage(
        form=form,
        days=speech.date_range(history.first, history.last),
        beds=tuple(bed_now(bed, speech) for bed in shown),
        picture=picture(history, pictured[:MOST_LINES], farm, speech),
        left_out=speech.say("{n} more beds are not in the picture; ask for one to see it.", n=left_out)
        if left_out > 0
        else "",
        limits=_limits(shown, speech),
        drying=tuple(
            drying(speech.name(bed.bed), history.outlooks[bed.bed_id], speech)
            for bed in shown
            if bed.bed_id in history.outlooks
        ),
    )


def picture(history: SoilHistory, beds: Sequence[BedSoil], farm: FarmFacts, speech: Speech) -> Chart | None:
    """Several beds have a line each; one bed has a line for each class of moisture."""
    if not beds:
        return None
    if len(beds) == 1:
        return moisture_picture(history, beds[0], farm, speech)
    looks = tuple(
        Mark(speech.name(bed.bed), farm.local(check.at), speech.say(READINESS[check.verdict.readiness]))
        for bed in beds
        for check in bed.checks
    )
    planted = tuple(
        Mark(speech.name(bed.bed), _midday(day), speech.say("planted"))
        for bed in beds
        for day in history.planted.get(bed.bed_id, ())
    )
    says = speech.say(
        "{looks} looks at {beds} beds over time, a shape for each verdict, with the days of planting and the water "
        "that fell. The same looks stand under each bed.",
        looks=len(looks),
        beds=len(beds),
    )
    return history_chart(_history(history, [speech.name(bed.bed) for bed in beds], looks, planted), says, speech)


def moisture_picture(history: SoilHistory, bed: BedSoil, farm: FarmFacts, speech: Speech) -> Chart:
    """One bed: how wet it was felt, and the verdict, over time."""
    classes = [speech.say(word) for word in reversed([*FEELS.values()])]
    planted_line = speech.say("planted")
    lines = [*classes, speech.say(NOT_FELT), planted_line]
    looks = tuple(
        Mark(
            speech.say(FEELS[check.look.feel] if check.look.feel else NOT_FELT),
            farm.local(check.at),
            speech.say(READINESS[check.verdict.readiness]),
        )
        for check in bed.checks
    )
    planted = tuple(Mark(planted_line, _midday(day), planted_line) for day in history.planted.get(bed.bed_id, ()))
    says = speech.say(
        "How wet {bed} was felt at {n} looks, a shape for each verdict, with the days of planting and the water that "
        "fell. The same looks stand beside it.",
        bed=speech.name(bed.bed),
        n=len(looks),
    )
    used = {mark.line for mark in (*looks, *planted)}
    kept = [line for line in lines if line in classes or line in used]
    return history_chart(_history(history, kept, looks, planted), says, speech)


def _history(history: SoilHistory, lines: Iterable[str], looks: tuple[Mark, ...], planted: tuple[Mark, ...]) -> History:
    return History(tuple(lines), looks, planted, tuple(history.water_mm.items()), history.first, history.last)


def _midday(day: date) -> datetime:
    return datetime.combine(day, time(12))


def _limits(beds: Iterable[BedSoil], speech: Speech) -> Table:
    """What stood in the way, how often, on the looks shown."""
    say, counts = speech.say, dict.fromkeys(FACTORS, 0)
    looks = ready = 0
    for bed in beds:
        for check in bed.checks:
            looks += 1
            limiting = check.verdict.limiting
            ready += check.verdict.readiness is Readiness.READY
            if limiting:
                counts[limiting.factor] += 1
    columns = (Column(say("what limited it"), words=True), Column(say("looks")), Column(say("of all\nlooks")))
    told = [(say(FACTORS[factor]), count) for factor, count in counts.items() if count]
    told = [*sorted(told, key=lambda each: -each[1]), (say("nothing: ready"), ready)]
    rows = tuple((name, str(count), speech.percent(count / looks, 0)) for name, count in told) if looks else ()
    return Table(columns, rows, shares=tuple(count / looks for _, count in told) if looks else ())


def drying(bed: str, outlook: Outlook, speech: Speech) -> Drying:
    """The outlook of a wet bed."""
    say = speech.say
    if outlook.lacking or outlook.window is None:
        return Drying(bed, say(LACKING[outlook.lacking or Lacking.TEMPERATURES]), None, None, "")
    sentence = _window(outlook.window, speech)
    says = say("Available water in the top soil day by day. {sentence}", sentence=sentence)
    days = tuple(DryingDay(day.on, day.least, day.likely, day.most) for day in outlook.days)
    columns = (Column(say("day"), words=True), Column(say("likely")), Column(say("least")), Column(say("most")))
    rows = tuple(
        (speech.date_figures(day.on), *(speech.percent(share, 0) for share in (day.likely, day.least, day.most)))
        for day in outlook.days
    )
    chart = drying_chart(days, outlook.fit_below, says, speech)
    return Drying(bed, sentence, chart, Table(columns, rows), " ".join(_rests_on(outlook, speech)))


def _rests_on(outlook: Outlook, speech: Speech) -> Iterable[str]:
    """What the outlook goes by."""
    say = speech.say
    yield say(
        "It starts from the look on {day} ({feel}).", day=speech.date(outlook.looked_on), feel=say(FEELS[outlook.felt])
    )
    if outlook.known_days:
        yield speech.count("{n} day since has weather noted.", "{n} days since have weather noted.", outlook.known_days)
    if outlook.dry_days:
        yield speech.count(
            "{n} day since has none, and counts as dry.",
            "{n} days since have none, and count as dry.",
            outlook.dry_days,
        )
    yield say(
        "The days to come count as dry, with the drying of the days that are known; rain puts it off. The range is "
        "that of the soil, of the feel test and of the weather."
    )


def _window(window: FitWindow, speech: Speech) -> str:
    say = speech.say
    if window.likely is None:
        return say("It will likely not be fit within 30 dry days.")
    told = {"likely": speech.date(window.likely), "earliest": speech.date(window.earliest or window.likely)}
    if window.latest is None:
        return say("Likely fit on {likely}, at the earliest on {earliest}; the latest day cannot be told.", **told)
    told["latest"] = speech.date(window.latest)
    return say("Likely fit on {likely}, at the earliest on {earliest}, at the latest on {latest}.", **told)
