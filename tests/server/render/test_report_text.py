"""Reports as text: figures a person can check, and nothing that steers a terminal."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from server.render.tables import Column, Table
from server.render.text import day_text, rates_text, soil_text, stands_text
from server.render.text_table import format_table, plain
from shared_models.log.store import open_store, sqlite_url
from shared_models.reports.pace.rates import By, rates
from shared_models.reports.sheets.day import day_sheet
from shared_models.reports.soil.beds import soil
from shared_models.reports.stand.stands import stands
from tests.shared_models.reports.support.farmbook import DAY, FarmBook, HandDay


@pytest.fixture
def book(tmp_path: Path) -> Iterator[FarmBook]:
    engine = open_store(sqlite_url(tmp_path / "log.db"))
    yield FarmBook(engine)
    engine.dispose()


@pytest.fixture
def hand_day(book: FarmBook) -> HandDay:
    return HandDay(book)


def rates_by(book: FarmBook, by: By) -> str:
    with book.reports() as reports:
        return rates_text(rates(reports, by), reports.farm)


def line_of(text: str, start: str) -> list[str]:
    """The cells of the line that starts so."""
    line = next(each for each in text.splitlines() if each.startswith(start))
    return [cell.strip() for cell in line.split("  ") if cell.strip()]


def test_the_printed_rows_are_all_it_takes_to_check_their_figures_by_hand(hand_day: HandDay) -> None:
    text = rates_by(hand_day.book, By.ROW)

    label, feet, spacing, start, end, *figures = line_of(text, "Bed 1 (North), row 2")
    minutes, stop, turn, crew, misses, working, effective, plants = figures
    assert (label, spacing, crew, misses) == ("Bed 1 (North), row 2", "2 in", "Ana + Ben", "6")
    assert (start, end, minutes) == ("8:15:00 AM", "8:30:00 AM", "15.00")
    assert float(working) == round(float(feet) / (float(minutes) - float(stop)) * 60)
    assert float(effective) == round(float(feet) / (float(minutes) + float(turn)) * 60)
    assert float(plants.replace(",", "")) == pytest.approx(float(effective) * 12 / 2, abs=3)
    assert "turn = the time since the row before" in text
    assert "Stops: tray change 3.0 min (1)." in text


def test_a_farm_that_measures_in_metres_reads_metres(hand_day: HandDay) -> None:
    hand_day.book.farm(units="metres")

    cells = line_of(rates_by(hand_day.book, By.BED), "total")

    assert cells[:3] == ["total", "3", "91.4"]
    assert "m/h" in rates_by(hand_day.book, By.BED)


def test_a_row_that_is_not_counted_is_told_with_the_reason(hand_day: HandDay) -> None:
    hand_day.book.row(hand_day.leeks, 2, "9:20", None, [hand_day.cy])

    assert "Not counted: Bed 2, row 2. It was started but not ended." in rates_by(hand_day.book, By.ROW)


def test_plants_that_cannot_be_told_are_a_dash(book: FarmBook) -> None:
    book.farm()
    book.row(book.new_id(), 1, "8:00", "8:12", [])

    assert line_of(rates_by(book, By.ROW), "unknown bed")[-1] == "–"
    assert "–" in line_of(rates_by(book, By.BED), "unknown bed")


def test_stands_tell_the_interval_and_what_to_fill(hand_day: HandDay) -> None:
    book, at = hand_day.book, hand_day.later(240).isoformat()
    book.add("stand_count", planting=hand_day.onions, at=at, row=1, sample_length_mm=3048, plants=57)
    book.add("stand_count", planting=hand_day.leeks, at=at, row=1, sample_length_mm=3048, plants=57)

    with book.reports() as reports:
        text = stands_text(stands(reports), reports.farm)

    assert line_of(text, "Onion Varna")[-4:] == ["99.7%", "95.0%", "May 14, 2026", "86.3% to 98.3%"]
    assert "To fill in Onion Varna (O1), Bed 1 (North): row 2 (4); carry 5 plants." in text
    assert "Leek, Bed 2: The count of 57 plants" in text


def test_soil_tells_verdict_reason_and_history(hand_day: HandDay) -> None:
    book = hand_day.book
    seen = {"feel": "wet", "residue_pct": 4.0, "stones": "few", "clods": "none", "soil_c": 12.0}
    tilled = hand_day.later(8).isoformat()
    book.add("soil_check", bed=hand_day.north, at=hand_day.later(7).isoformat(), tilled_at=tilled, **seen)
    book.add("soil_check", bed=hand_day.south, at=hand_day.later(-48).isoformat())
    third = book.bed("Bed 3")
    book.add("soil_check", bed=third, at=hand_day.later(9).isoformat(), tilled_at=tilled)

    with book.reports() as reports:
        facts = reports.farm
        text = soil_text(soil(reports, hand_day.later(9)), facts)

    assert "Bed 1 (North): wait, checked 2 h ago. The soil is too wet" in text
    assert "May 4, 2026, 7:00\xa0AM  wait (moisture): feels wet, residue 4%, stones few, clods none, soil 54 °F" in text
    assert "Tilled after this check" in text
    assert "Bed 2: check again (was wait), checked 2 days ago. Nobody has felt the soil yet." in text
    assert "nothing logged" in text
    assert "tilled 1 h ago" in text


@pytest.mark.parametrize(
    ("hours", "told"), [(7.2, "within the hour"), (6, "in the future"), (9, "2 h ago"), (7 + 72, "3 days ago")]
)
def test_how_long_ago_a_bed_was_looked_at_is_said_roughly(hand_day: HandDay, hours: float, told: str) -> None:
    book = hand_day.book
    book.farm(units="metres")
    book.add("soil_check", bed=hand_day.north, at=hand_day.later(7).isoformat(), feel="moist", soil_c=11.5)

    with book.reports() as reports:
        text = soil_text(soil(reports, hand_day.later(hours)), reports.farm)

    assert told in text
    assert "soil 11.5 °C" in text


def test_the_days_sheet_ends_with_what_needs_a_look(hand_day: HandDay) -> None:
    """A name that would clear the terminal is harmless."""
    hand_day.book.flag("bed", name="Bed\x1b[2J 7", length_mm=-3, rows=2)

    with hand_day.book.reports() as reports:
        text = day_text(day_sheet(reports, DAY, hand_day.later(20)))

    assert text.startswith("Alder Lane, Monday, May 4, 2026")
    assert text.endswith("Needs attention:\n  bed Bed [2J 7: length mm: must be more than 0")


def test_empty_reports_say_so(book: FarmBook) -> None:
    with book.reports() as reports:
        facts = reports.farm
        assert rates_text(rates(reports, By.BED), facts) == "No rows logged for this."
        assert stands_text(stands(reports), facts) == "No stand counts for this."
        assert soil_text(soil(reports, book.at("8:00")), facts) == "No beds yet."
        assert "The farm, Monday" in day_text(day_sheet(reports, DAY, book.at("8:00")))


@pytest.mark.parametrize(("name", "places"), [("Bed", 3), ("床", 2), ("Cafe\u0301", 4)])
def test_columns_line_up_whatever_letters_a_name_has(name: str, places: int) -> None:
    """A wide letter takes two places, an accent of its own none."""
    columns = (Column("bed", words=True), Column("ft"))

    _, rule, row, other = format_table(Table(columns, ((name, "1"), ("x", "2")))).split("\n")

    assert row.index("1") - len(name) + places == other.index("2")
    assert len(rule) == other.index("2") + 1


def test_plain_text_keeps_letters_and_drops_what_steers() -> None:
    assert plain("Bed\n7\x1b[31m é 床") == "Bed 7 [31m é 床"


def test_the_printed_day_has_a_heat_caution_where_its_weather_is_told(hand_day: HandDay) -> None:
    book = hand_day.book

    def text() -> str:
        with book.reports() as reports:
            return day_text(day_sheet(reports, DAY, hand_day.later(20)))

    assert "Heat." not in text()
    book.add("weather", on=str(DAY), t_max_c=34.0, humidity_pct=50)
    assert "Heat. High of 93 °F at 50% humidity" in text()
