"""What devices sent and the service did not take, for the farm's owner to know."""

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import NamedTuple

from sqlalchemy import Connection, delete, func, insert, select, update

from server.db.tables import SyncRefusal
from shared_models.errors import NotSigned, RemovedPhone
from shared_models.records.tables import table_of

#: refusals of one device that are kept apart; more of them are counted together
MOST_KEPT = 20
#: an owner who did not look for so long will not know any more what it was about
SHOWN_FOR = timedelta(days=30)
#: of other refusals a phone takes care itself
TOLD = frozenset({NotSigned.code, RemovedPhone.code})

_REFUSAL = table_of(SyncRefusal)


class Refusal(NamedTuple):
    """What a device sent and was not taken: whose log (empty for none, or one of many), why, when and how often."""

    sender: str
    log: str
    code: str
    last_at: datetime
    times: int


def note_refusals(
    connection: Connection, farm: str, sender: str, refused: Iterable[tuple[str, str]], now: datetime
) -> None:
    """Write down refusals of one device: log and code."""
    for log, code in refused:
        if _count_again(connection, sender, log, code, now):
            continue
        kept = connection.execute(select(func.count()).where(_REFUSAL.c.sender == sender)).scalar_one()
        of = log if kept < MOST_KEPT else ""
        if of == log or not _count_again(connection, sender, of, code, now):
            row = {"sender": sender, "log": of, "code": code, "farm_id": farm, "first_at": now, "last_at": now}
            connection.execute(insert(_REFUSAL), row | {"times": 1})


def _count_again(connection: Connection, sender: str, log: str, code: str, now: datetime) -> bool:
    same = (_REFUSAL.c.sender == sender) & (_REFUSAL.c.log == log) & (_REFUSAL.c.code == code)
    more = update(_REFUSAL).where(same).values(last_at=now, times=_REFUSAL.c.times + 1)
    return connection.execute(more).rowcount == 1


def refusals_of(connection: Connection, farm: str, now: datetime) -> list[Refusal]:
    """What was refused in the last 30 days, the latest first."""
    columns = [_REFUSAL.c[name] for name in Refusal._fields]
    lately = (_REFUSAL.c.farm_id == farm) & (_REFUSAL.c.last_at > now - SHOWN_FOR)
    rows = connection.execute(select(*columns).where(lately).order_by(_REFUSAL.c.last_at.desc(), _REFUSAL.c.log))
    return [Refusal(*row) for row in rows]


def forget_limits(connection: Connection, sender: str) -> None:
    """Forget the limits that a device has reached."""
    connection.execute(delete(_REFUSAL).where(_REFUSAL.c.sender == sender, _REFUSAL.c.code.not_in(TOLD)))
