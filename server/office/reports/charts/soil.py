"""Pictures of the soil: looks at the beds over time with rain and planting, and how a wet bed dries."""

from datetime import date, datetime, time, timedelta
from functools import lru_cache
from typing import Any, NamedTuple

import altair as alt

from server.office.reports.charts.base import ACCENT, INK, RULE, WIDE, Chart, day_format, draw
from server.render.localizer import Localizer
from shared_models.core.units import mm_to_inches
from shared_models.core.vocabulary import Readiness
from shared_models.i18n.labels import READINESS

#: each verdict has a shape of its own, the same as the signs beside the words
SHAPES = {Readiness.READY: "circle", Readiness.WAIT: "diamond", Readiness.NOT_FIT: "square"}
FILLS = [ACCENT, "#fff", INK, "#fff"]
#: a planting points at its line from so many pixels below
PLANTED, BELOW = "triangle-up", 11
LINE_STEP, RAIN_HEIGHT = 30, 70
#: what of a picture's width the names before its lines may take
NAMES_SHARE = 0.28
#: what of the time that is shown stays free before it, so that no mark lies on the names
BEFORE_SHARE = 0.03


class Mark(NamedTuple):
    """A look at a bed, or its planting, on one line of the picture."""

    line: str
    at: datetime
    what: str


class History(NamedTuple):
    """What a picture of the soil holds: the lines from the top down, marks on them, and water by day in mm."""

    lines: tuple[str, ...]
    checks: tuple[Mark, ...]
    planted: tuple[Mark, ...]
    water_mm: tuple[tuple[date, float], ...]
    first: date
    last: date

    @property
    def shares_lines(self) -> bool:
        return not {mark.line for mark in self.checks}.isdisjoint(mark.line for mark in self.planted)


@lru_cache(maxsize=512)
def history_chart(history: History, description: str, localizer: Localizer) -> Chart:
    """Looks and plantings line by line, and below them, day by day, the water that fell."""
    words = [localizer.t(READINESS[readiness]) for readiness in SHAPES]
    planted = localizer.t("planted")

    def declared(width: int) -> alt.VConcatChart:
        names = round(width * NAMES_SHARE)
        x = _time(history, width, localizer)
        plot = width - names - 12
        domain = [*words, planted]
        legend = alt.Legend(orient="top", title=None, symbolSize=110, columns=4 if width == WIDE else 2)
        shape = alt.Shape("what:N", scale=alt.Scale(domain=domain, range=[*SHAPES.values(), PLANTED]), legend=legend)
        fill = alt.Fill("what:N", scale=alt.Scale(domain=domain, range=FILLS), legend=legend)
        stroke = alt.Stroke("what:N", scale=alt.Scale(domain=domain, range=[INK] * len(domain)), legend=legend)
        y = _lines(history, names)
        below = BELOW if history.shares_lines else 0
        layers = [
            alt.Chart(alt.InlineData(values=[_plain(mark) for mark in marks]))
            .mark_point(size=130, opacity=1, strokeWidth=2, yOffset=down)
            .encode(x=x, y=y, shape=shape, fill=fill, stroke=stroke)
            for marks, down in ((history.planted, below), (history.checks, 0))
        ]
        marks = alt.LayerChart(layer=layers).properties(width=plot, height=LINE_STEP * len(history.lines))
        return alt.vconcat(
            marks, _rain(history, x, names, localizer).properties(width=plot, height=RAIN_HEIGHT), spacing=6
        )

    return draw(declared, description, localizer)


def _plain(mark: Mark) -> dict[str, str]:
    return {"line": mark.line, "at": _moment(mark.at), "what": mark.what}


def _moment(at: datetime | date) -> str:
    return f"{at.isoformat()[:16]}Z" if isinstance(at, datetime) else f"{at.isoformat()}T12:00Z"


def _time(history: History, width: int, localizer: Localizer) -> alt.X:
    first, last = (datetime.combine(day, time()) for day in (history.first, history.last + timedelta(days=1)))
    ends = [_moment(first - (last - first) * BEFORE_SHARE), _moment(last)]
    axis = alt.Axis(format=day_format(localizer), tickCount=width // 110, grid=True, title=None, labelFlush=True)
    return alt.X("at:T", scale=alt.Scale(type="utc", domain=ends, nice=False, padding=0), axis=axis)


def _lines(history: History, names: int) -> alt.Y:
    axis = alt.Axis(labelLimit=names - 8, minExtent=names, maxExtent=names, ticks=False, grid=True, title=None)
    return alt.Y("line:N", sort=None, scale=alt.Scale(domain=list(history.lines)), axis=axis)


def _rain(history: History, x: alt.X, names: int, localizer: Localizer) -> alt.Chart:
    """Rain and irrigation by day, in the unit people read a gauge in."""
    title = localizer.t("water, in" if localizer.feet else "water, mm")
    rows: list[dict[str, Any]] = [
        {"at": _moment(on), "water": mm_to_inches(mm) if localizer.feet else mm} for on, mm in history.water_mm if mm
    ]
    least = 0.5 if localizer.feet else 12
    most = max([row["water"] for row in rows], default=0)
    beside: dict[str, Any] = {"titleAngle": 0, "titleAlign": "right", "titleX": -34, "titleY": 12}
    axis = alt.Axis(title=title, minExtent=names, maxExtent=names, tickCount=3, **beside)
    y = alt.Y("water:Q", axis=axis, scale=alt.Scale(domain=[0, max(most, least)]))
    bars: alt.Chart = alt.Chart(alt.InlineData(values=rows)).mark_bar(width=5, fill=INK).encode(x=x, y=y)
    return bars


class DryingDay(NamedTuple):
    """One day of the outlook, in shares of the available water."""

    on: date
    least: float
    likely: float
    most: float


@lru_cache(maxsize=512)
def drying_chart(days: tuple[DryingDay, ...], fit_below: float, description: str, localizer: Localizer) -> Chart:
    """How full the top soil is day by day: a line, the range around it, and the level below which the bed is fit."""

    def declared(width: int) -> alt.LayerChart:
        rows = [day._asdict() | {"on": f"{day.on.isoformat()}T00:00Z"} for day in days]
        base = alt.Chart(alt.InlineData(values=rows))
        ticks = min(len(days), width // 80)
        axis = alt.Axis(format=day_format(localizer), tickCount=ticks, grid=False, title=None, labelFlush=True)
        x = alt.X("on:T", scale=alt.Scale(type="utc"), axis=axis)
        y = alt.Y("least:Q", title=None, axis=alt.Axis(format="~%", tickCount=5), scale=alt.Scale(domain=[0, 1]))
        level = alt.Chart(alt.InlineData(values=[{"y": fit_below, "name": localizer.t("fit from here down")}]))
        layers = [
            base.mark_area(fill=RULE, opacity=0.5).encode(x=x, y=y, y2="most:Q"),
            base.mark_line(stroke=ACCENT, strokeWidth=3).encode(x=x, y="likely:Q"),
            base.mark_point(filled=True, fill=ACCENT, size=45, opacity=1).encode(x=x, y="likely:Q"),
            level.mark_rule(strokeDash=[6, 4], strokeWidth=2).encode(y="y:Q"),
            level.mark_text(align="right", baseline="top", dy=4, x="width").encode(y="y:Q", text="name:N"),
        ]
        fit = alt.AutoSizeParams(type="fit-x", contains="padding")
        return alt.LayerChart(layer=layers).properties(width=width, height=180, autosize=fit)

    return draw(declared, description, localizer)
