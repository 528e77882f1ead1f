"""In which browsers somebody is signed in. A session ends by itself when it is not used, and after a season at last."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import NamedTuple

from sqlalchemy import Connection, delete, insert, select, update

from server.auth.accounts import KNOWN, KnownAccount, known
from server.db.tables import Account, OfficeSession
from server.farms.tokens import hash_of
from shared_models.records.tables import table_of

UNUSED = timedelta(days=14)
LONGEST = timedelta(days=90)
#: A session that was used longer ago than this is noted as used again.
_NOTED_EVERY = timedelta(hours=1)

_ACCOUNT, _SESSION = table_of(Account), table_of(OfficeSession)


class OpenSession(NamedTuple):
    """Somebody's open session. `is_old` when its last use should be noted again."""

    account: KnownAccount
    is_old: bool


def begin(connection: Connection, account: str, token: bytes, now: datetime) -> str:
    """A new session of this account; what the cookie has to hold."""
    over = (_SESSION.c.seen_at <= now - UNUSED) | (_SESSION.c.made_at <= now - LONGEST)
    connection.execute(delete(_SESSION).where(over))
    session = token.hex()
    made = {"hash": hash_of(session), "account_id": account, "made_at": now, "seen_at": now}
    connection.execute(insert(_SESSION), made)
    return session


def open_session(connection: Connection, session: str, now: datetime) -> OpenSession | None:
    """Whose session this is, while it and the account are good."""
    ours = _SESSION.c.hash == hash_of(session)
    fresh = (_SESSION.c.seen_at > now - UNUSED) & (_SESSION.c.made_at > now - LONGEST)
    found = connection.execute(
        select(*KNOWN, _SESSION.c.seen_at)
        .join_from(_SESSION, _ACCOUNT, _ACCOUNT.c.id == _SESSION.c.account_id)
        .where(ours, fresh, _ACCOUNT.c.ended_at.is_(None))
    ).one_or_none()
    return None if found is None else OpenSession(known(found), found.seen_at <= now - _NOTED_EVERY)


def note_use(connection: Connection, session: str, now: datetime) -> None:
    """The session was used now, so it lasts longer."""
    connection.execute(update(_SESSION).where(_SESSION.c.hash == hash_of(session)).values(seen_at=now))


def end(connection: Connection, session: str) -> None:
    """Sign out."""
    connection.execute(delete(_SESSION).where(_SESSION.c.hash == hash_of(session)))


def end_all(connection: Connection, account: str, but: str | None = None) -> None:
    """End every session of this account, but for one."""
    others = _SESSION.c.account_id == account
    if but is not None:
        others &= _SESSION.c.hash != hash_of(but)
    connection.execute(delete(_SESSION).where(others))
