"""Values on their way into the database."""

from datetime import UTC, datetime, timedelta, timezone

from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import DateTime
from sqlalchemy.dialects import sqlite

from shared_models.records.field_types import UtcDateTime

_ZONES = st.integers(-23, 23).map(lambda hours: timezone(timedelta(hours=hours)))
_SQLITE = sqlite.dialect()  # type: ignore[no-untyped-call]  # SQLAlchemy leaves its constructor untyped


@given(st.datetimes(datetime(2, 1, 1), datetime(9998, 1, 1), timezones=_ZONES) | st.none())  # noqa: DTZ001 - the strategy adds the zone
def test_sqlite_is_given_the_text_that_sqlalchemy_writes(moment: datetime | None) -> None:
    """The same text, so that old and new rows sort and compare as one."""
    ours = UtcDateTime().dialect_impl(_SQLITE).bind_processor(_SQLITE)
    theirs = DateTime().dialect_impl(_SQLITE).bind_processor(_SQLITE)
    assert ours is not None
    assert theirs is not None

    plain = None if moment is None else moment.astimezone(UTC).replace(tzinfo=None)

    assert ours(moment) == theirs(plain)
