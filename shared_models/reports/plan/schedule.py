"""One planting worked back from its day: when to sow, what it takes, and whether its trays are right on the day."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from shared_models.errors import BadQuantity
from shared_models.records.tables import Bed, Planting, Sowing, TrayCheck
from shared_models.reports.common.references import Place, References
from shared_models.reports.plan.settings import OwnRates, PlanFigures, RateUsed
from shared_models.reports.plan.trays import SURE, SowingTrays
from shared_models.reports.rows.rows import LoggedRow
from shared_models.trade.planning.sowing_plan import PlantingWish, plan_sowing
from shared_models.trade.planning.sowing_plan import Sowing as WorkedBack
from shared_models.trade.raising.empties import WORST_P_EMPTY
from shared_models.trade.raising.growing_time import GrowingTime, Guide, Window, growing_time

#: No tray is looked back at any longer, whatever its day of sowing says.
LONGEST_DAYS = 366
#: No plan goes further ahead, whatever is asked.
MOST_AHEAD_DAYS = 3 * 366


@dataclass(frozen=True, slots=True)
class PlannedPlanting:
    """One planting to come. `plant_on` is its planned day, or today where that has gone by.

    `takes` is what it takes; None where its bed or sowing is not known or cannot be. `sown` says whether its trays are
    sown. To be ready on the day they are sown from `sow_from` to `sow_by`; None where they are sown, or where nobody
    knows how long the crop takes. `sow_on` is the day that is used: today, where `sow_by` has gone by.
    `window` is when the trays of its sowing should be planted, and `guide` whose days all this goes by.
    """

    planting_id: str
    place: Place
    sowing: Sowing | None
    planned_on: date
    plant_on: date
    takes: WorkedBack | None = None
    sown: bool = False
    sow_on: date | None = None
    sow_from: date | None = None
    sow_by: date | None = None
    guide: Guide | None = None
    window: Window | None = None
    rate: RateUsed | None = None

    @property
    def early_days(self) -> int:
        """Days from the day of planting until the trays are ready; 0 where they are."""
        return max(0, (self.window.ready_from - self.plant_on).days) if self.window else 0

    @property
    def late_days(self) -> int:
        """Days that the trays wait too long for the day of planting; 0 where they do not."""
        return max(0, (self.plant_on - self.window.ready_until).days) if self.window else 0

    @property
    def person_h(self) -> float | None:
        """Hours of one person to plant it, by the farm's own rows; None while there are none to go by."""
        return self.takes.row_mm / self.rate.mm_per_person_h if self.takes and self.rate else None


@dataclass(frozen=True, slots=True)
class PlanRecords:
    """The records that a plan is made from.

    `rows` are those of the last year, `planted` the first day of their plantings; `begun` are all plantings with a row.
    """

    names: References
    rows: Sequence[LoggedRow]
    planted: Mapping[str, date]
    begun: frozenset[str]
    checks: Mapping[str, Sequence[TrayCheck]]


@dataclass(frozen=True, slots=True)
class PlanBasis:
    """What every planting of a plan is scheduled by."""

    today: date
    figures: PlanFigures
    rates: OwnRates
    growing: Mapping[str, GrowingTime]

    @property
    def furthest(self) -> date:
        """The last day that can be planned for."""
        return self.today + timedelta(days=MOST_AHEAD_DAYS)

    def growing_time(self, crop: str) -> GrowingTime | None:
        """Days from sowing to planting: the farm's own, else a guide's."""
        return self.growing.get(crop.casefold()) or growing_time(crop)


def own_growing_times(sowings: Iterable[Sowing]) -> dict[str, GrowingTime]:
    """Days from sowing to planting of each crop on this farm, by its latest sowing with a window."""
    times: dict[str, GrowingTime] = {}
    for sowing in sorted(sowings, key=lambda each: (each.sown_on or date.min, each.id)):
        sown, first, last = sowing.sown_on, sowing.ready_from, sowing.ready_until
        if sown and first and last and not sowing.voided:
            first_days, last_days = (first - sown).days, (last - sown).days
            if 0 <= first_days <= last_days <= LONGEST_DAYS:
                times[sowing.crop.casefold()] = GrowingTime(first_days, last_days)
    return times


def schedule_planting(
    planting: Planting, place: Place, bed: Bed | None, trays: SowingTrays | None, basis: PlanBasis
) -> PlannedPlanting:
    """Work a planting back from its day."""
    planned_on = planting.planned_on or basis.today
    bare = PlannedPlanting(planting.id, place, None, planned_on, max(planned_on, basis.today))
    if bed is None or trays is None:
        return bare
    sowing, window, plant_on = trays.sowing, trays.window, bare.plant_on
    sown_on = sowing.sown_on if sowing.sown_on and sowing.sown_on <= basis.furthest else None
    sown = sown_on is not None and sown_on <= basis.today
    time = basis.growing_time(sowing.crop)
    sow_from, sow_by = _days_to_sow(plant_on, None if sown else time)
    sow_on = sown_on or (max(sow_by, basis.today) if sow_by else None)
    guide = window.guide if window else time.guide if time else None
    return replace(
        bare,
        sowing=sowing,
        takes=_takes(_wish(planting.id, bed, sowing, plant_on, sow_on or plant_on), trays, basis.figures),
        sown=sown,
        sow_on=sow_on,
        sow_from=sow_from,
        sow_by=sow_by,
        guide=guide,
        window=window,
        rate=basis.rates.of(sowing.crop),
    )


def _days_to_sow(plant_on: date, time: GrowingTime | None) -> tuple[date | None, date | None]:
    if time is None:
        return None, None
    return plant_on - timedelta(time.last_days), plant_on - timedelta(time.first_days)


def _wish(planting: str, bed: Bed, sowing: Sowing, plant_on: date, sow_on: date) -> PlantingWish:
    return PlantingWish(
        planting=planting,
        bed=bed.id,
        crop=sowing.crop,
        plant_on=plant_on,
        rows=bed.rows,
        row_mm=bed.length_mm,
        spacing_mm=sowing.spacing_mm,
        grow_days=min(LONGEST_DAYS, max(0, (plant_on - sow_on).days)),
        seeds_per_cell=sowing.seeds_per_cell,
        cells_per_tray=sowing.cells_per_tray,
    )


def _takes(wish: PlantingWish, trays: SowingTrays, figures: PlanFigures) -> WorkedBack | None:
    """With spare plants for the empty cells to expect; without, where nothing is known of them."""
    empties, seeds = trays.empties, wish.seeds_per_cell
    if empties and seeds and empties.p_empty <= WORST_P_EMPTY:
        clustering = trays.seen.clustering or 0.0 if trays.seen else 0.0
        germination = 1 - empties.p_empty ** (1 / seeds)
        wish = replace(wish, germination=germination, surely=SURE, clustering=clustering)
    try:
        return plan_sowing(wish, figures.rates(None))
    except BadQuantity:
        return None
