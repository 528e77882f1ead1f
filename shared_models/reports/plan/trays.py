"""Are the trays of each sowing ready to plant, how many of their cells are empty, and are there enough of them?"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from datetime import date
from enum import StrEnum

from sqlmodel import col, select

from shared_models.errors import BadQuantity
from shared_models.log.prepared_statements import chunks
from shared_models.records.tables import Sowing, TrayCheck
from shared_models.reports.common.context import ReportContext
from shared_models.reports.common.farm import FarmFacts
from shared_models.reports.common.references import References
from shared_models.trade.chain import plants_in_bed
from shared_models.trade.raising.empties import (
    MOST_CELLS,
    EmptyRate,
    TrayCount,
    TraysToSow,
    clustering_over,
    empties_not_exceeded,
    empty_rate,
    expected_empties,
    trays_to_sow,
)
from shared_models.trade.raising.germination import germination_seen, p_cell_empty
from shared_models.trade.raising.growing_time import Guide, Window, growing_time, readiness_window
from shared_models.trade.raising.tray_readiness import TrayLimits, TrayObservation, tray_verdict
from shared_models.trade.soil.readiness import Verdict

#: Trays that have fewer empty cells than the range given, and as many that have more. Common practice, no source.
TAIL = 0.05
#: How sure it should be that the trays hold the plants wanted. Common practice, no source.
SURE = 0.9


class Basis(StrEnum):
    """Where an expectation of empty cells comes from."""

    CHECKS = "checks"
    LABEL = "label"


@dataclass(frozen=True, slots=True)
class Empties:
    """Empty cells to expect in one tray; nine trays of ten have `low` to `high`."""

    basis: Basis
    p_empty: float
    expected: float
    low: int
    high: int


@dataclass(frozen=True, slots=True)
class TrayReading:
    """One check of a sowing's trays, what was seen and what it says. `note` is the person's."""

    id: str
    observed: TrayObservation
    verdict: Verdict
    note: str


@dataclass(frozen=True, slots=True)
class SowingTrays:
    """The trays of one sowing, its checks (latest first), and how they are now.

    `now` judges what the latest check saw by today's date; None without checks. `empties` go by the checks,
    else by the label; `by_label` says what the label's germination makes of them. `below_label` is whether more cells
    are empty than chance leaves open where the label is right; None where either is not known. `places` are the plants
    that its plantings have room for, else as many as its cells; `to_sow` are the trays that fill them, `short_by` how
    many of those were not sown.
    """

    sowing: Sowing
    window: Window | None
    checks: tuple[TrayReading, ...]
    now: Verdict | None
    seen: EmptyRate | None
    empties: Empties | None
    by_label: Empties | None
    germination_seen: float | None
    below_label: bool | None
    places: int | None
    to_sow: TraysToSow | None
    short_by: int | None


def tray_checks(context: ReportContext, sowings: Collection[str] | None = None) -> defaultdict[str, list[TrayCheck]]:
    """The checks of each sowing, or of these sowings, earliest first."""
    query = select(TrayCheck).where(TrayCheck.farm_id == context.farm.id, col(TrayCheck.voided).is_(False))
    query = query.order_by(col(TrayCheck.on), TrayCheck.id)
    queries = (
        [query] if sowings is None else [query.where(col(TrayCheck.sowing).in_(chunk)) for chunk in chunks(sowings)]
    )
    found: defaultdict[str, list[TrayCheck]] = defaultdict(list)
    for check in (check for each in queries for check in context.session.exec(each)):
        found[check.sowing].append(check)
    return found


def places_of(names: References) -> Mapping[str, int]:
    """How many plants the plantings of each sowing have room for, planted or not."""
    room: dict[str, int] = {}
    for planting in names.plantings.values():
        bed, sowing = names.beds.get(planting.bed), names.sowings.get(planting.sowing)
        if bed is not None and sowing is not None and not planting.voided and not bed.voided:
            plants = plants_in_bed(bed.rows, bed.length_mm, sowing.spacing_mm)
            room[sowing.id] = room.get(sowing.id, 0) + plants
    return room


def sowing_trays(
    farm: FarmFacts, sowing: Sowing, checks: Sequence[TrayCheck], room: int | None, today: date
) -> SowingTrays:
    """The trays of a sowing by these checks, earliest first; `room` is what its plantings have place for, if any."""
    window, limits = window_of(sowing), tray_limits(farm)
    readings = [_reading(check, window, limits) for check in checks]
    seen = _seen(checks)
    by_label = _by_label(sowing)
    empties = _empties(Basis.CHECKS, sowing, seen.p_empty, seen.clustering or 0.0) if seen else by_label
    places = room or (sowing.trays or 0) * sowing.cells_per_tray or None
    to_sow = _to_sow(places, empties, seen, sowing)
    latest = readings[-1] if readings else None
    return SowingTrays(
        sowing=sowing,
        window=window,
        checks=tuple(reversed(readings)),
        now=tray_verdict(replace(latest.observed, on=max(today, latest.observed.on)), limits) if latest else None,
        seen=seen,
        empties=empties,
        by_label=by_label,
        germination_seen=_germination(sowing, checks),
        below_label=_below_label(by_label, seen),
        places=places,
        to_sow=to_sow,
        short_by=max(0, to_sow.trays - sowing.trays) if to_sow and sowing.trays else None,
    )


def window_of(sowing: Sowing) -> Window | None:
    """When a sowing should be planted: as the farm says, else as the guides have it for its crop."""
    time = growing_time(sowing.crop)
    usual = readiness_window(sowing.sown_on, time) if sowing.sown_on and time else None
    first = sowing.ready_from or (usual.ready_from if usual else None)
    last = sowing.ready_until or (usual.ready_until if usual else None)
    if first is None or last is None:
        return None
    if not (sowing.ready_from or sowing.ready_until):
        return usual
    if sowing.ready_until is None:  # the farm names one end, and the guide's other end may lie before it
        last = max(first, last)
    return Window(min(first, last), last, Guide.FARM)


def tray_limits(farm: FarmFacts) -> TrayLimits:
    """The farm's limits over the usual ones. Limits that contradict each other are passed over, all of them."""
    own = {limit.name: farm.thresholds[limit.name] for limit in fields(TrayLimits) if limit.name in farm.thresholds}
    try:
        return TrayLimits(**own)
    except BadQuantity:
        return TrayLimits()


def _reading(check: TrayCheck, window: Window | None, limits: TrayLimits) -> TrayReading:
    observed = TrayObservation(
        on=check.on,
        window=window,
        leaves=check.leaves,
        roots_hold=check.roots_hold,
        cells_seen=check.cells_seen or None,
        cells_empty=check.cells_empty,
    )
    return TrayReading(check.id, observed, tray_verdict(observed, limits), check.note)


def _seen(checks: Iterable[TrayCheck]) -> EmptyRate | None:
    counts = [TrayCount(check.cells_seen, check.cells_empty) for check in checks if check.cells_seen]
    return empty_rate(counts) if counts else None


def _by_label(sowing: Sowing) -> Empties | None:
    if sowing.label_germination is None or not sowing.seeds_per_cell:
        return None
    return _empties(Basis.LABEL, sowing, p_cell_empty(sowing.label_germination, sowing.seeds_per_cell), 0.0)


def _empties(basis: Basis, sowing: Sowing, p_empty: float, clustering: float) -> Empties | None:
    cells = sowing.cells_per_tray
    if not 0 < cells <= MOST_CELLS:
        return None
    low, high = (empties_not_exceeded(share, cells, p_empty, clustering) for share in (TAIL, 1 - TAIL))
    return Empties(basis, p_empty, expected_empties(cells, p_empty), low, high)


def _germination(sowing: Sowing, checks: Iterable[TrayCheck]) -> float | None:
    cells = [(check.cells_seen, check.cells_empty) for check in checks if check.cells_seen]
    if not cells or not sowing.seeds_per_cell:
        return None
    seen, empty = (sum(each) for each in zip(*cells, strict=True))
    return germination_seen(seen, empty, sowing.seeds_per_cell)


def _below_label(by_label: Empties | None, seen: EmptyRate | None) -> bool | None:
    if by_label is None or seen is None or seen.cells > MOST_CELLS:
        return None
    empty = round(seen.p_empty * seen.cells)
    likeness = clustering_over(seen.trays, seen.cells / seen.trays, seen.clustering or 0.0)
    return empty > empties_not_exceeded(1 - TAIL, seen.cells, by_label.p_empty, likeness)


def _to_sow(places: int | None, empties: Empties | None, seen: EmptyRate | None, sowing: Sowing) -> TraysToSow | None:
    if places is None or empties is None:
        return None
    clustering = (seen.clustering or 0.0) if seen and empties.basis is Basis.CHECKS else 0.0
    try:
        return trays_to_sow(places, empties.p_empty, SURE, clustering, sowing.cells_per_tray)
    except BadQuantity:  # hardly a cell holds a plant: no number of such trays would do
        return None
