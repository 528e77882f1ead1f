"""What the pages of a bed and of a sowing show: the whole life of each planting, from the seed lot to the stand."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from server.office.reports.charts.base import Chart
from server.office.reports.day import BedNow, ToFill, bed_now, day_figures, to_fill
from server.office.reports.soil import Drying, drying, moisture_picture
from server.office.reports.stand import evenness_table, odd_table, tapes_picture
from server.office.shell.view import Fact, Figure
from server.render.localizer import Localizer
from server.render.tables import Column, Table, rows_table
from shared_models.core.vocabulary import Texture
from shared_models.i18n.formats import NO_VALUE
from shared_models.i18n.labels import READINESS, TEXTURES, inline
from shared_models.records.tables import Bed, Sowing, TrayCheck
from shared_models.reports.common.farm import FarmFacts
from shared_models.reports.sheets.planting_history import PlantingHistory
from shared_models.reports.soil.beds import BedSoil, SoilReading
from shared_models.reports.soil.history import SoilHistory
from shared_models.reports.soil.wording import observation_text, why


class Life(NamedTuple):
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
    lives: tuple[Life, ...]


@dataclass(frozen=True, slots=True)
class SowingPage:
    """Everything on the page of a sowing."""

    name: str
    facts: tuple[Fact, ...]
    trays: Table
    lives: tuple[Life, ...]


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
        lives=tuple(_life(each, localizer, of_bed=True) for each in reversed(lived)),
    )


def sowing_page(
    sowing: Sowing, trays: Sequence[TrayCheck], lived: Sequence[PlantingHistory], localizer: Localizer
) -> SowingPage:
    """Turn a sowing and its plantings, latest first, into its page."""
    return SowingPage(
        name=sowing_name(sowing),
        facts=tuple(sowing_facts(sowing, localizer)),
        trays=_trays(trays, localizer),
        lives=tuple(_life(each, localizer, of_bed=False) for each in reversed(lived)),
    )


def sowing_name(sowing: Sowing) -> str:
    """Crop, variety and code."""
    return " ".join(part for part in (sowing.crop, sowing.variety, sowing.code) if part)


def bed_facts(bed: Bed, localizer: Localizer) -> Iterable[Fact]:
    """A bed's measures, and whether it is still planted."""
    t = localizer.t
    yield Fact(t("Length"), f"{localizer.length_figure(bed.length_mm, 1)} {localizer.unit}")
    yield Fact(t("Rows"), str(bed.rows))
    yield Fact(t("Soil texture"), t(TEXTURES[Texture(bed.texture)]) if bed.texture else t("not entered"))
    if bed.retired or bed.voided:
        yield Fact(t("State"), t("deleted") if bed.voided else t("no longer planted"))


def sowing_facts(sowing: Sowing, localizer: Localizer) -> Iterable[Fact]:
    """From the seed lot to when its plants are ready."""
    t = localizer.t
    yield Fact(t("Seed lot"), sowing.seed_lot or t("not entered"))
    yield Fact(t("Supplier"), sowing.supplier or t("not entered"))
    yield Fact(t("Sown on"), localizer.date(sowing.sown_on))
    trays = localizer.fixed(sowing.trays)
    yield Fact(t("Trays"), t("{trays} of {cells} cells", trays=trays, cells=sowing.cells_per_tray))
    yield Fact(t("Seeds per cell"), str(sowing.seeds_per_cell))
    yield Fact(t("Spacing"), localizer.spacing(sowing.spacing_mm))
    yield Fact(t("Germination on the label"), localizer.percent(sowing.label_germination))
    if sowing.ready_from or sowing.ready_until:
        yield Fact(t("Ready to plant"), localizer.date_range(sowing.ready_from, sowing.ready_until))
    if sowing.voided:
        yield Fact(t("State"), t("deleted"))


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
    told = (str(check.cells_seen), str(check.cells_empty), localizer.percent(share, 1))
    return localizer.date(check.on), *told, leaves, hold, check.note


def _life(lived: PlantingHistory, localizer: Localizer, *, of_bed: bool) -> Life:
    """One planting; on its bed's page the sowing is told, on its sowing's page the bed."""
    stand = lived.stand
    return Life(
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


def planting_facts(lived: PlantingHistory, localizer: Localizer) -> Iterable[Fact]:
    """From the plan to the stand."""
    t, sowing, stand = localizer.t, lived.sowing, lived.stand
    if lived.planting.planned_on:
        yield Fact(t("Planned for"), localizer.date(lived.planting.planned_on))
    yield Fact(t("Soil before planting"), _soil(lived.soil, localizer))
    yield Fact(t("Planted"), _planted(stand.planted_from, stand.planted_until, sowing, localizer))
    counted = stand.counted
    if stand.planted is not None:
        yield Fact(t("Planted stand"), localizer.percent(stand.planted, 1))
    if counted:
        interval = counted.stand.interval
        shares = localizer.percent(counted.stand.proportion, 1), localizer.percent_range(interval.low, interval.high)
        yield Fact(t("Counted stand"), t("{share} (95% interval {range})", share=shares[0], range=shares[1]))
    if lived.planting.note:
        yield Fact(t("Note"), lived.planting.note)


def _tray_line(check: TrayCheck, localizer: Localizer) -> str:
    told = {"day": localizer.date(check.on), "empty": check.cells_empty, "seen": check.cells_seen}
    line = localizer.t("{day}: {empty} of {seen} cells empty", **told)
    if check.leaves is not None:
        line += localizer.t(", {n} leaves", n=check.leaves)
    if check.roots_hold is not None:
        line += localizer.t(", roots hold") if check.roots_hold else localizer.t(", roots do not hold yet")
    return f"{line}. {check.note}" if check.note else line


def _soil(check: SoilReading | None, localizer: Localizer) -> str:
    if check is None:
        return localizer.t("not checked")
    verdict = inline(localizer.t(READINESS[check.verdict.readiness]))
    told = (
        f"{localizer.date_time(check.at)}: {verdict} ({observation_text(check.observed, localizer)}).",
        why(check.verdict, localizer),
        check.note,
    )
    return " ".join(part for part in told if part)


def _planted(first: date | None, last: date | None, sowing: Sowing | None, localizer: Localizer) -> str:
    if first is None:
        return localizer.t("not yet")
    days = localizer.date_range(first, last)
    if sowing is None or sowing.sown_on is None:
        return days
    return localizer.t("{days}, {n} days after sowing", days=days, n=(first - sowing.sown_on).days)


def counts_table(lived: PlantingHistory, localizer: Localizer) -> Table:
    """The stand counts of a planting, round by round."""
    t = localizer.t
    columns = (
        Column(t("counted\non"), words=True),
        Column(t("days after\nplanting")),
        Column(t("samples")),
        Column(t("plants")),
        Column(t("places")),
        Column(t("stand")),
        Column(t("95%\ninterval"), words=True),
    )
    rows = tuple(
        (
            localizer.date(each.on),
            NO_VALUE if each.days_after_planting is None else str(each.days_after_planting),
            str(each.stand.samples),
            localizer.fixed(each.stand.plants),
            localizer.fixed(each.stand.positions),
            localizer.percent(each.stand.proportion, 1),
            localizer.percent_range(each.stand.interval.low, each.stand.interval.high),
        )
        for each in lived.stand.rounds
    )
    return Table(columns, rows)
