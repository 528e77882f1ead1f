"""What the page of a season shows: totals, week by week, crops, successions, beds, plantings, and what they cost."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

from server.office.reports.charts.base import Bar, Chart, bars
from server.office.reports.day import Figure, day_figures
from server.office.reports.planting_history import sowing_name
from server.office.shell.query import AskedForm
from server.render.localizer import Speech
from server.render.tables import BY, Column, Table, line_label, rates_table, stands_table
from shared_models.reports.pace.rates import By, RatesReport
from shared_models.reports.sheets.costs import CostSheet, PlantingCost
from shared_models.reports.sheets.season import SeasonSheet, Succession
from shared_models.reports.stand.stands import StandsReport
from shared_models.trade.planning.cost import Costs

#: More weeks than this make no picture that can be read.
MOST_WEEKS = 53
#: the least money that is told of one plant
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

    form: AskedForm
    figures: tuple[Figure, ...]
    weeks: Chart | None
    crops: Table
    successions: Table
    beds: Table
    stands: Table
    unplanted: tuple[tuple[str, str], ...]
    costs: CostPart | None


def season_page(sheet: SeasonSheet, form: AskedForm, speech: Speech) -> SeasonPage:
    """Turn the sheet into its page."""
    return SeasonPage(
        form=form,
        figures=tuple(day_figures(sheet.total.total, speech)),
        weeks=_weeks(sheet.total, speech),
        crops=rates_table(sheet.by_crop, speech),
        successions=_successions(sheet.successions, speech),
        beds=rates_table(sheet.by_bed, speech),
        stands=stands_table(StandsReport(sheet.stands, ()), speech),
        unplanted=tuple((speech.name(label), speech.date_figures(on)) for label, on in sheet.unplanted),
        costs=_costs(sheet.costs, speech) if sheet.costs else None,
    )


def _weeks(report: RatesReport, speech: Speech) -> Chart | None:
    lines = [line for line in report.lines if line.plants is not None][-MOST_WEEKS:]
    told = tuple(
        Bar(line_label(By.WEEK, line, speech), line.plants or 0.0, speech.fixed(line.plants)) for line in lines
    )
    return bars(told, speech.say("plants set in the week from"), speech) if told else None


def _successions(found: Iterable[Succession], speech: Speech) -> Table:
    say = speech.say
    columns = (
        Column(say("sowing"), words=True),
        Column(say("seed lot"), words=True),
        Column(say("sown"), words=True),
        Column(say("planted"), words=True),
        Column(say("days after\nthe one before")),
        Column(say("beds")),
        Column(say("plants")),
        Column(say("misses")),
        Column(say("filled")),
    )
    rows = tuple(
        (
            sowing_name(each.sowing),
            each.sowing.seed_lot,
            speech.date_figures(each.sowing.sown_on),
            speech.date_range(each.planted_from, each.planted_until),
            speech.fixed(each.days_after),
            str(len(each.beds)),
            speech.fixed(each.plants),
            str(each.misses),
            str(each.filled),
        )
        for each in found
    )
    links = tuple(f"/sowing/{each.sowing.id}" for each in found)
    return Table(columns, rows, links=links)


def _costs(sheet: CostSheet, speech: Speech) -> CostPart:
    say, nothing = speech.say, Table((), ())
    if sheet.lacking:
        names = ", ".join(say(PRICE_NAMES[name]) for name in sheet.lacking)
        return CostPart(
            say(
                "The farm has not told its price of: {names}. "
                "With its prices, the cost of each living plant stands here.",
                names=names,
            ),
            "",
            nothing,
            nothing,
        )
    if sheet.each is None or sheet.total is None:
        return CostPart(say("No planting has both a stand and a spacing yet."), "", nothing, nothing)
    sentence = say(
        "Each of {n} living plants cost {cost}.",
        n=speech.fixed(sheet.established),
        cost=_money(sheet.each.total, speech),
    )
    if sheet.by_hand:
        sentence += " " + say(
            "Set from plug trays by hand it would be {cost}.", cost=_money(sheet.by_hand.total, speech)
        )
    beside = say(
        "In the farm's own money. Hours are those in the field; sowing and filling are not logged. A stand that was "
        "not counted goes by the misses noted. By hand, every plug is taken to live."
    )
    if sheet.left_out:
        left_out = speech.count("{n} planting is left out.", "{n} plantings are left out.", sheet.left_out)
        beside += f" {left_out} " + say("Their stand or spacing is not known.")
    return CostPart(sentence, beside, _parts(sheet.total, sheet.each, speech), _by_planting(sheet.plantings, speech))


def _parts(total: Costs, each: Costs, speech: Speech) -> Table:
    say = speech.say
    names = {
        "labour": say("labour"),
        "seed": say("seed"),
        "chain": say("chain"),
        "mix": say("mix"),
        "plugs": say("fill plugs"),
    }
    columns = (Column(say("for"), words=True), Column(say("altogether")), Column(say("each living\nplant")))
    rows = tuple(
        (name, speech.fixed(getattr(total, part), 2), _money(getattr(each, part), speech))
        for part, name in names.items()
    )
    shares = tuple(getattr(total, part) / total.total if total.total else 0.0 for part in names)
    return Table(columns, rows, (say("total"), speech.fixed(total.total, 2), _money(each.total, speech)), shares)


def _by_planting(found: Iterable[PlantingCost], speech: Speech) -> Table:
    say = speech.say
    columns = (
        Column(say(BY[By.PLANTING]), words=True),
        Column(say("living\nplants")),
        Column(say("stand by"), words=True),
        Column(say("altogether")),
        Column(say("each living\nplant")),
    )
    rows = tuple(
        (
            speech.name(cost.label),
            speech.fixed(cost.established),
            say("count") if cost.counted else say("misses noted"),
            speech.fixed(cost.costs.total, 2),
            _money(cost.each.total, speech),
        )
        for cost in found
    )
    return Table(columns, rows)


def _money(amount: float, speech: Speech) -> str:
    """A price of one plant, which is a small figure."""
    if 0 < amount < SMALLEST / 2:
        return f"< {speech.fixed(SMALLEST, 4)}"
    return speech.fixed(amount, 4)
