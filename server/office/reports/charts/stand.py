"""Pictures of the stand: how full each planting is, and where the plants of a tape sample stand."""

from functools import lru_cache
from typing import Any, NamedTuple

import altair as alt

from server.office.reports.charts.base import (
    ACCENT,
    BAR_STEP,
    INK,
    SAME_FIGURES,
    Chart,
    draw,
    names_axis,
    sized,
    unique,
)
from server.render.localizer import Localizer

#: The picture's left end is no nearer to full than this, so that a nearly full stand is not blown up.
NEAREST = 0.9


class Full(NamedTuple):
    """How full one planting is: as planted, and as counted with its interval."""

    label: str
    planted: float | None
    counted: float | None = None
    low: float | None = None
    high: float | None = None


@lru_cache(maxsize=512)
def stand_chart(lines: tuple[Full, ...], localizer: Localizer) -> Chart:
    """A full dot for the stand as planted, a hollow diamond on its interval for the stand as counted."""
    t = localizer.t
    shares = [each for line in lines for each in (line.planted, line.counted, line.low) if each is not None]
    least = min([NEAREST, *shares])
    domain = [max(0.0, least - 0.02), 1.0]
    words = [t("as planted"), t("as counted, with its 95% interval")]
    description = t(
        "Stand of {n} plantings, as planted and as counted, from {least} to full.",
        n=len(lines),
        least=localizer.percent(least),
    )

    def declared(width: int) -> alt.LayerChart:
        y = alt.Y("label:N", title=None, sort=None, axis=names_axis(width))
        axis = alt.Axis(format="~%", tickCount=width // 90, grid=True)
        scale = alt.Scale(domain=domain, nice=False)
        x = alt.X("share:Q", title=None, axis=axis, scale=scale)
        legend = alt.Legend(orient="top", title=None, columns=1, symbolSize=100, labelLimit=width)
        rows = unique([line._asdict() for line in lines])
        points = [_point(row, "planted", words[0]) for row in rows] + [_point(row, "counted", words[1]) for row in rows]
        spans = alt.Chart(alt.InlineData(values=[row for row in rows if row["low"] is not None]))
        marks = alt.Chart(alt.InlineData(values=[point for point in points if point["share"] is not None]))
        return sized(
            alt.LayerChart(
                layer=[
                    spans.mark_rule(strokeWidth=2).encode(x=alt.X("low:Q", title=None, scale=scale), x2="high:Q", y=y),
                    marks.mark_point(size=110, opacity=1, strokeWidth=2).encode(
                        x=x,
                        y=y,
                        shape=alt.Shape(
                            "what:N", scale=alt.Scale(domain=words, range=["circle", "diamond"]), legend=legend
                        ),
                        fill=alt.Fill("what:N", scale=alt.Scale(domain=words, range=[ACCENT, "#fff"]), legend=legend),
                        stroke=alt.Stroke("what:N", scale=alt.Scale(domain=words, range=[INK, INK]), legend=legend),
                    ),
                ]
            ),
            width,
            height=len(lines) * BAR_STEP,
        )

    return draw(declared, f"{description} {t(SAME_FIGURES)}", localizer)


def _point(row: dict[str, Any], name: str, what: str) -> dict[str, Any]:
    return {"label": row["label"], "share": row[name], "what": what}


class Tape(NamedTuple):
    """A tape sample: where the plants stand, and the skips as (from, to, missing plants)."""

    label: str
    length: float
    plants: tuple[float, ...]
    skips: tuple[tuple[float, float, int], ...]


@lru_cache(maxsize=512)
def tape_chart(tapes: tuple[Tape, ...], unit: str, localizer: Localizer) -> Chart:
    """Each plant a stroke at its place on the tape; a skip is dashed, with the number of plants that are missing."""
    description = localizer.t(
        "Tape samples, {n} of them: a stroke for each plant, and the number of missing plants over each skip.",
        n=len(tapes),
    )

    def declared(width: int) -> alt.LayerChart:
        rows = unique([tape._asdict() for tape in tapes])
        plants = [{"label": row["label"], "at": at} for row in rows for at in row["plants"]]
        skips = [
            {"label": row["label"], "at": low, "to": high, "middle": (low + high) / 2, "missing": str(missing)}
            for row in rows
            for low, high, missing in row["skips"]
        ]
        y = alt.Y("label:N", title=None, sort=[row["label"] for row in rows], axis=names_axis(width))
        most = max(tape.length for tape in tapes)
        x = alt.X(
            "at:Q", title=unit, axis=alt.Axis(tickCount=width // 90), scale=alt.Scale(domain=[0, most], nice=False)
        )
        gaps = alt.Chart(alt.InlineData(values=skips))
        return sized(
            alt.LayerChart(
                layer=[
                    alt.Chart(alt.InlineData(values=plants))
                    .mark_tick(color=INK, thickness=2, size=16)
                    .encode(x=x, y=y),
                    gaps.mark_rule(strokeDash=[3, 3], stroke=ACCENT, strokeWidth=3).encode(x=x, x2="to:Q", y=y),
                    gaps.mark_text(dy=-9).encode(x=alt.X("middle:Q", title=unit), y=y, text="missing:N"),
                ]
            ),
            width,
            height=len(tapes) * (BAR_STEP + 8),
        )

    return draw(declared, description, localizer)
