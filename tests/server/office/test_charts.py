"""Charts: pictures that need no script and no network, read without colour, and are drawn once."""

import re
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from server.office.reports.charts import base as charts
from server.office.reports.charts.base import ACCENT, NARROW, WIDE, Bar, Chart, bars
from server.office.reports.charts.soil import DryingDay, History, Mark, drying_chart, history_chart
from server.office.reports.charts.stand import Full, Tape, stand_chart, tape_chart
from server.render.localizer import Localizer

ENGLISH, SPANISH = Localizer("en"), Localizer("es", zone=ZoneInfo("Europe/Madrid"))
NASTY = "<b>Bed</b> & <script>alert(1)</script>"
LINES = (Bar("Ana + Ben", 1234.5, "1,235"), Bar("Cy", 800, "800", marked=True), Bar("Cy", 1500, "1,500"))
HISTORY = History(
    ("Bed 1", "Bed 2"),
    (
        Mark("Bed 1", datetime(2026, 5, 4, 7, tzinfo=UTC), "Ready"),
        Mark("Bed 2", datetime(2026, 5, 6, 7, tzinfo=UTC), "Not fit"),
    ),
    (Mark("Bed 1", datetime(2026, 5, 4, 12, tzinfo=UTC), "planted"),),
    ((date(2026, 5, 5), 12.0),),
    date(2026, 5, 1),
    date(2026, 5, 9),
)
DRYING = tuple(DryingDay(date(2026, 5, day), 0.9 - day / 20, 1 - day / 20, 1.0) for day in range(1, 8))


def every_kind() -> dict[str, Chart]:
    return {
        "bars": bars(LINES, "ft an hour", ENGLISH, (900.0, "by hand")),
        "stand": stand_chart((Full("Bed 1", 0.99, 0.95, 0.9, 0.98), Full("Bed 2", None)), ENGLISH),
        "tape": tape_chart((Tape("Bed 1, row 1", 20.0, (0.0, 2.0, 8.0), ((2.0, 8.0, 2),)),), "in", ENGLISH),
        "history": history_chart(HISTORY, "looks", ENGLISH),
        "drying": drying_chart(DRYING, 0.75, "drying", ENGLISH),
    }


def texts(svg: str) -> list[str]:
    return re.findall(r"<text[^>]*>([^<]*)</text>", svg)


def width(svg: str) -> float:
    return float(re.findall(r'viewBox="0 0 (\d+)', svg)[0])


@pytest.mark.parametrize("kind", every_kind())
def test_a_chart_runs_nothing_and_asks_for_nothing(kind: str) -> None:
    chart = every_kind()[kind]

    for svg in (chart.wide, chart.narrow):
        assert svg.startswith("<svg")
        assert not re.search(r"<script|<image|<foreignObject|style=|href=|on\w+=", svg)
        assert not re.search(r"url\((?!#)", svg)


@pytest.mark.parametrize("kind", every_kind())
def test_a_chart_has_the_width_it_was_drawn_for(kind: str) -> None:
    chart = every_kind()[kind]

    assert width(chart.wide) == pytest.approx(WIDE, abs=12)
    assert width(chart.narrow) == pytest.approx(NARROW, abs=12)


def test_a_marked_bar_differs_by_its_hatching() -> None:
    fills = re.findall(r'<path d="M0[^"]*" fill="([^"]*)"', bars(LINES, "ft", ENGLISH).wide)

    assert fills[0] == fills[2] == ACCENT
    assert fills[1].startswith("url(#hatch-")


def test_two_charts_on_one_page_do_not_share_a_pattern() -> None:
    ids = [
        re.findall(r'id="(hatch-\w+)"', svg) for chart in every_kind().values() for svg in (chart.wide, chart.narrow)
    ]

    assert len({each for found in ids for each in found}) == len(ids)


def test_verdicts_differ_by_shape_and_are_named() -> None:
    ready, not_fit, planted = (
        re.findall(r'transform="translate\([^"]*\)" d="([^"]*)"', history_chart(HISTORY, "", ENGLISH).wide)[number]
        for number in (0, 1, 2)
    )
    assert len({ready, not_fit, planted}) == 3
    assert {"Ready", "Wait", "Not fit", "planted"} <= set(texts(history_chart(HISTORY, "", ENGLISH).wide))


def test_two_lines_of_one_name_stay_two_bars() -> None:
    assert {"1,235", "800", "1,500"} <= set(texts(bars(LINES, "ft", ENGLISH).wide))
    assert len(re.findall(r'fill="(?:url|#7c3410)', bars(LINES, "ft", ENGLISH).wide)) == 3 + 1  # the pattern's own


def test_figures_and_days_at_the_axes_are_written_the_local_way() -> None:
    line = (Bar("Ana", 4000.0, "4 000"),)

    assert "2,000" in texts(bars(line, "ft", ENGLISH).wide)
    assert "2.000" in texts(bars(line, "ft", SPANISH).wide)
    assert "May 3" in texts(history_chart(HISTORY, "", ENGLISH).wide)
    assert "3 may" in texts(history_chart(HISTORY, "", SPANISH).wide)


def test_what_people_have_typed_is_shown_as_text() -> None:
    chart = bars((Bar(NASTY, 3.0, NASTY),), NASTY, ENGLISH, (1.0, NASTY))

    assert "<b>" not in chart.wide
    assert "<script" not in chart.wide
    assert "&lt;script&gt;" in chart.wide


def test_a_chart_says_what_it_shows() -> None:
    told = bars(LINES, "ft an hour", ENGLISH, (900.0, "by hand")).description

    assert told == (
        "Bars of ft an hour for 3, from 800 (Cy) to 1,500 (Cy). A line marks by hand. The table has the same figures."
    )


def test_the_same_chart_is_drawn_once() -> None:
    lines = (Bar("once", 1.0, "1"),)

    assert bars(lines, "ft", ENGLISH) is bars(lines, "ft", Localizer("en"))
    assert bars(lines, "ft", ENGLISH) is not bars(lines, "ft", SPANISH)


def test_all_bars_of_no_length_are_still_a_picture() -> None:
    assert "0" in texts(bars((Bar("Ana", 0.0, "0"),), "ft", ENGLISH).wide)


def test_the_renderer_can_be_woken_before_the_first_page() -> None:
    charts.wake()


def test_a_sign_that_no_drawing_can_hold_is_shown_as_unknown() -> None:
    """The renderer does not refuse it: it ends the process, and the whole service with it."""
    drawn = bars((Bar("Ana\x01\x1f\uffff\U0001f955", 1.0, "1"), Bar("Cy", 2.0, "2")), "ft", ENGLISH)

    assert "Ana\N{REPLACEMENT CHARACTER}" in drawn.wide
    assert "\x01" not in drawn.wide
