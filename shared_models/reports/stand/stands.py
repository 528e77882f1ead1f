"""How full do the rows stand: as they left the transplanter, and as counted later?"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from sqlmodel import col, select

from shared_models.errors import BadQuantity
from shared_models.lazy_message import LazyMessage
from shared_models.log.prepared_statements import chunks
from shared_models.records.tables import StandCount
from shared_models.reports.common.context import ReportContext
from shared_models.reports.common.farm import FarmFacts
from shared_models.reports.common.filters import Filters
from shared_models.reports.common.references import in_order
from shared_models.reports.rows.rows import LoggedRow, complete_plantings, day_of, load_rows
from shared_models.trade.stand.stand import FillList, Stand, counted_stand, fill_list, planted_stand, positions

MORE_MISSES = "{misses} misses on {places} places: check the rows' lengths and misses."
MORE_PLANTS = (
    "The count of {plants} plants in row {row} on {on} is more than its {places} places, so it is left out; "
    "count each place once."
)


@dataclass(frozen=True, slots=True)
class Round:
    """The stand counts of one planting on one day, put together."""

    on: date
    days_after_planting: int | None
    stand: Stand


@dataclass(frozen=True, slots=True)
class PlantingStand:
    """The stand of one planting, over all its ended rows.

    `positions` and `planted` are None where the spacing is not known. `doubles` are never added to the stand.
    `rounds` are the counts, earliest first. `issues` are sentences on what could not be used.
    """

    planting_id: str
    label: str
    bed_id: str | None
    bed: str
    crop: str
    spacing_mm: float | None
    planted_from: date | None
    planted_until: date | None
    rows: int
    length_mm: int
    positions: float | None
    misses: int
    filled: int
    doubles: int
    planted: float | None
    rounds: tuple[Round, ...]
    fill: FillList
    issues: tuple[str, ...]

    @property
    def counted(self) -> Round | None:
        return self.rounds[-1] if self.rounds else None


@dataclass(frozen=True, slots=True)
class BedStand:
    """The stand of all plantings of one bed, as they left the transplanter."""

    bed_id: str | None
    bed: str
    plantings: int
    positions: float | None
    misses: int
    filled: int
    doubles: int
    planted: float | None


@dataclass(frozen=True, slots=True)
class StandsReport:
    """The stand of each planting selected, and of each bed."""

    plantings: tuple[PlantingStand, ...]
    beds: tuple[BedStand, ...]


def stands(context: ReportContext, filters: Filters | None = None) -> StandsReport:
    """The stands of the plantings with a row or a count on the days selected, each over all its rows and counts."""
    filters = filters or Filters()
    rows = load_rows(context, filters)
    return stands_of(context, {row.place.planting_id for row in rows} | plantings_counted(context, filters), rows)


def stands_of(context: ReportContext, plantings: set[str], loaded: Sequence[LoggedRow] = ()) -> StandsReport:
    """The stands of these plantings, in the order of their first rows. Rows already `loaded` are not read again."""
    rows: dict[str, list[LoggedRow]] = defaultdict(list)
    for row in complete_plantings(context, plantings, loaded):
        if not row.open:
            rows[row.place.planting_id].append(row)
    counts = stand_counts(context, plantings)
    unplanted = sorted(plantings - rows.keys(), key=lambda each: (in_order(context.references.place(each).label), each))
    found = [_planting_stand(context, each, rows[each], counts[each]) for each in [*rows, *unplanted]]
    return StandsReport(tuple(found), tuple(_by_bed(found)))


def plantings_counted(context: ReportContext, filters: Filters) -> set[str]:
    """The plantings with a stand count on the days selected."""
    farm, names = context.farm, context.references
    query = select(StandCount).where(StandCount.farm_id == farm.id, col(StandCount.voided).is_(False))
    begin, end = filters.bounds(farm.zone, timedelta(0))
    query = query.where(col(StandCount.at) >= begin) if begin else query
    counts = context.session.exec(query.where(col(StandCount.at) < end) if end else query).all()
    names.look_up({count.planting for count in counts})
    return {
        count.planting
        for count in counts
        if filters.covers(farm.day(count.at))
        and filters.planting in (None, count.planting)
        and filters.bed in (None, names.place(count.planting).bed_id)
        and filters.grows(names.place(count.planting).crop)
    }


def stand_counts(context: ReportContext, plantings: Collection[str]) -> dict[str, list[StandCount]]:
    """The stand counts of these plantings, earliest first."""
    found: dict[str, list[StandCount]] = defaultdict(list)
    for chunk in chunks(plantings):
        query = select(StandCount).where(
            StandCount.farm_id == context.farm.id,
            col(StandCount.voided).is_(False),
            col(StandCount.planting).in_(chunk),
        )
        for count in context.session.exec(query.order_by(col(StandCount.at), StandCount.id)):
            found[count.planting].append(count)
    return found


def _planting_stand(
    context: ReportContext, planting: str, rows: Sequence[LoggedRow], counts: Sequence[StandCount]
) -> PlantingStand:
    farm, place = context.farm, context.references.place(planting)
    days = sorted(day_of(row, farm) for row in rows)
    length_mm = sum(row.length_mm for row in rows)
    misses, filled = sum(row.misses for row in rows), sum(row.filled for row in rows)
    places = positions(length_mm, place.spacing_mm) if place.spacing_mm else None
    issues = [place.missing] if place.missing else []
    return PlantingStand(
        planting_id=planting,
        label=place.label,
        bed_id=place.bed_id,
        bed=place.bed,
        crop=place.crop,
        spacing_mm=place.spacing_mm,
        planted_from=days[0] if days else None,
        planted_until=days[-1] if days else None,
        rows=len({row.row for row in rows}),
        length_mm=length_mm,
        positions=places,
        misses=misses,
        filled=filled,
        doubles=sum(row.doubles for row in rows),
        planted=_planted(places, misses, filled, issues),
        rounds=_rounds(farm, counts, place.spacing_mm, days, issues),
        fill=_to_fill(rows, farm.setting("spare_fraction")),
        issues=tuple(issues),
    )


def _planted(places: float | None, misses: int, filled: int, issues: list[str]) -> float | None:
    if not places:
        return None
    try:
        return planted_stand(places, misses, filled)
    except BadQuantity:
        issues.append(LazyMessage(MORE_MISSES, misses=misses, places=f"{places:.0f}"))
        return None


def _rounds(
    farm: FarmFacts, counts: Sequence[StandCount], spacing_mm: float | None, days: Sequence[date], issues: list[str]
) -> tuple[Round, ...]:
    if spacing_mm is None:
        return ()
    samples: dict[date, list[tuple[float, float]]] = defaultdict(list)
    for count in counts:
        places, on = positions(count.sample_length_mm, spacing_mm), farm.day(count.at)
        try:
            counted_stand([(count.plants, places)])
        except BadQuantity:
            issues.append(LazyMessage(MORE_PLANTS, plants=count.plants, row=count.row, on=on, places=f"{places:.0f}"))
        else:
            samples[on].append((count.plants, places))
    return tuple(
        Round(on, (on - days[0]).days if days else None, counted_stand(found)) for on, found in samples.items()
    )


def _to_fill(rows: Iterable[LoggedRow], spare_fraction: float) -> FillList:
    by_row: dict[int, tuple[int, int]] = {}
    for row in rows:
        misses, filled = by_row.get(row.row, (0, 0))
        by_row[row.row] = (misses + row.misses, filled + row.filled)
    return fill_list([(number, *by_row[number]) for number in sorted(by_row)], spare_fraction)


def _by_bed(plantings: Sequence[PlantingStand]) -> Iterable[BedStand]:
    beds: dict[str | None, list[PlantingStand]] = defaultdict(list)
    for planting in plantings:
        beds[planting.bed_id].append(planting)
    for bed_id, inside in beds.items():
        known = [each.positions for each in inside if each.positions is not None]
        places = sum(known) if len(known) == len(inside) else None
        misses, filled = sum(each.misses for each in inside), sum(each.filled for each in inside)
        yield BedStand(
            bed_id=bed_id,
            bed=inside[0].bed,
            plantings=len(inside),
            positions=places,
            misses=misses,
            filled=filled,
            doubles=sum(each.doubles for each in inside),
            planted=_planted(places, misses, filled, []),
        )
