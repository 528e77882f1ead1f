"""What problems does the plan have?

A bed booked twice, a bench that is full, a week short of hours, a day that has gone by, trays that are too few, too
young or too old on the day: each comes as data and one sentence.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from itertools import combinations
from types import MappingProxyType

from shared_models.trade.planning.sowing_plan import BenchWeek, Sowing, Week, WeekHours
from shared_models.trade.raising.growing_time import Window
from shared_models.trade.validation import not_negative, whole

#: Hours that only the adding up of parts has made.
HAIR_H = 1e-9


class ConflictKind(StrEnum):
    """What cannot be done as planned."""

    BED_TWICE = "bed_booked_twice"
    BENCH_FULL = "bench_full"
    HOURS_SHORT = "hours_short"
    SOWING_PAST = "sowing_day_past"
    PLANTING_PAST = "planting_day_past"
    TOO_YOUNG = "trays_too_young"
    TOO_OLD = "trays_too_old"
    TRAYS_SHORT = "trays_short"


#: kind -> sentence with the names of the conflict's fields, so a catalogue can translate each whole.
SENTENCES: Mapping[ConflictKind, str] = MappingProxyType(
    {
        ConflictKind.BED_TWICE: "Bed {bed} is booked twice from {begins}: {first} and {second}. Move one of them.",
        ConflictKind.BENCH_FULL: (
            "Week of {begins}: {needed} trays on a bench that holds {available}. Sow some a week later or make room."
        ),
        ConflictKind.HOURS_SHORT: (
            "Week of {begins}: {needed} hours of work, {available} available. Move a planting or get help."
        ),
        ConflictKind.SOWING_PAST: (
            "{first} should have been sown by {begins} and was not. Plant it later or buy plants."
        ),
        ConflictKind.PLANTING_PAST: "{first} was planned for {begins}. Plant it, change its date or delete it.",
        ConflictKind.TOO_YOUNG: (
            "{first} is planned before {begins}, the first day its trays are ready. Plant it then, or check if "
            "the roots hold sooner."
        ),
        ConflictKind.TOO_OLD: (
            "{first} is planned after {begins}, the last day its trays should be planted. Plant it sooner or sow again."
        ),
        ConflictKind.TRAYS_SHORT: (
            "On {begins} {first} needs {needed} trays and there are {available}. Sow more or plant fewer rows."
        ),
    }
)


@dataclass(frozen=True, slots=True)
class Conflict:
    """One thing that cannot be done: since when, which plantings and bed, how much is needed and how much there is."""

    kind: ConflictKind
    begins: date
    plantings: tuple[str, ...] = ()
    bed: str | None = None
    needed: float = 0.0
    available: float = 0.0

    @property
    def decimals(self) -> int:
        """Decimals of `needed` and `available`: hours to a tenth, trays and days whole."""
        return 1 if self.kind is ConflictKind.HOURS_SHORT else 0

    @property
    def sentence(self) -> str:
        """The conflict in one sentence for the person, and what to do."""
        first, second = (*self.plantings, "", "")[:2]
        needed, available = (f"{figure:.{self.decimals}f}" for figure in (self.needed, self.available))
        return SENTENCES[self.kind].format(
            begins=self.begins, bed=self.bed, first=first, second=second, needed=needed, available=available
        )


def bed_conflicts(sowings: Iterable[Sowing], turnaround_days: int = 0) -> list[Conflict]:
    """Pairs of plantings that want one bed at the same time.

    Formula: a planting holds its bed from its planting day to the day the bed is free, then for the days it takes to
        make the bed ready again; another may start on the day after those, or on the free day itself when they are 0. A
        planting without a free day holds its bed for good. `begins` is the day the later one would start.
    Units: days.
    Source: common practice, no source.
    Raises: BadQuantity: when the days between are not a whole number of 0 or more.
    """
    whole("turnaround_days", turnaround_days)
    wishes = sorted((sowing.wish for sowing in sowings), key=lambda wish: (wish.bed, wish.plant_on, wish.planting))
    return [
        Conflict(ConflictKind.BED_TWICE, later.plant_on, (earlier.planting, later.planting), later.bed)
        for earlier, later in combinations(wishes, 2)
        if earlier.bed == later.bed
        and (
            earlier.bed_free_on is None
            or later.plant_on < earlier.bed_free_on + timedelta(turnaround_days)
            or later.plant_on == earlier.plant_on
        )
    ]


def bench_conflicts(weeks: Iterable[BenchWeek], room_trays: int) -> list[Conflict]:
    """Weeks in which more trays would stand on the bench than it has room for.

    Formula: trays on the week's fullest day > room
    Units: trays.
    Source: arithmetic.
    Raises: BadQuantity: when the room is not a whole number of 0 or more.
    """
    whole("room_trays", room_trays)
    return [
        Conflict(ConflictKind.BENCH_FULL, week.week.monday, needed=week.trays, available=room_trays)
        for week in weeks
        if week.trays > room_trays
    ]


def hour_conflicts(
    weeks: Iterable[WeekHours], hours_a_week: float, other_weeks: Mapping[Week, float] | None = None
) -> list[Conflict]:
    """Weeks that need more person-hours than there are.

    Formula: hours of the week > hours there; `other_weeks` holds weeks with more or fewer hands than usual.
    Units: person-hours.
    Source: arithmetic.
    Raises: BadQuantity: when the hours available are below 0.
    """
    not_negative("hours_a_week", hours_a_week)
    other_weeks = other_weeks or {}
    for hours in other_weeks.values():
        not_negative("hours of a week", hours)
    return [
        Conflict(ConflictKind.HOURS_SHORT, week.week.monday, needed=week.total_h, available=there)
        for week in weeks
        if week.total_h > (there := other_weeks.get(week.week, hours_a_week)) + HAIR_H
    ]


def late_sowings(sowings: Iterable[Sowing], today: date, sown: frozenset[str] = frozenset()) -> list[Conflict]:
    """Plantings whose sowing day has gone by without their being sown.

    Formula: sowing day < today, for plantings not among those sown
    Units: days.
    Source: arithmetic.
    """
    return [
        Conflict(ConflictKind.SOWING_PAST, sowing.sow_on, (sowing.wish.planting,), needed=(today - sowing.sow_on).days)
        for sowing in sowings
        if sowing.sow_on < today and sowing.wish.planting not in sown
    ]


def late_planting(planting: str, planned_on: date, today: date) -> Conflict | None:
    """Whether the day that a planting was planned for has gone by.

    Formula: planned day < today; `needed` the days between
    Units: days.
    Source: arithmetic.
    """
    if planned_on >= today:
        return None
    return Conflict(ConflictKind.PLANTING_PAST, planned_on, (planting,), needed=(today - planned_on).days)


def age_conflict(planting: str, plant_on: date, window: Window) -> Conflict | None:
    """Whether a planting's trays are too young or too old on the day it is planned for.

    Formula: planned day < first day ready, or > last; `needed` the days between
    Units: days.
    Source: arithmetic; the window's own guide.
    """
    if plant_on < window.ready_from:
        days = (window.ready_from - plant_on).days
        return Conflict(ConflictKind.TOO_YOUNG, window.ready_from, (planting,), needed=days)
    if plant_on > window.ready_until:
        days = (plant_on - window.ready_until).days
        return Conflict(ConflictKind.TOO_OLD, window.ready_until, (planting,), needed=days)
    return None


def tray_conflicts(sowings: Iterable[Sowing], trays: int) -> list[Conflict]:
    """Plantings of one sowing that find too few of its trays left, the earlier planting served first.

    Formula: in order of the planting days, trays left = trays - those that plantings before it need; needed > left
    Units: trays.
    Source: arithmetic.
    Raises: BadQuantity: when the trays are not a whole number of 0 or more.
    """
    whole("trays", trays)
    short, left = [], trays
    for sowing in sorted(sowings, key=lambda each: (each.wish.plant_on, each.wish.planting)):
        if sowing.trays > left:
            wish = sowing.wish
            short.append(
                Conflict(
                    ConflictKind.TRAYS_SHORT,
                    wish.plant_on,
                    (wish.planting,),
                    wish.bed,
                    needed=sowing.trays,
                    available=left,
                )
            )
        left = max(0, left - sowing.trays)
    return short
