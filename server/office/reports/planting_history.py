"""What the pages of a bed and of a sowing show: the whole life of each planting, from the seed lot to the stand."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from server.office.reports.charts.base import Chart
from server.office.reports.day import BedNow, ToFill, bed_now, day_figures, to_fill
from server.office.reports.soil import Drying, drying, moisture_picture
from server.office.reports.stand import evenness_table, odd_table, tapes_picture
from server.office.shell.planting_facts import bed_facts, counts_table, planting_facts, sowing_facts
from server.office.shell.view import Fact, Figure
from server.render.localizer import Localizer
from server.render.tables import Column, Table, rows_table, sowing_name
from shared_models.i18n.formats import NO_VALUE
from shared_models.records.tables import Bed, Sowing, TrayCheck
from shared_models.reports.common.farm import FarmFacts
from shared_models.reports.sheets.planting_history import PlantingHistory
from shared_models.reports.soil.beds import BedSoil
from shared_models.reports.soil.history import SoilHistory


class PlantingLine(NamedTuple):
    """One planting as it is told: facts in their order, then its rows, stand and tapes."""

    anchor: str
    label: str
    facts: tuple[Fact, ...]
    figures: tuple[Figure, ...]
    rows: Table
    counts: Table
    fill: tuple[ToFill, ...]
    issues: tuple[str, ...]
    odd: Table
    evenness: Table
    tapes: Chart | None


@dataclass(frozen=True, slots=True)
class BedPage:
    """Everything on the page of a bed."""

    bed_id: str
    name: str
    facts: tuple[Fact, ...]
    soil: BedNow
    picture: Chart | None
    drying: Drying | None
    plantings: tuple[PlantingLine, ...]


@dataclass(frozen=True, slots=True)
class SowingPage:
    """Everything on the page of a sowing."""

    name: str
    facts: tuple[Fact, ...]
    trays: Table
    plantings: tuple[PlantingLine, ...]


def bed_page(
    bed: Bed,
    soil: BedSoil,
    history: SoilHistory,
    lived: Sequence[PlantingHistory],
    farm: FarmFacts,
    localizer: Localizer,
) -> BedPage:
    """Turn a bed, its soil and its plantings, latest first, into its page."""
    name = localizer.name(soil.bed)
    looked = bool(soil.checks or history.planted.get(bed.id))
    outlook = history.outlooks.get(bed.id)
    return BedPage(
        bed_id=bed.id,
        name=name,
        facts=tuple(bed_facts(bed, localizer)),
        soil=bed_now(soil, localizer),
        picture=moisture_picture(history, soil, farm, localizer) if looked else None,
        drying=drying(name, outlook, localizer) if outlook else None,
        plantings=tuple(_planting_line(each, localizer, of_bed=True) for each in reversed(lived)),
    )


def sowing_page(
    sowing: Sowing, trays: Sequence[TrayCheck], lived: Sequence[PlantingHistory], localizer: Localizer
) -> SowingPage:
    """Turn a sowing and its plantings, latest first, into its page."""
    return SowingPage(
        name=sowing_name(sowing),
        facts=tuple(sowing_facts(sowing, localizer)),
        trays=_trays(trays, localizer),
        plantings=tuple(_planting_line(each, localizer, of_bed=False) for each in reversed(lived)),
    )


def _trays(checks: Iterable[TrayCheck], localizer: Localizer) -> Table:
    t = localizer.t
    columns = (
        Column(t("day"), words=True),
        Column(t("cells seen")),
        Column(t("empty")),
        Column(t("share empty")),
        Column(t("leaves")),
        Column(t("roots hold"), words=True),
        Column(t("note"), words=True),
    )
    return Table(columns, tuple(_tray(check, localizer) for check in checks))


def _tray(check: TrayCheck, localizer: Localizer) -> tuple[str, ...]:
    share = check.cells_empty / check.cells_seen if check.cells_seen else None
    hold = {None: NO_VALUE, True: localizer.t("yes"), False: localizer.t("no")}[check.roots_hold]
    leaves = NO_VALUE if check.leaves is None else str(check.leaves)
    cells = (str(check.cells_seen), str(check.cells_empty), localizer.percent(share, 1))
    return localizer.date(check.on), *cells, leaves, hold, check.note


def _planting_line(lived: PlantingHistory, localizer: Localizer, *, of_bed: bool) -> PlantingLine:
    stand = lived.stand
    return PlantingLine(
        anchor=f"planting-{lived.planting.id}",
        label=localizer.name(lived.place.label),
        facts=tuple(_facts(lived, localizer, of_bed=of_bed)),
        figures=tuple(day_figures(lived.rates.total, localizer)) if lived.rates.rows else (),
        rows=rows_table(lived.rates, localizer),
        counts=counts_table(lived, localizer),
        fill=tuple(to_fill([stand], localizer)),
        issues=tuple(localizer.t_lazy(look) for look in stand.issues),
        odd=odd_table(lived.odd_rows, localizer),
        evenness=evenness_table([lived.evenness] if lived.evenness else [], localizer),
        tapes=tapes_picture([lived.evenness] if lived.evenness else [], localizer),
    )


def _facts(lived: PlantingHistory, localizer: Localizer, *, of_bed: bool) -> Iterable[Fact]:
    t, sowing = localizer.t, lived.sowing
    if of_bed and sowing is not None:
        yield Fact(t("Seed lot"), sowing.seed_lot or t("not entered"))
        yield Fact(t("Sowing"), sowing_name(sowing), f"/sowing/{sowing.id}")
        yield Fact(t("Sown on"), localizer.date(sowing.sown_on))
        yield from (Fact(t("Tray check"), _tray_line(check, localizer)) for check in lived.trays)
    if not of_bed:
        yield Fact(t("Bed"), localizer.name(lived.place.bed), f"/bed/{lived.place.bed_id}")
    yield from planting_facts(lived, localizer)


def _tray_line(check: TrayCheck, localizer: Localizer) -> str:
    values = {"day": localizer.date(check.on), "empty": check.cells_empty, "seen": check.cells_seen}
    line = localizer.t("{day}: {empty} of {seen} cells empty", **values)
    if check.leaves is not None:
        line += localizer.t(", {n} leaves", n=check.leaves)
    if check.roots_hold is not None:
        line += localizer.t(", roots hold") if check.roots_hold else localizer.t(", roots do not hold yet")
    return f"{line}. {check.note}" if check.note else line
