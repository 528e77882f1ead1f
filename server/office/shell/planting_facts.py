"""Facts of a bed, a sowing and a planting, and its stand counts, for the reports and the inspector's record."""

from collections.abc import Iterable
from datetime import date

from server.office.shell.view import Fact
from server.render.localizer import Localizer
from server.render.tables import Column, Table
from shared_models.core.vocabulary import Texture
from shared_models.i18n.formats import NO_VALUE
from shared_models.i18n.labels import READINESS, TEXTURES, inline
from shared_models.records.tables import Bed, Sowing
from shared_models.reports.sheets.planting_history import PlantingHistory
from shared_models.reports.soil.beds import SoilReading
from shared_models.reports.soil.wording import observation_text, why


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


def _soil(check: SoilReading | None, localizer: Localizer) -> str:
    if check is None:
        return localizer.t("not checked")
    verdict = inline(localizer.t(READINESS[check.verdict.readiness]))
    parts = (
        f"{localizer.date_time(check.at)}: {verdict} ({observation_text(check.observed, localizer)}).",
        why(check.verdict, localizer),
        check.note,
    )
    return " ".join(part for part in parts if part)


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
