"""What the page of a day shows, in words and figures ready to print. The template only lays it out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import NamedTuple

from server.report_tables import Column, Table, how_to_check, rates_table, rows_table, shares_of, stands_table
from shared_models.errors import BadQuantity
from shared_models.reports.day import DaySheet, PlantingDays
from shared_models.reports.farm import FarmFacts
from shared_models.reports.figures import NOT_TOLD, day_words, in_farm_units, minutes, number, percent, short, unit
from shared_models.reports.look import Look
from shared_models.reports.rates import By, RateLine, RatesReport
from shared_models.reports.soil import BedSoil
from shared_models.reports.soil_words import NOBODY_LOOKED, READINESS, ago, limiting_factor, seen, state, why
from shared_models.trade.stand import planted_stand
from shared_models.units import SECONDS_PER_HOUR

#: How many checks of a bed are listed.
HISTORY = 5


class Figure(NamedTuple):
    """One of the day's few big figures."""

    label: str
    value: str
    unit: str
    beside: str


class Check(NamedTuple):
    """A soil check in the history of a bed."""

    at: str
    readiness: str
    verdict: str
    factor: str
    seen: str
    note: str
    looks: tuple[str, ...]


class BedNow(NamedTuple):
    """A bed's soil: `sign` is the name of the sign to draw beside the words."""

    name: str
    sign: str
    state: str
    why: str
    checked: str
    checks: tuple[Check, ...]


class ToFill(NamedTuple):
    """The rows of one planting that have misses left."""

    planting: str
    rows: tuple[tuple[int, int], ...]
    spares: int


class ToLookAt(NamedTuple):
    """An entry that needs a look."""

    label: str
    reasons: tuple[str, ...]
    day: date | None


@dataclass(frozen=True, slots=True)
class DayPage:
    """Everything on the page of a day."""

    farm: str
    day: date
    day_words: str
    before: date | None
    after: date | None
    any_rows: bool
    figures: tuple[Figure, ...]
    rates: tuple[tuple[str, Table], ...]
    person_rate: str
    time: Table
    rows: Table
    how_to_check: str
    stands: Table
    stand_looks: tuple[str, ...]
    fill: tuple[ToFill, ...]
    soil: tuple[BedNow, ...]
    looks: tuple[ToLookAt, ...]
    printed: str


def day_page(sheet: DaySheet, days: PlantingDays, now: datetime) -> DayPage:
    """Turn a day's sheet into its page."""
    farm = sheet.farm
    by_row = sheet.rates[By.ROW]
    return DayPage(
        farm=farm.name,
        day=sheet.day,
        day_words=day_words(sheet.day),
        before=days.before(sheet.day),
        after=days.after(sheet.day),
        any_rows=bool(by_row.rows),
        figures=tuple(_figures(by_row.total, farm)),
        rates=tuple(_rates(sheet)),
        person_rate=f"{unit(farm.units)} per person-h",
        time=_time(by_row),
        rows=rows_table(by_row, farm),
        how_to_check=how_to_check(farm),
        stands=stands_table(sheet.stands, farm),
        stand_looks=tuple(f"{stand.label}: {look}" for stand in sheet.stands.plantings for look in stand.looks),
        fill=tuple(_fill(sheet)),
        soil=tuple(_bed(bed, farm) for bed in sheet.soil.beds if bed.checks or not bed.retired),
        looks=tuple(_looks(sheet.looks, days, sheet.day, farm.day(now))),
        printed=f"{farm.local(now):%Y-%m-%d %H:%M}",
    )


def _figures(total: RateLine, farm: FarmFacts) -> Iterable[Figure]:
    done, far = total.work, unit(farm.units)
    yield Figure("Row planted", short(in_farm_units(done.length_mm, farm.units)), far, f"{short(done.rows)} rows")
    yield Figure("Plants set", number(total.plants), "", _misses(total))
    yield Figure(
        "In the field",
        number(done.field_time_s / SECONDS_PER_HOUR, 1),
        "h",
        f"{number(done.person_s / SECONDS_PER_HOUR, 1)} person-hours",
    )
    yield Figure(
        "Effective rate",
        number(in_farm_units(done.effective_mm_per_h, farm.units)),
        f"{far}/h",
        f"working {number(in_farm_units(done.working_mm_per_h, farm.units))} {far}/h, "
        f"field efficiency {percent(done.field_efficiency, 0)}",
    )
    yield Figure(
        "Per person and hour",
        number(in_farm_units(done.mm_per_person_h, farm.units)),
        far,
        f"{number(total.plants_per_person_h)} plants",
    )
    yield Figure("Planted stand", _planted(total), "", "of the places set that day")


def _misses(total: RateLine) -> str:
    return f"{short(total.misses)} misses, {short(total.filled)} filled, {short(total.doubles)} doubles"


def _planted(total: RateLine) -> str:
    if not total.plants:
        return NOT_TOLD
    try:
        return percent(planted_stand(total.plants, round(total.misses), round(total.filled)))
    except BadQuantity:
        return NOT_TOLD


def _rates(sheet: DaySheet) -> Iterable[tuple[str, Table]]:
    for by, heading in ((By.BED, "By bed"), (By.CREW, "By crew"), (By.PERSON, "By person"), (By.HOUR, "By hour")):
        yield heading, rates_table(sheet.rates[by], sheet.farm)


def _time(report: RatesReport) -> Table:
    """Where the field time went: pulling, each reason for stops, turning."""
    done = report.total.work
    stops = [(f"stop: {reason.replace('_', ' ')}", stop.seconds, str(stop.count)) for reason, stop in report.stops]
    spent = [("pulling", done.row_time_s, ""), *stops, ("turning at the headland", done.turn_time_s, "")]
    columns = (Column("time for", words=True), Column("times"), Column("min"), Column("of field\ntime"))
    rows = tuple(
        (what, count, minutes(seconds), percent(_share(seconds, done.field_time_s), 0))
        for what, seconds, count in spent
    )
    total = ("field time", "", minutes(done.field_time_s), percent(1.0, 0))
    return Table(columns, rows, total, shares_of([seconds for _, seconds, _ in spent]))


def _share(part: float, whole: float) -> float | None:
    return part / whole if whole else None


def _fill(sheet: DaySheet) -> Iterable[ToFill]:
    for stand in sheet.stands.plantings:
        if stand.fill.to_fill:
            rows = tuple((line.row, line.to_fill) for line in stand.fill.lines)
            yield ToFill(stand.label, rows, stand.fill.spares)


def _bed(bed: BedSoil, farm: FarmFacts) -> BedNow:
    checks = tuple(
        Check(
            f"{farm.local(check.at):%Y-%m-%d %H:%M}",
            check.verdict.readiness.value,
            READINESS[check.verdict.readiness],
            limiting_factor(check.verdict),
            seen(check.look, farm.units),
            check.note,
            check.looks,
        )
        for check in bed.checks[:HISTORY]
    )
    if bed.now is None:
        return BedNow(bed.bed, "look", state(bed), NOBODY_LOOKED, "", checks)
    checked = f"checked {ago(bed.checked_h_ago or 0.0)}"
    return BedNow(bed.bed, "look" if bed.stale else bed.now.readiness.value, state(bed), why(bed.now), checked, checks)


def _looks(looks: Sequence[Look], days: PlantingDays, day: date, today: date) -> Iterable[ToLookAt]:
    for look in looks:
        yield ToLookAt(look.label, look.reasons, look.day if look.day != day else None)
    for other in days.with_open_rows():
        if other != day:
            yield ToLookAt(f"Rows of {day_words(other)}", ("Some were started but not ended.",), other)
    for future in days.open_rows:
        if future > today and future != day:
            yield ToLookAt(f"Rows of {day_words(future)}", ("They are dated in the future.",), future)
