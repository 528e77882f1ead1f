"""Was a phone's clock wrong? What its own lines and rows tell of it."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from sqlalchemy import Connection, select
from sqlmodel import Session, col
from sqlmodel import select as select_records

from shared_models.core.clock import is_wall_time, latest_wall_ms
from shared_models.core.moments import SAME_SETTING
from shared_models.core.revision import Revision, read
from shared_models.errors import LineRefused
from shared_models.log.log import Head
from shared_models.log.prepared_statements import chunks
from shared_models.records.tables import Line, RowPass, table_of
from shared_models.reports.rows.timelines import is_plausible, timeline_around

_LINE = table_of(Line)
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
#: lines looked at from the end of a phone's log
LATEST_LINES = 500


@dataclass(frozen=True, slots=True)
class PhoneClock:
    """`last_written` is what the phone's clock said when it wrote last, as far as that is known, `by` whom.

    `off` is how far a row's time was from what the phone's other rows of that boot agree on (above 0: ahead), seen
    `seen_at`; None where nothing of the kind shows. A clock that was always wrong in the same way cannot be seen.
    """

    last_written: datetime | None
    by: str | None
    off: timedelta | None
    seen_at: datetime | None


def phone_clock(session: Session, farm: str, log: Head) -> PhoneClock:
    """What the last lines of a phone's log tell of its clock."""
    lines = _latest(session.connection(), log)
    exact = next((line for line in lines if is_wall_time(line.stamp)), None)
    off, seen_at = _furthest_off(session, farm, {line.record for line in lines if line.kind == "row_pass"})
    by = next((line.by for line in lines if line.by), None)
    at = _EPOCH + timedelta(milliseconds=latest_wall_ms(exact.stamp)) if exact else None
    return PhoneClock(at, by, off, seen_at)


def _latest(connection: Connection, log: Head) -> list[Revision]:
    query = select(_LINE.c.seq, _LINE.c.text).where(_LINE.c.log_id == log.id).order_by(_LINE.c.seq.desc())
    found = []
    for row in connection.execute(query.limit(LATEST_LINES)):
        try:
            found.append(read(log.device, row.seq, row.text))
        except LineRefused:
            continue
    return found


def _furthest_off(session: Session, farm: str, rows: set[str]) -> tuple[timedelta | None, datetime | None]:
    of_farm = select_records(RowPass).where(RowPass.farm_id == farm, ~col(RowPass.voided))
    passes = [each for chunk in chunks(rows) for each in session.exec(of_farm.where(col(RowPass.id).in_(chunk)))]
    clock = timeline_around(session, farm, passes)
    moments = [at for each in passes for at in (each.started, each.ended) if at and is_plausible(at)]
    found = [(moment.at - clock.at(moment), clock.at(moment)) for moment in moments]
    wrong = [each for each in found if abs(each[0]) > SAME_SETTING]
    return max(wrong, key=lambda each: abs(each[0])) if wrong else (None, None)
