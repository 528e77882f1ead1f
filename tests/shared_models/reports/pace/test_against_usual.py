"""What is usual here, against figures worked out by hand. All rows are 100 ft; 15 minutes make 400 ft/h."""

from dataclasses import dataclass
from datetime import date, timedelta

import pytest

from shared_models.reports.common.farm import FarmFacts
from shared_models.reports.common.filters import Filters
from shared_models.reports.pace.against_usual import AgainstUsual, Measure, against_usual, beds_before, rows_before
from shared_models.reports.pace.rates import By, rates_of
from shared_models.reports.rows.rows import LoggedRow, load_planting_rows, load_rows
from tests.shared_models.reports.support.farmbook import DAY, FT, FarmBook

ONIONS, LEEKS = ("Onion", 50.8), ("Leek", 152.4)


@dataclass
class Days:
    """Rows of a crew on days before and on `DAY`."""

    book: FarmBook

    def __post_init__(self) -> None:
        self.book.farm()
        self.ana, self.ben = (self.book.add("person", name=name) for name in ("Ana", "Ben"))
        self.bed = self.book.bed("Bed 1")

    def planted(self, ago: int, minutes: int, crop: tuple[str, float] = ONIONS, crew: str = "", hour: int = 8) -> str:
        """A planting of one row that took some minutes, some days ago."""
        day = DAY - timedelta(days=ago)
        planting = self.book.planting(self.bed, *crop)
        begin = self.book.moment(f"{hour}:00", day=day)
        end = self.book.moment(f"{hour + minutes // 60}:{minutes % 60:02}", day=day)
        self.book.row(planting, 1, begin, end, [crew or self.ana])
        return planting

    def rows(self, day: date = DAY) -> tuple[FarmFacts, list[LoggedRow], list[LoggedRow]]:
        with self.book.reports() as reports:
            return reports.farm, load_rows(reports, Filters(day=day)), rows_before(reports, day)

    def compared(self, by: By, measure: Measure = Measure.ROW) -> AgainstUsual:
        facts, now, before = self.rows()
        return against_usual(now, before, by, facts, measure)


@pytest.fixture
def days(book: FarmBook) -> Days:
    return Days(book)


def usual_feet(compared: AgainstUsual) -> dict[str, tuple[float, int]]:
    return {
        line.label: (round(usual.rate / FT, 1), usual.times)
        for line in compared.report.lines
        if (usual := compared.usual.get(line.key))
    }


def test_the_usual_is_the_middle_one_of_the_earlier_days(days: Days) -> None:
    for ago, minutes in ((9, 15), (7, 20), (2, 120)):  # 400, 300 and, for once, 50 ft/h
        days.planted(ago, minutes)
    days.planted(0, 24)  # 250 ft/h

    compared = days.compared(By.CROP)

    assert usual_feet(compared) == {"Onion": (300, 3)}
    assert compared.total == compared.usual["onion"]
    assert compared.share(compared.report.total) == pytest.approx(250 / 300)
    assert compared.share(compared.report.lines[0]) == pytest.approx(250 / 300)


def test_the_figures_themselves_are_those_of_the_rates(days: Days) -> None:
    days.planted(3, 15)
    days.planted(0, 24)
    facts, now, _ = days.rows()

    for by in By:
        assert days.compared(by).report == rates_of(now, by, facts)


def test_like_is_compared_with_like_and_a_mix_with_the_same_mix(days: Days) -> None:
    days.planted(5, 15, ONIONS)  # 400 ft/h
    days.planted(4, 30, LEEKS)  # 200 ft/h
    days.planted(0, 15, ONIONS, hour=8)
    days.planted(0, 30, LEEKS, hour=10)

    compared = days.compared(By.BED)

    assert usual_feet(compared) == {"Bed 1": (round(800 / 3, 1), 2)}
    assert compared.share(compared.report.total) == pytest.approx(1)


def test_another_spacing_is_another_kind(days: Days) -> None:
    days.planted(5, 15, ONIONS)
    days.planted(0, 15, ("Onion", 101.6))

    compared = days.compared(By.CROP)

    assert (compared.usual, compared.total) == ({}, None)
    assert compared.share(compared.report.total) is None


def test_where_a_part_has_no_like_the_whole_is_not_compared(days: Days) -> None:
    days.planted(5, 15, ONIONS)
    days.planted(0, 15, ONIONS, hour=8)
    days.planted(0, 30, LEEKS, hour=10)

    compared = days.compared(By.CROP)

    assert usual_feet(compared) == {"Onion": (400, 1)}
    assert compared.total is None


def test_a_crew_is_compared_with_itself(days: Days) -> None:
    days.planted(5, 15, crew=days.ana)
    days.planted(4, 30, crew=days.ben)
    days.planted(0, 30, crew=days.ben)

    assert usual_feet(days.compared(By.CREW)) == {"Ben": (200, 1)}
    assert usual_feet(days.compared(By.PERSON)) == {"Ben": (200, 1)}
    assert usual_feet(days.compared(By.CROP)) == {"Onion": (300, 2)}


def test_an_hour_is_compared_with_the_same_hour_of_other_days(days: Days) -> None:
    days.planted(5, 15, hour=8)
    days.planted(4, 30, hour=14)
    days.planted(0, 20, hour=14)

    assert usual_feet(days.compared(By.HOUR)) == {"14:00": (200, 1)}


def test_a_few_minutes_are_no_day_to_go_by(days: Days) -> None:
    days.planted(5, 4)
    days.planted(4, 30)
    days.planted(0, 30)

    assert usual_feet(days.compared(By.CROP)) == {"Onion": (200, 1)}


def test_what_lies_more_than_a_year_back_is_not_looked_at(days: Days) -> None:
    days.planted(366, 15)
    days.planted(365, 30)
    days.planted(0, 30)

    assert usual_feet(days.compared(By.CROP)) == {"Onion": (200, 1)}


def test_plants_and_people_have_a_usual_of_their_own(days: Days) -> None:
    """Two people, 100 ft in a quarter of an hour; later one of them in half an hour."""
    book, pair = days.book, [days.ana, days.ben]
    day = DAY - timedelta(days=3)
    planting = book.planting(days.bed, *ONIONS)
    book.row(planting, 1, book.moment("8:00", day=day), book.moment("8:15", day=day), pair)
    days.planted(0, 30)

    found = {measure: days.compared(By.CROP, measure) for measure in Measure}

    usual = {measure: each.total.rate for measure, each in found.items() if each.total}
    assert usual == pytest.approx(
        {Measure.ROW: 400 * FT, Measure.PLANTS: 2400, Measure.ROW_PERSON: 200 * FT, Measure.PLANTS_PERSON: 1200}
    )
    assert [each.share(each.report.total) for each in found.values()] == pytest.approx([0.5, 0.5, 1, 1])


def test_where_the_spacing_is_not_known_no_plants_are_reported(days: Days) -> None:
    days.book.row(days.book.new_id(), 1, "8:00", "8:15", [days.ana])
    facts, now, before = days.rows()

    compared = against_usual(now, before, By.CROP, facts, Measure.PLANTS)

    assert Measure.PLANTS.rate(compared.report.total) is None
    assert compared.total is None


def test_a_bed_is_compared_with_the_crews_earlier_beds_of_the_same_day_too(days: Days) -> None:
    days.planted(3, 30)
    days.planted(0, 15, hour=8)
    this = days.planted(0, 20, hour=10)
    days.planted(0, 10, hour=12)
    with days.book.reports() as reports:
        now = load_planting_rows(reports, {this})
        before = beds_before(reports, now)
        nothing = beds_before(reports, [])

    compared = against_usual(now, before, By.CREW, reports.farm, each=By.PLANTING)

    assert nothing == []
    assert usual_feet(compared) == {"Ana": (300, 2)}
    assert compared.share(compared.report.total) == pytest.approx(1)
