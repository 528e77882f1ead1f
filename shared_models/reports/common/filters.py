"""Which rows a report covers."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from shared_models.errors import BadQuantity
from shared_models.lazy_message import LazyMessage
from shared_models.records.field_types import FIRST_YEAR, LAST_YEAR


@dataclass(frozen=True, slots=True)
class Filters:
    """One day of the farm, or the days from `since` through `until`; a bed, a planting (ids); a crop."""

    day: date | None = None
    since: date | None = None
    until: date | None = None
    bed: str | None = None
    planting: str | None = None
    crop: str | None = None

    def __post_init__(self) -> None:
        if self.day and (self.since or self.until):
            raise BadQuantity("day", self.day.isoformat(), "given without since and until")
        for name in ("day", "since", "until"):
            day: date | None = getattr(self, name)
            if day and not FIRST_YEAR <= day.year <= LAST_YEAR:
                raise BadQuantity(
                    name,
                    day.isoformat(),
                    LazyMessage("between the years {first} and {last}", first=str(FIRST_YEAR), last=str(LAST_YEAR)),
                )
        if self.since and self.until and self.until < self.since:
            raise BadQuantity(
                "until", self.until.isoformat(), LazyMessage("{day} or later", day=self.since.isoformat())
            )

    @property
    def first(self) -> date | None:
        return self.day or self.since

    @property
    def last(self) -> date | None:
        return self.day or self.until

    def covers(self, day: date) -> bool:
        return (self.first is None or self.first <= day) and (self.last is None or day <= self.last)

    def grows(self, crop: str) -> bool:
        return self.crop is None or self.crop.casefold() == crop.casefold()

    def bounds(self, zone: ZoneInfo, margin: timedelta) -> tuple[datetime | None, datetime | None]:
        """From when until before when, in UTC, widened by a margin at both ends."""
        begin = _midnight(self.first, zone) - margin if self.first else None
        end = _midnight(self.last + timedelta(days=1), zone) + margin if self.last else None
        return begin, end


def _midnight(day: date, zone: ZoneInfo) -> datetime:
    return datetime.combine(day, time.min, zone).astimezone(UTC)
