"""A farm's log for tests of reports, kept through the real log. The farm and its people are inventions."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from itertools import count
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import Engine
from sqlmodel import Session

from shared_models.core import p256
from shared_models.core.ids import time_ordered_id
from shared_models.core.moments import Moment
from shared_models.core.revision import Revision, text_of
from shared_models.log import log
from shared_models.log.append import append
from shared_models.log.ingest import ingest
from shared_models.log.projection import RecordKey
from shared_models.log.store import reading, writing
from shared_models.records.models import moment_fields, moment_json
from shared_models.reports.common.context import ReportContext
from tests.shared_models.log.device import new_device, run_of

FT = 304.8
HUNDRED_FEET_MM = 30_480
DAY = date(2026, 5, 4)
ZONE = "America/New_York"


@dataclass
class FarmBook:
    """One farm, whose office writes every line. Times are on the farm's clock, as `8:15` of `day`."""

    engine: Engine
    zone: str = ZONE
    day: date = DAY
    id: str = ""
    _numbers: Iterator[int] = field(default_factory=lambda: count(1))

    def __post_init__(self) -> None:
        self.id = self.id or self.new_id()
        self.device = self.new_id()

    def new_id(self) -> str:
        return time_ordered_id(next(self._numbers), 0)

    def farm(self, **fields: Any) -> None:
        self.change("farm", self.id, **({"name": "Alder Lane", "zone": self.zone} | fields))

    def add(self, kind: str, **fields: Any) -> str:
        record = self.new_id()
        self.change(kind, record, **fields)
        return record

    def change(self, kind: str, record: str, **fields: Any) -> None:
        with writing(self.engine, self.id) as connection:
            append(connection, self.id, self.device, next(self._numbers), RecordKey(kind, record), fields, None)

    def flag(self, kind: str, **fields: Any) -> str:
        """A record that breaks a rule, as it may come from another device."""
        record = self.new_id()
        self.tell(kind, record, **fields)
        return record

    def tell(self, kind: str, record: str, **fields: Any) -> None:
        """A line of another device, whatever it says."""
        self._bring(next(self._numbers) << 16, kind, record, fields)

    def correct_elsewhere(self, kind: str, record: str, **fields: Any) -> None:
        """Like `tell`, after all that is written here."""
        with reading(self.engine) as connection:
            stamp = log.farm_clock(connection, self.id) + 1
        self._bring(stamp, kind, record, fields)

    def _bring(self, stamp: int, kind: str, record: str, fields: dict[str, Any]) -> None:
        other = new_device(next(self._numbers))
        text = text_of(Revision(other, 1, stamp, kind, record, fields))
        with writing(self.engine, self.id) as connection:
            assert not ingest(connection, self.id, [run_of(other, text)], p256.verify).refused

    def at(self, clock: str, day: date | None = None) -> datetime:
        hour, minute = map(int, clock.split(":"))
        on = day or self.day
        return datetime(on.year, on.month, on.day, hour, minute, tzinfo=ZoneInfo(self.zone)).astimezone(UTC)

    def moment(self, clock: str, boot: str = "", minutes: float = 0.0, day: date | None = None) -> Moment:
        return Moment(self.at(clock, day), boot, round(minutes * 60_000))

    def bed(self, name: str, **fields: Any) -> str:
        return self.add("bed", **({"name": name, "length_mm": HUNDRED_FEET_MM, "rows": 3} | fields))

    def planting(self, bed: str, crop: str, spacing_mm: float, **sowing: Any) -> str:
        sown = self.add("sowing", crop=crop, spacing_mm=spacing_mm, **sowing)
        return self.add("planting", bed=bed, sowing=sown)

    def row(
        self,
        planting: str,
        row: int,
        start: str | Moment,
        end: str | Moment | None,
        crew: list[str],
        stops: Sequence[tuple[str, str | Moment, str | Moment | None]] = (),
        **fields: Any,
    ) -> str:
        moments = moment_fields("started", self._moment(start))
        if end:
            moments |= moment_fields("ended", self._moment(end))
        noted = [
            {"reason": reason, "began": moment_json(self._moment(began))}
            | ({"ended": moment_json(self._moment(ended))} if ended else {})
            for reason, began, ended in stops
        ]
        result = {"planting": planting, "row": row, "length_mm": HUNDRED_FEET_MM, "crew": crew, "stops": noted}
        return self.add("row_pass", **(result | moments | fields))

    def _moment(self, when: str | Moment) -> Moment:
        return self.moment(when) if isinstance(when, str) else when

    @contextmanager
    def reading(self) -> Iterator[Session]:
        with reading(self.engine) as connection, Session(connection) as session:
            yield session

    @contextmanager
    def reports(self) -> Iterator[ReportContext]:
        with self.reading() as session:
            yield ReportContext.of(session, self.id)


@dataclass
class HandDay:
    """A day to check by hand, on 4 May 2026.

    Two rows of onions at 2 in (600 plants each) by Ana and Ben: 8:00 to 8:12, and 8:15 to 8:30 with 3 minutes of tray
    change, 6 misses, 2 of them filled, 1 double. Then Cy alone: a row of leeks at 6 in (200 plants), 8:45 to 9:15.
    All rows are 100 ft.
    """

    book: FarmBook

    def __post_init__(self) -> None:
        book = self.book
        book.farm()
        self.ana, self.ben, self.cy = (book.add("person", name=name) for name in ("Ana", "Ben", "Cy"))
        self.north, self.south = book.bed("Bed 1", block="North"), book.bed("Bed 2")
        self.onions = book.planting(self.north, "Onion", 50.8, variety="Varna", code="O1")
        self.leeks = book.planting(self.south, "Leek", 152.4)
        pair = [self.ana, self.ben]
        self.first = book.row(self.onions, 1, "8:00", "8:12", pair)
        stops = [("tray_change", "8:20", "8:23")]
        self.second = book.row(self.onions, 2, "8:15", "8:30", pair, stops, misses=6, filled=2, doubles=1)
        self.third = book.row(self.leeks, 1, "8:45", "9:15", [self.cy])

    def later(self, hours: float) -> datetime:
        """So many hours after the day's midnight on the farm's clock."""
        return self.book.at("0:00") + timedelta(hours=hours)
