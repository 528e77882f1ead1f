"""What the pages of a bed and of a sowing show: the whole life of each planting, from the seed lot to the stand."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from server.office.reports.charts.base import Chart
from server.office.reports.day import BedNow, Figure, ToFill, bed_now, day_figures, to_fill
from server.office.reports.soil import Drying, drying, moisture_picture
from server.office.reports.stand import evenness_table, odd_table, tapes_picture
from server.render.localizer import Speech
from server.render.tables import Column, Table, rows_table
from shared_models.core.vocabulary import Texture
from shared_models.i18n.formats import NOT_TOLD
from shared_models.records.tables import Bed, Sowing, TrayCheck
from shared_models.reports.common.farm import FarmFacts
from shared_models.reports.sheets.planting_history import PlantingLife
from shared_models.reports.soil.beds import BedSoil, SoilReading
from shared_models.reports.soil.history import SoilHistory
from shared_models.reports.soil.wording import READINESS, seen, why

TEXTURES = {
    Texture.COARSE: "coarse: sand",
    Texture.MODERATELY_COARSE: "moderately coarse: sandy loam",
    Texture.MEDIUM: "medium: loam, silt loam",
    Texture.FINE: "fine: clay, clay loam",
}


class Fact(NamedTuple):
    """Something told in a pair of words; `link` leads to its own page."""

    name: str
    told: str
    link: str = ""


class Life(NamedTuple):
    """One planting as it is told: facts in their order, then its rows, stand and tapes."""

    anchor: str
    label: str
    facts: tuple[Fact, ...]
    figures: tuple[Figure, ...]
    rows: Table
    counts: Table
    fill: tuple[ToFill, ...]
    looks: tuple[str, ...]
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
    bed: Bed, soil: BedSoil, history: SoilHistory, lived: Sequence[PlantingLife], farm: FarmFacts, speech: Speech
) -> BedPage:
    """Turn a bed, its soil and its plantings, latest first, into its page."""
    name = speech.name(soil.bed)
    looked = bool(soil.checks or history.planted.get(bed.id))
    outlook = history.outlooks.get(bed.id)
    return BedPage(
        bed_id=bed.id,
        name=name,
        facts=tuple(bed_facts(bed, speech)),
        soil=bed_now(soil, speech),
        picture=moisture_picture(history, soil, farm, speech) if looked else None,
        drying=drying(name, outlook, speech) if outlook else None,
        lives=tuple(_life(each, speech, of_bed=True) for each in reversed(lived)),
    )


def sowing_page(
    sowing: Sowing, trays: Sequence[TrayCheck], lived: Sequence[PlantingLife], speech: Speech
) -> SowingPage:
    """Turn a sowing and its plantings, latest first, into its page."""
    return SowingPage(
        name=sowing_name(sowing),
        facts=tuple(sowing_facts(sowing, speech)),
        trays=_trays(trays, speech),
        lives=tuple(_life(each, speech, of_bed=False) for each in reversed(lived)),
    )


def sowing_name(sowing: Sowing) -> str:
    """Crop, variety and code."""
    return " ".join(part for part in (sowing.crop, sowing.variety, sowing.code) if part)


def bed_facts(bed: Bed, speech: Speech) -> Iterable[Fact]:
    """A bed's measures, and whether it is still planted."""
    say = speech.say
    yield Fact(say("Length"), f"{speech.far(bed.length_mm, 1)} {speech.unit}")
    yield Fact(say("Rows"), str(bed.rows))
    yield Fact(say("Soil texture"), say(TEXTURES[Texture(bed.texture)]) if bed.texture else say("not told"))
    if bed.retired or bed.voided:
        yield Fact(say("State"), say("deleted") if bed.voided else say("no longer planted"))


def sowing_facts(sowing: Sowing, speech: Speech) -> Iterable[Fact]:
    """From the seed lot to when its plants are ready."""
    say = speech.say
    yield Fact(say("Seed lot"), sowing.seed_lot or say("not told"))
    yield Fact(say("Supplier"), sowing.supplier or say("not told"))
    yield Fact(say("Sown on"), speech.date_figures(sowing.sown_on))
    trays = speech.fixed(sowing.trays)
    yield Fact(say("Trays"), say("{trays} of {cells} cells", trays=trays, cells=sowing.cells_per_tray))
    yield Fact(say("Seeds per cell"), str(sowing.seeds_per_cell))
    yield Fact(say("Spacing"), speech.spacing(sowing.spacing_mm))
    yield Fact(say("Germination on the label"), speech.percent(sowing.label_germination, 0))
    if sowing.ready_from or sowing.ready_until:
        yield Fact(say("Ready to plant"), speech.date_range(sowing.ready_from, sowing.ready_until))
    if sowing.voided:
        yield Fact(say("State"), say("deleted"))


def _trays(checks: Iterable[TrayCheck], speech: Speech) -> Table:
    say = speech.say
    columns = (
        Column(say("day"), words=True),
        Column(say("cells seen")),
        Column(say("empty")),
        Column(say("share empty")),
        Column(say("leaves")),
        Column(say("roots hold"), words=True),
        Column(say("note"), words=True),
    )
    return Table(columns, tuple(_tray(check, speech) for check in checks))


def _tray(check: TrayCheck, speech: Speech) -> tuple[str, ...]:
    share = check.cells_empty / check.cells_seen if check.cells_seen else None
    hold = {None: NOT_TOLD, True: speech.say("yes"), False: speech.say("no")}[check.roots_hold]
    leaves = NOT_TOLD if check.leaves is None else str(check.leaves)
    told = (str(check.cells_seen), str(check.cells_empty), speech.percent(share))
    return speech.date_figures(check.on), *told, leaves, hold, check.note


def _life(lived: PlantingLife, speech: Speech, *, of_bed: bool) -> Life:
    """One planting; on its bed's page the sowing is told, on its sowing's page the bed."""
    stand = lived.stand
    return Life(
        anchor=f"planting-{lived.planting.id}",
        label=speech.name(lived.place.label),
        facts=tuple(_facts(lived, speech, of_bed=of_bed)),
        figures=tuple(day_figures(lived.rates.total, speech)) if lived.rates.rows else (),
        rows=rows_table(lived.rates, speech),
        counts=counts_table(lived, speech),
        fill=tuple(to_fill([stand], speech)),
        looks=tuple(speech.told(look) for look in stand.looks),
        odd=odd_table(lived.odd_rows, speech),
        evenness=evenness_table([lived.evenness] if lived.evenness else [], speech),
        tapes=tapes_picture([lived.evenness] if lived.evenness else [], speech),
    )


def _facts(lived: PlantingLife, speech: Speech, *, of_bed: bool) -> Iterable[Fact]:
    say, sowing = speech.say, lived.sowing
    if of_bed and sowing is not None:
        yield Fact(say("Seed lot"), sowing.seed_lot or say("not told"))
        yield Fact(say("Sowing"), sowing_name(sowing), f"/sowing/{sowing.id}")
        yield Fact(say("Sown on"), speech.date_figures(sowing.sown_on))
        yield from (Fact(say("Tray check"), _tray_line(check, speech)) for check in lived.trays)
    if not of_bed:
        yield Fact(say("Bed"), speech.name(lived.place.bed), f"/bed/{lived.place.bed_id}")
    yield from planting_facts(lived, speech)


def planting_facts(lived: PlantingLife, speech: Speech) -> Iterable[Fact]:
    """From the plan to the stand."""
    say, sowing, stand = speech.say, lived.sowing, lived.stand
    if lived.planting.planned_on:
        yield Fact(say("Planned for"), speech.date_figures(lived.planting.planned_on))
    yield Fact(say("Soil before planting"), _soil(lived.soil, speech))
    yield Fact(say("Planted"), _planted(stand.planted_from, stand.planted_until, sowing, speech))
    counted = stand.counted
    if stand.planted is not None:
        yield Fact(say("Planted stand"), speech.percent(stand.planted))
    if counted:
        interval = counted.stand.interval
        shares = speech.percent(counted.stand.proportion), speech.span_of(interval.low, interval.high)
        yield Fact(say("Counted stand"), say("{share} (95 % interval {range})", share=shares[0], range=shares[1]))
    if lived.planting.note:
        yield Fact(say("Note"), lived.planting.note)


def _tray_line(check: TrayCheck, speech: Speech) -> str:
    told = {"day": speech.date_figures(check.on), "empty": check.cells_empty, "seen": check.cells_seen}
    line = speech.say("{day}: {empty} of {seen} cells empty", **told)
    if check.leaves is not None:
        line += speech.say(", {n} leaves", n=check.leaves)
    if check.roots_hold is not None:
        line += speech.say(", roots hold") if check.roots_hold else speech.say(", roots do not hold yet")
    return f"{line}. {check.note}" if check.note else line


def _soil(check: SoilReading | None, speech: Speech) -> str:
    if check is None:
        return speech.say("nobody looked")
    verdict = speech.say(READINESS[check.verdict.readiness])
    told = f"{speech.stamp(check.at)}: {verdict} ({seen(check.look, speech)}).", why(check.verdict, speech), check.note
    return " ".join(part for part in told if part)


def _planted(first: date | None, last: date | None, sowing: Sowing | None, speech: Speech) -> str:
    if first is None:
        return speech.say("not yet")
    days = speech.date_range(first, last)
    if sowing is None or sowing.sown_on is None:
        return days
    return speech.say("{days}, {n} days after sowing", days=days, n=(first - sowing.sown_on).days)


def counts_table(lived: PlantingLife, speech: Speech) -> Table:
    """The stand counts of a planting, round by round."""
    say = speech.say
    columns = (
        Column(say("counted\non"), words=True),
        Column(say("days after\nplanting")),
        Column(say("samples")),
        Column(say("plants")),
        Column(say("places")),
        Column(say("stand")),
        Column(say("95 %\ninterval"), words=True),
    )
    rows = tuple(
        (
            speech.date_figures(each.on),
            NOT_TOLD if each.days_after_planting is None else str(each.days_after_planting),
            str(each.stand.samples),
            speech.fixed(each.stand.plants),
            speech.fixed(each.stand.positions),
            speech.percent(each.stand.proportion),
            speech.span_of(each.stand.interval.low, each.stand.interval.high),
        )
        for each in lived.stand.rounds
    )
    return Table(columns, rows)
