"""Office sessions: a browser stays signed in for two weeks without use, and for a season at most."""

from datetime import datetime, timedelta
from typing import NamedTuple

from sqlalchemy import Connection, delete, insert, select, update

from server.auth.accounts import ACCOUNT_COLUMNS, AccountRow, to_account
from server.db.tables import Account, OfficeSession
from server.farms.tokens import hash_token
from shared_models.records.tables import table_of

IDLE_LIMIT = timedelta(days=14)
MAX_AGE = timedelta(days=90)
#: the last use is written down this often, as it costs a write to disk
_REFRESH_EVERY = timedelta(hours=1)

_ACCOUNT, _SESSION = table_of(Account), table_of(OfficeSession)


class OpenSession(NamedTuple):
    """An open session. `is_stale` when its last use should be written down again."""

    account: AccountRow
    is_stale: bool


def start(connection: Connection, account: str, token: bytes, now: datetime) -> str:
    """Start a session of this account; returns what the cookie holds."""
    over = (_SESSION.c.seen_at <= now - IDLE_LIMIT) | (_SESSION.c.made_at <= now - MAX_AGE)
    connection.execute(delete(_SESSION).where(over))
    session = token.hex()
    made = {"hash": hash_token(session), "account_id": account, "made_at": now, "seen_at": now}
    connection.execute(insert(_SESSION), made)
    return session


def find_session(connection: Connection, session: str, now: datetime) -> OpenSession | None:
    """The session with its account, while both are open."""
    ours = _SESSION.c.hash == hash_token(session)
    fresh = (_SESSION.c.seen_at > now - IDLE_LIMIT) & (_SESSION.c.made_at > now - MAX_AGE)
    found = connection.execute(
        select(*ACCOUNT_COLUMNS, _SESSION.c.seen_at)
        .join_from(_SESSION, _ACCOUNT, _ACCOUNT.c.id == _SESSION.c.account_id)
        .where(ours, fresh, _ACCOUNT.c.ended_at.is_(None))
    ).one_or_none()
    return None if found is None else OpenSession(to_account(found), found.seen_at <= now - _REFRESH_EVERY)


def refresh(connection: Connection, session: str, now: datetime) -> None:
    """Write down that the session was used now."""
    connection.execute(update(_SESSION).where(_SESSION.c.hash == hash_token(session)).values(seen_at=now))


def end(connection: Connection, session: str) -> None:
    """Sign out."""
    connection.execute(delete(_SESSION).where(_SESSION.c.hash == hash_token(session)))


def end_all(connection: Connection, account: str, but: str | None = None) -> None:
    """End every session of this account, except one."""
    others = _SESSION.c.account_id == account
    if but is not None:
        others &= _SESSION.c.hash != hash_token(but)
    connection.execute(delete(_SESSION).where(others))
