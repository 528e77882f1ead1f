"""What the page of the stand shows: how full the plantings are, how evenly, what to fill, and which rows are odd."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from server.office.reports.charts.base import Chart
from server.office.reports.charts.stand import Full, Tape, stand_chart, tape_chart
from server.office.reports.day import ToFill, to_fill
from server.office.shell.query import FilterForm
from server.render.localizer import Localizer
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

    form: FilterForm
    stands: Table
    issues: tuple[str, ...]
    picture: Chart | None
    left_out: str
    evenness: Table
    tapes: Chart | None
    fill: tuple[ToFill, ...]
    odd: Table


def stand_page(sheet: StandSheet, form: FilterForm, localizer: Localizer) -> StandPage:
    """Turn the sheet into its page."""
    plantings = sheet.stands.plantings
    drawn = [stand for stand in plantings if stand.planted is not None or stand.counted]
    left_out = len(drawn) - MOST_LINES
    return StandPage(
        form=form,
        stands=stands_table(sheet.stands, localizer),
        issues=tuple(
            f"{localizer.name(stand.label)}: {localizer.t_lazy(look)}" for stand in plantings for look in stand.issues
        ),
        picture=stands_picture(drawn[-MOST_LINES:], localizer),
        left_out=localizer.t("The picture has the last {n}; the table has all.", n=MOST_LINES) if left_out > 0 else "",
        evenness=evenness_table(sheet.evenness, localizer),
        tapes=tapes_picture(sheet.evenness, localizer),
        fill=tuple(to_fill(plantings, localizer)),
        odd=odd_table(sheet.odd_rows, localizer),
    )


def stands_picture(stands: Iterable[PlantingStand], localizer: Localizer) -> Chart | None:
    """How full each planting is."""
    lines = tuple(_full(stand, localizer) for stand in stands)
    return stand_chart(lines, localizer) if lines else None


def _full(stand: PlantingStand, localizer: Localizer) -> Full:
    label, counted = localizer.name(f"{stand.bed}, {stand.crop}"), stand.counted
    if counted is None:
        return Full(label, stand.planted)
    interval = counted.stand.interval
    return Full(label, stand.planted, counted.stand.proportion, interval.low, interval.high)


def evenness_table(found: Iterable[PlantingEvenness], localizer: Localizer) -> Table:
    """The indices of the tape samples, planting by planting."""
    t = localizer.t
    columns = (
        Column(t("planting"), words=True),
        Column(t("samples")),
        Column(t("gaps")),
        Column(t("singles\n(feed quality)")),
        Column(t("skips\n(miss index)")),
        Column(t("doubles\n(multiples index)")),
        Column(t("missing\nplants")),
        Column(t("spread of\nsingles")),
    )
    rows = tuple(
        (
            localizer.name(each.label),
            str(len(each.samples)),
            str(each.evenness.gaps),
            localizer.percent(each.evenness.quality_of_feed, 1),
            localizer.percent(each.evenness.miss_index, 1),
            localizer.percent(each.evenness.multiples_index, 1),
            str(each.evenness.missing_plants),
            localizer.percent(each.evenness.precision, 1),
        )
        for each in found
    )
    return Table(columns, rows)


def tapes_picture(found: Sequence[PlantingEvenness], localizer: Localizer) -> Chart | None:
    """The latest tape samples, plant by plant."""
    tapes = [_tape(each, sample, localizer) for each in found for sample in each.samples]
    unit = localizer.t("inches along the tape" if localizer.feet else "cm along the tape")
    return tape_chart(tuple(tapes[-MOST_TAPES:]), unit, localizer) if tapes else None


def _tape(planting: PlantingEvenness, sample: TapeSample, localizer: Localizer) -> Tape:
    shown = [_on_tape(place, localizer) for place in sample.places_mm]
    skips = [
        (shown[number], shown[number + 1], missing)
        for number, gap in enumerate(sample.gaps_mm)
        if (missing := missing_plants(gap, planting.spacing_mm))
    ]
    label = localizer.t(BED_AND_ROW, bed=localizer.name(planting.bed), row=sample.row)
    return Tape(label, _on_tape(sample.length_mm, localizer), tuple(shown), tuple(skips))


def _on_tape(mm: float, localizer: Localizer) -> float:
    return mm_to_inches(mm) if localizer.feet else mm / MM_PER_CM


def odd_table(found: Iterable[OddRow], localizer: Localizer) -> Table:
    """The rows with more misses than luck gives them."""
    t = localizer.t
    columns = (
        Column(t("row"), words=True),
        Column(t("day"), words=True),
        Column(t("places")),
        Column(t("misses")),
        Column(t("as the\nother rows")),
        Column(t("crew"), words=True),
        Column(t("note"), words=True),
    )
    rows = tuple(
        (
            localizer.row(odd.row),
            localizer.date(localizer.local(odd.row.start).date()),
            localizer.fixed(odd.places),
            str(odd.row.misses),
            localizer.fixed(odd.expected, 1),
            localizer.name(" + ".join(odd.row.crew)),
            odd.row.note,
        )
        for odd in found
    )
    return Table(columns, rows)
