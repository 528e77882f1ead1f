"""Charts as pictures in the page: declared with Altair, drawn to SVG on the service, so a browser runs no script.

Every chart is drawn twice, for a wide page (and paper) and for a phone. It reads in black and white: shapes, hatching
and labels tell things apart, never color alone. What it shows also stands in a table or list of the page; for those
who hear the page it is one sentence.
"""

import json
import re
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from hashlib import sha256
from typing import Any, NamedTuple

import altair as alt
import vl_convert
from markupsafe import Markup

from server.render.localizer import Localizer
from shared_models.i18n.formats import fill_pattern

WIDE, NARROW = 600, 322
#: the page's own letters and lines, also where it is printed
INK = "currentColor"
ACCENT = "#7c3410"
RULE = "#b7aa99"
HATCH = "url(#hatch)"
#: drawn charts that are kept, so that a page that is opened again costs nothing
KEPT = 512
#: height that one line of a chart takes, and how much longer than the longest bar there is room for its figure
BAR_STEP, ROOM_FOR_FIGURES = 26, 1.18
#: what of a picture's width the names before its lines may take
NAMES_SHARE = 0.4
_D3_FIELDS = {
    "y": "%Y",
    "MMM": "%b",
    "d": "%-d",
    "dd": "%d",
    "H": "%-H",
    "HH": "%H",
    "h": "%-I",
    "mm": "%M",
    "a": "%p",
}
SAME_FIGURES = "The table has the same figures."

#: whatever is no Char of XML 1.0
_UNDRAWABLE = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_HATCH = (
    '<defs><pattern id="{id}" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
    '<rect width="6" height="6" fill="#fff"/><rect width="2.4" height="6" fill="' + ACCENT + '"/></pattern></defs>'
)
_LETTERS = {"font": "DejaVu Sans", "fontSize": 12}
_AXIS = {
    "labelFont": _LETTERS["font"],
    "titleFont": _LETTERS["font"],
    "labelFontSize": 12,
    "titleFontSize": 12,
    "titleFontWeight": "normal",
    "labelColor": INK,
    "titleColor": INK,
    "domainColor": INK,
    "tickColor": INK,
    "gridColor": RULE,
    "gridDash": [1, 3],
    "labelLimit": 240,
}
_THEME = {
    "background": "transparent",
    "view": {"stroke": None},
    "legend": {"labelFont": _LETTERS["font"], "labelColor": INK},
    "axis": _AXIS,
    "text": {**_LETTERS, "fill": INK},
    "rule": {"stroke": INK},
    "aria": False,
}


@dataclass(frozen=True, slots=True)
class Chart:
    """A chart for wide pages and for narrow ones, and the sentence that says what it shows."""

    wide: Markup
    narrow: Markup
    description: str


Declared = alt.Chart | alt.LayerChart | alt.VConcatChart


def draw(declared: Callable[[int], Declared], description: str, localizer: Localizer) -> Chart:
    """Draw what is declared for a width in pixels."""
    return Chart(_picture(declared(WIDE), localizer), _picture(declared(NARROW), localizer), description)


def _picture(declared: Declared, localizer: Localizer) -> Markup:
    spec = json.dumps(_drawable(declared.to_dict()), ensure_ascii=False)
    svg = vl_convert.vegalite_to_svg(
        spec,
        config=_THEME,
        allowed_base_urls=[],
        format_locale=_figures(localizer),
        time_format_locale=_days(localizer),
    )
    name = "hatch-" + sha256(spec.encode()).hexdigest()[:12]
    head, mark, rest = svg.partition(">")
    drawn = head + ' aria-hidden="true" focusable="false"' + mark + _HATCH.replace("{id}", name) + rest
    return Markup(drawn.replace(HATCH, f"url(#{name})"))  # noqa: S704 - the renderer escapes what people have typed


def _drawable(value: Any) -> Any:
    """The same without signs that no XML may hold: of one in a bed's name the renderer would end the whole service."""
    if isinstance(value, str):
        return _UNDRAWABLE.sub("\N{REPLACEMENT CHARACTER}", value)
    if isinstance(value, dict):
        return {name: _drawable(each) for name, each in value.items()}
    return [_drawable(each) for each in value] if isinstance(value, list) else value


def wake() -> None:
    """Have the renderer ready before somebody waits for the first picture."""
    vl_convert.vegalite_to_svg({"mark": "bar", "data": {"values": [{}]}}, allowed_base_urls=[])


def day_format(localizer: Localizer) -> str:
    """How a day stands at an axis."""
    return _d3(localizer.conventions.month_day)


def _figures(localizer: Localizer) -> dict[str, Any]:
    conventions = localizer.conventions
    return {
        "decimal": conventions.point,
        "thousands": conventions.thousands,
        "percent": conventions.percent.removeprefix("{n}"),
        "grouping": [3],
        "currency": ["", ""],
    }


def _days(localizer: Localizer) -> dict[str, Any]:
    conventions = localizer.conventions
    weekdays = [conventions.weekdays[day - 1] for day in range(7)]
    return {
        "dateTime": "%x %X",
        "date": _d3(conventions.date),
        "time": _d3(conventions.time),
        "periods": conventions.half_days,
        "days": weekdays,
        "shortDays": [day[:3] for day in weekdays],
        "months": conventions.months,
        "shortMonths": conventions.short_months,
    }


def _d3(pattern: str) -> str:
    return fill_pattern(pattern, _D3_FIELDS.__getitem__)


class Bar(NamedTuple):
    """A bar: what it stands for, how long it is, and the figure as it is said. A `marked` one is hatched."""

    label: str
    value: float
    shown: str
    marked: bool = False


@lru_cache(maxsize=KEPT)
def bars(lines: tuple[Bar, ...], title: str, localizer: Localizer, line: tuple[float, str] | None = None) -> Chart:
    """Bars one below the other, each with its figure; `line` is a figure to compare with, drawn across and named."""

    def declared(width: int) -> alt.LayerChart:
        y = alt.Y("label:N", title=None, sort=None, axis=names_axis(width))
        data = alt.InlineData(values=unique([bar._asdict() for bar in lines]))
        most = max([bar.value for bar in lines] + ([line[0]] if line else []))
        x = alt.X(
            "value:Q", title=title, axis=_figures_axis(width), scale=alt.Scale(domain=[0, most * ROOM_FOR_FIGURES])
        )
        fill = alt.condition("datum.marked", alt.value(HATCH), alt.value(ACCENT))
        base = alt.Chart(data)
        layers = [
            base.mark_bar(height=15, stroke=ACCENT).encode(x=x, y=y, fill=fill),
            base.mark_text(align="left", dx=5).encode(x=x, y=y, text="shown:N"),
        ]
        if line is not None:
            layers += _line_across(*line)
        return sized(alt.LayerChart(layer=layers), width, height=len(lines) * BAR_STEP)

    return draw(declared, _description_of(lines, title, line, localizer), localizer)


def _line_across(value: float, name: str) -> list[alt.Chart]:
    base = alt.Chart(alt.InlineData(values=[{"value": value, "name": name}]))
    x = alt.X("value:Q")
    return [
        base.mark_rule(strokeDash=[5, 3], strokeWidth=2).encode(x=x),
        base.mark_text(align="center", baseline="bottom", dy=-5, y=0).encode(x=x, text="name:N"),
    ]


def _description_of(lines: tuple[Bar, ...], title: str, line: tuple[float, str] | None, localizer: Localizer) -> str:
    least, most = min(lines, key=lambda bar: bar.value), max(lines, key=lambda bar: bar.value)
    sentences = [
        localizer.t(
            "Bars of {what} for {n}, from {least} ({least_name}) to {most} ({most_name}).",
            what=title,
            n=len(lines),
            least=least.shown,
            least_name=least.label,
            most=most.shown,
            most_name=most.label,
        )
    ]
    if line is not None:
        sentences.append(localizer.t("A line marks {name}.", name=line[1]))
    return " ".join([*sentences, localizer.t(SAME_FIGURES)])


def sized(chart: alt.LayerChart, width: int, height: int) -> alt.LayerChart:
    """The chart in a width that holds its names too, with room above for a word."""
    fit = alt.AutoSizeParams(type="fit-x", contains="padding")
    return chart.properties(
        width=width, height=height, autosize=fit, padding={"top": 22, "left": 2, "right": 6, "bottom": 2}
    )


def names_axis(width: int) -> alt.Axis:
    """The names before the lines of a chart."""
    return alt.Axis(labelLimit=round(width * NAMES_SHARE), ticks=False, domain=True)


def _figures_axis(width: int, form: str = ",.2~f") -> alt.Axis:
    return alt.Axis(tickCount=width // 90, format=form, grid=True)


def unique(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Two lines of one name stay two lines: a letter without width tells them apart."""
    met: Counter[str] = Counter()
    for row in rows:
        name = row["label"]
        row["label"] = name + "\N{ZERO WIDTH SPACE}" * met[name]
        met[name] += 1
    return rows
