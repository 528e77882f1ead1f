"""What the page of a season shows: totals, week by week, crops, successions, beds, plantings, and what they cost."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

from server.office.reports.charts.base import Bar, Chart, bars
from server.office.reports.day import day_figures
from server.office.shell.query import FilterForm
from server.office.shell.view import Figure
from server.render.localizer import Localizer
from server.render.tables import BY, Column, Table, line_label, rates_table, sowing_name, stands_table
from shared_models.reports.pace.rates import By, RatesReport
from shared_models.reports.sheets.costs import CostSheet, PlantingCost
from shared_models.reports.sheets.season import SeasonSheet, Succession
from shared_models.reports.stand.stands import StandsReport
from shared_models.trade.planning.cost import Costs

#: More weeks than this make no picture that can be read.
MOST_WEEKS = 53
#: the least money that is shown for one plant
SMALLEST = 0.0001
PRICE_NAMES = {
    "hour": "the wage of an hour",
    "seed": "a seed",
    "chain_per_tray": "the chain of a tray",
    "mix_per_tray": "the mix of a tray",
    "plug": "a plug ready to set",
}


class CostPart(NamedTuple):
    """What is shown of the costs: tables where they are known, else what is lacking."""

    sentence: str
    beside: str
    parts: Table
    plantings: Table


@dataclass(frozen=True, slots=True)
class SeasonPage:
    """Everything on the page of a season. `costs` is None for whoever may not see wages."""

    form: FilterForm
    figures: tuple[Figure, ...]
    weeks: Chart | None
    crops: Table
    successions: Table
    beds: Table
    stands: Table
    unplanted: tuple[tuple[str, str], ...]
    costs: CostPart | None


def season_page(sheet: SeasonSheet, form: FilterForm, localizer: Localizer) -> SeasonPage:
    """Turn the sheet into its page."""
    return SeasonPage(
        form=form,
        figures=tuple(day_figures(sheet.total.total, localizer)),
        weeks=_weeks(sheet.total, localizer),
        crops=rates_table(sheet.by_crop, localizer),
        successions=_successions(sheet.successions, localizer),
        beds=rates_table(sheet.by_bed, localizer),
        stands=stands_table(StandsReport(sheet.stands, ()), localizer),
        unplanted=tuple((localizer.name(label), localizer.date(on)) for label, on in sheet.unplanted),
        costs=_costs(sheet.costs, localizer) if sheet.costs else None,
    )


def _weeks(report: RatesReport, localizer: Localizer) -> Chart | None:
    lines = [line for line in report.lines if line.plants is not None][-MOST_WEEKS:]
    shown = tuple(
        Bar(line_label(By.WEEK, line, localizer), line.plants or 0.0, localizer.fixed(line.plants)) for line in lines
    )
    return bars(shown, localizer.t("plants set in the week from"), localizer) if shown else None


def _successions(found: Iterable[Succession], localizer: Localizer) -> Table:
    t = localizer.t
    columns = (
        Column(t("sowing"), words=True),
        Column(t("seed lot"), words=True),
        Column(t("sown"), words=True),
        Column(t("planted"), words=True),
        Column(t("days after\nthe one before")),
        Column(t("beds")),
        Column(t("plants")),
        Column(t("misses")),
        Column(t("filled")),
    )
    rows = tuple(
        (
            sowing_name(each.sowing),
            each.sowing.seed_lot,
            localizer.date(each.sowing.sown_on),
            localizer.date_range(each.planted_from, each.planted_until),
            localizer.fixed(each.days_after),
            str(len(each.beds)),
            localizer.fixed(each.plants),
            str(each.misses),
            str(each.filled),
        )
        for each in found
    )
    links = tuple(f"/sowing/{each.sowing.id}" for each in found)
    return Table(columns, rows, links=links)


def _costs(sheet: CostSheet, localizer: Localizer) -> CostPart:
    t, nothing = localizer.t, Table((), ())
    if sheet.lacking:
        names = ", ".join(t(PRICE_NAMES[name]) for name in sheet.lacking)
        return CostPart(
            t(
                "Enter these prices to see the cost of each living plant: {names}.",
                names=names,
            ),
            "",
            nothing,
            nothing,
        )
    if sheet.each is None or sheet.total is None:
        return CostPart(t("No planting has both a stand and a spacing yet."), "", nothing, nothing)
    sentence = t(
        "Each of {n} living plants cost {cost}.",
        n=localizer.fixed(sheet.established),
        cost=_money(sheet.each.total, localizer),
    )
    if sheet.by_hand:
        sentence += " " + t(
            "Set by hand from plug trays, it would cost {cost}.", cost=_money(sheet.by_hand.total, localizer)
        )
    beside = t(
        "In the farm's currency. Hours are field hours; sowing and filling are not logged. Without a stand "
        "count, misses logged are used. By hand, every plug is assumed to live."
    )
    if sheet.left_out:
        left_out = localizer.tn("{n} planting is left out.", "{n} plantings are left out.", sheet.left_out)
        beside += f" {left_out} " + t("Their stand or spacing is not known.")
    return CostPart(
        sentence, beside, _parts(sheet.total, sheet.each, localizer), _by_planting(sheet.plantings, localizer)
    )


def _parts(total: Costs, each: Costs, localizer: Localizer) -> Table:
    t = localizer.t
    names = {
        "labor": t("labor"),
        "seed": t("seed"),
        "chain": t("chain"),
        "mix": t("mix"),
        "plugs": t("fill plugs"),
    }
    columns = (Column(t("for"), words=True), Column(t("altogether")), Column(t("each living\nplant")))
    rows = tuple(
        (name, localizer.fixed(getattr(total, part), 2), _money(getattr(each, part), localizer))
        for part, name in names.items()
    )
    shares = tuple(getattr(total, part) / total.total if total.total else 0.0 for part in names)
    return Table(columns, rows, (t("total"), localizer.fixed(total.total, 2), _money(each.total, localizer)), shares)


def _by_planting(found: Iterable[PlantingCost], localizer: Localizer) -> Table:
    t = localizer.t
    columns = (
        Column(t(BY[By.PLANTING]), words=True),
        Column(t("living\nplants")),
        Column(t("based on"), words=True),
        Column(t("altogether")),
        Column(t("each living\nplant")),
    )
    rows = tuple(
        (
            localizer.name(cost.label),
            localizer.fixed(cost.established),
            t("count") if cost.counted else t("misses noted"),
            localizer.fixed(cost.costs.total, 2),
            _money(cost.each.total, localizer),
        )
        for cost in found
    )
    return Table(columns, rows)


def _money(amount: float, localizer: Localizer) -> str:
    if 0 < amount < SMALLEST / 2:
        return f"< {localizer.fixed(SMALLEST, 4)}"
    return localizer.fixed(amount, 4)
