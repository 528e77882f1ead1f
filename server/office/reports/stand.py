"""What the page of the stand shows: how full the plantings are, how evenly, what to fill, and which rows are odd."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from server.office.reports.charts.base import Chart
from server.office.reports.charts.stand import Full, Tape, stand_chart, tape_chart
from server.office.reports.day import ToFill, to_fill
from server.office.shell.query import AskedForm
from server.render.localizer import Speech
from server.render.tables import Column, Table, stands_table
from shared_models.core.units import mm_to_inches
from shared_models.reports.rows.rows import BED_AND_ROW
from shared_models.reports.stand.sheet import StandSheet
from shared_models.reports.stand.stands import PlantingStand
from shared_models.reports.stand.tape import OddRow, PlantingEvenness, TapeSample
from shared_models.trade.stand.spacing import missing_plants

#: More lines than this make no picture that can be read.
MOST_LINES, MOST_TAPES = 40, 12
MM_PER_CM = 10


@dataclass(frozen=True, slots=True)
class StandPage:
    """Everything on the page of the stand."""

    form: AskedForm
    stands: Table
    looks: tuple[str, ...]
    picture: Chart | None
    left_out: str
    evenness: Table
    tapes: Chart | None
    fill: tuple[ToFill, ...]
    odd: Table


def stand_page(sheet: StandSheet, form: AskedForm, speech: Speech) -> StandPage:
    """Turn the sheet into its page."""
    plantings = sheet.stands.plantings
    drawn = [stand for stand in plantings if stand.planted is not None or stand.counted]
    left_out = len(drawn) - MOST_LINES
    return StandPage(
        form=form,
        stands=stands_table(sheet.stands, speech),
        looks=tuple(f"{speech.name(stand.label)}: {speech.told(look)}" for stand in plantings for look in stand.looks),
        picture=stands_picture(drawn[-MOST_LINES:], speech),
        left_out=speech.say("The picture has the last {n}; the table has all.", n=MOST_LINES) if left_out > 0 else "",
        evenness=evenness_table(sheet.evenness, speech),
        tapes=tapes_picture(sheet.evenness, speech),
        fill=tuple(to_fill(plantings, speech)),
        odd=odd_table(sheet.odd_rows, speech),
    )


def stands_picture(stands: Iterable[PlantingStand], speech: Speech) -> Chart | None:
    """How full each planting is."""
    lines = tuple(_full(stand, speech) for stand in stands)
    return stand_chart(lines, speech) if lines else None


def _full(stand: PlantingStand, speech: Speech) -> Full:
    label, counted = speech.name(f"{stand.bed}, {stand.crop}"), stand.counted
    if counted is None:
        return Full(label, stand.planted)
    interval = counted.stand.interval
    return Full(label, stand.planted, counted.stand.proportion, interval.low, interval.high)


def evenness_table(found: Iterable[PlantingEvenness], speech: Speech) -> Table:
    """The indices of the tape samples, planting by planting."""
    say = speech.say
    columns = (
        Column(say("planting"), words=True),
        Column(say("samples")),
        Column(say("gaps")),
        Column(say("singles\n(feed quality)")),
        Column(say("skips\n(miss index)")),
        Column(say("doubles\n(multiples index)")),
        Column(say("missing\nplants")),
        Column(say("spread of\nsingles")),
    )
    rows = tuple(
        (
            speech.name(each.label),
            str(len(each.samples)),
            str(each.evenness.gaps),
            speech.percent(each.evenness.quality_of_feed),
            speech.percent(each.evenness.miss_index),
            speech.percent(each.evenness.multiples_index),
            str(each.evenness.missing_plants),
            speech.percent(each.evenness.precision),
        )
        for each in found
    )
    return Table(columns, rows)


def tapes_picture(found: Sequence[PlantingEvenness], speech: Speech) -> Chart | None:
    """The latest tape samples, plant by plant."""
    tapes = [_tape(each, sample, speech) for each in found for sample in each.samples]
    unit = speech.say("inches along the tape" if speech.feet else "cm along the tape")
    return tape_chart(tuple(tapes[-MOST_TAPES:]), unit, speech) if tapes else None


def _tape(planting: PlantingEvenness, sample: TapeSample, speech: Speech) -> Tape:
    shown = [_on_tape(place, speech) for place in sample.places_mm]
    skips = [
        (shown[number], shown[number + 1], missing)
        for number, gap in enumerate(sample.gaps_mm)
        if (missing := missing_plants(gap, planting.spacing_mm))
    ]
    label = speech.say(BED_AND_ROW, bed=speech.name(planting.bed), row=sample.row)
    return Tape(label, _on_tape(sample.length_mm, speech), tuple(shown), tuple(skips))


def _on_tape(mm: float, speech: Speech) -> float:
    return mm_to_inches(mm) if speech.feet else mm / MM_PER_CM


def odd_table(found: Iterable[OddRow], speech: Speech) -> Table:
    """The rows with more misses than luck gives them."""
    say = speech.say
    columns = (
        Column(say("row"), words=True),
        Column(say("day"), words=True),
        Column(say("places")),
        Column(say("misses")),
        Column(say("as the\nother rows")),
        Column(say("crew"), words=True),
        Column(say("note"), words=True),
    )
    rows = tuple(
        (
            speech.row(odd.row),
            speech.date_figures(speech.local(odd.row.start).date()),
            speech.fixed(odd.places),
            str(odd.row.misses),
            speech.fixed(odd.expected, 1),
            speech.name(" + ".join(odd.row.crew)),
            odd.row.note,
        )
        for odd in found
    )
    return Table(columns, rows)
