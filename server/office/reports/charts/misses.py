"""The picture of what goes with misses: a dot for each effect, its interval, and the line where nothing differs."""

from functools import lru_cache
from typing import NamedTuple

import altair as alt

from server.office.reports.charts.base import (
    ACCENT,
    BAR_STEP,
    INK,
    KEPT,
    SAME_FIGURES,
    Chart,
    draw,
    names_axis,
    sized,
    unique,
)
from server.render.localizer import Localizer

#: The picture goes no further than a tenth and ten times; an interval that does ends at its edge.
LEAST, MOST = 0.1, 10.0


class Dot(NamedTuple):
    """One effect: how many times the odds of a miss, its interval, and whether it is clear."""

    label: str
    odds: float
    low: float
    high: float
    clear: bool


@lru_cache(maxsize=KEPT)
def miss_chart(dots: tuple[Dot, ...], localizer: Localizer) -> Chart:
    """A full dot where the effect is clear, a hollow one where it may be nothing; left of the line are fewer misses."""
    t = localizer.t
    words = [t("clear"), t("not clear")]
    description = t(
        "How many times the odds of a miss, with 95% intervals, for {n} comparisons; {clear} of them clear.",
        n=len(dots),
        clear=sum(dot.clear for dot in dots),
    )
    title = t("← fewer misses | more misses →\ntimes the odds of a miss").split("\n")

    def declared(width: int) -> alt.LayerChart:
        rows = unique([_within(dot)._asdict() | {"what": words[0 if dot.clear else 1]} for dot in dots])
        scale = alt.Scale(type="log", domain=[LEAST, MOST], nice=False)
        axis = alt.Axis(values=[0.1, 0.2, 0.5, 1, 2, 5, 10], format="~g", grid=True)
        y = alt.Y("label:N", title=None, sort=None, axis=names_axis(width))
        x = alt.X("odds:Q", title=title, axis=axis, scale=scale)
        legend = alt.Legend(orient="top", title=None, symbolSize=100, labelLimit=width)
        base = alt.Chart(alt.InlineData(values=rows))
        same = alt.Chart(alt.InlineData(values=[{"same": 1}]))
        return sized(
            alt.LayerChart(
                layer=[
                    same.mark_rule(strokeDash=[5, 3], strokeWidth=2).encode(
                        x=alt.X("same:Q", title=title, scale=scale)
                    ),
                    base.mark_rule(strokeWidth=2).encode(x=alt.X("low:Q", title=title, scale=scale), x2="high:Q", y=y),
                    base.mark_point(size=110, opacity=1, strokeWidth=2, shape="circle", stroke=INK).encode(
                        x=x,
                        y=y,
                        fill=alt.Fill("what:N", scale=alt.Scale(domain=words, range=[ACCENT, "#fff"]), legend=legend),
                    ),
                ]
            ),
            width,
            height=len(dots) * BAR_STEP,
        )

    return draw(declared, f"{description} {t(SAME_FIGURES)}", localizer)


def _within(dot: Dot) -> Dot:
    odds, low, high = (min(MOST, max(LEAST, each)) for each in (dot.odds, dot.low, dot.high))
    return dot._replace(odds=odds, low=low, high=high)
