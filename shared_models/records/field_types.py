"""Field types of records: what a value may be, and how it is stored in SQLite and PostgreSQL alike."""

import re
from collections.abc import Callable
from datetime import UTC, date, datetime
from typing import Annotated, Any

from pydantic import AfterValidator, AwareDatetime, Field, StringConstraints
from sqlalchemy import DateTime, Dialect
from sqlalchemy.types import TypeDecorator

from shared_models.records.problems import broken


class UtcDateTime(TypeDecorator[datetime]):
    """A time in UTC: aware in Python, without zone in the database (SQLite has none)."""

    impl = DateTime
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002 - fixed signature
        return None if value is None else value.astimezone(UTC).replace(tzinfo=None)

    def bind_processor(self, dialect: Dialect) -> Callable[[datetime | None], Any] | None:
        """For SQLite, which keeps text: as SQLAlchemy writes it, in a third of the time."""
        return _sqlite_text if dialect.name == "sqlite" else super().bind_processor(dialect)

    def process_result_value(self, value: Any | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002 - fixed signature
        return None if value is None else value.replace(tzinfo=UTC)


def _sqlite_text(moment: datetime | None) -> str | None:
    return None if moment is None else moment.astimezone(UTC).isoformat(" ", "microseconds").removesuffix("+00:00")


#: the years that days and moments may lie in; what lies beyond is a slip
FIRST_YEAR, LAST_YEAR = 1900, 2200

_NOT_STORABLE = re.compile("[\x00\ud800-\udfff]")


def _storable(text: str) -> str:
    if _NOT_STORABLE.search(text):
        raise broken("characters")
    return text


_Storable = AfterValidator(_storable)


def _in_our_time(day: date) -> date:
    """A slip in the year would be a day outside of the calendar somewhere: in another zone, or some days on."""
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise broken("years", first=str(FIRST_YEAR), last=str(LAST_YEAR))
    return day


def _in_utc(moment: datetime) -> datetime:
    try:
        in_utc = moment.astimezone(UTC)
    except OverflowError as problem:  # pydantic would not make it a problem of the entry
        raise broken("calendar") from problem
    _in_our_time(in_utc)
    return in_utc


Id = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$")]
Name = Annotated[str, StringConstraints(min_length=1, max_length=120, strip_whitespace=True), _Storable]
Words = Annotated[str, StringConstraints(max_length=120), _Storable]
Note = Annotated[str, StringConstraints(max_length=4000), _Storable]
Utc = Annotated[AwareDatetime, AfterValidator(_in_utc)]
Day = Annotated[date, AfterValidator(_in_our_time)]

LengthMm = Annotated[int, Field(gt=0, le=10_000_000, strict=True)]
#: in the row; not whole millimeters, since a tray of 2-inch chain would be 2 inches off
SpacingMm = Annotated[float, Field(ge=1, le=10_000, allow_inf_nan=False)]
Count = Annotated[int, Field(ge=0, le=1_000_000, strict=True)]
RowNumber = Annotated[int, Field(ge=1, le=1000, strict=True)]
BootMs = Annotated[int, Field(ge=0, lt=2**53, strict=True)]
Percent = Annotated[float, Field(ge=0, le=100, allow_inf_nan=False)]
Proportion = Annotated[float, Field(ge=0, le=1, allow_inf_nan=False)]
Celsius = Annotated[float, Field(ge=-90, le=70, allow_inf_nan=False)]
#: as far as the calculations go (`trade.soil`)
SoilCelsius = Annotated[float, Field(ge=-40, le=70, allow_inf_nan=False)]
Millimetres = Annotated[float, Field(ge=0, le=2000, allow_inf_nan=False)]
Money = Annotated[float, Field(ge=0, le=1_000_000_000, allow_inf_nan=False)]
Latitude = Annotated[float, Field(ge=-90, le=90, allow_inf_nan=False)]
Longitude = Annotated[float, Field(ge=-180, le=180, allow_inf_nan=False)]
#: any number in a list or a table of figures; its text is kept as it came, so it must be one there too
Figure = Annotated[float, Field(strict=True, ge=-1e9, le=1e9, allow_inf_nan=False)]
Metres = Annotated[float, Field(ge=0, le=100_000, allow_inf_nan=False)]
