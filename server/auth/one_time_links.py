"""One-time links: make an account, choose a new password, or sign in. They act when their form is sent."""

from datetime import datetime, timedelta
from typing import NamedTuple

from sqlalchemy import Connection, Row, delete, insert, select, update

from server.db.tables import LinkPurpose, OneTimeLink
from server.farms.tokens import hash_token
from server.runtime.providers import Providers
from shared_models.core.vocabulary import Role
from shared_models.errors import ExpiredLink
from shared_models.records.tables import table_of

LINK_LIFE = timedelta(days=7)

_LINK = table_of(OneTimeLink)
_COLUMNS = (_LINK.c.id, _LINK.c.farm_id, _LINK.c.purpose, _LINK.c.role, _LINK.c.account_id, _LINK.c.expires_at)


class Link(NamedTuple):
    """A link that still works: its purpose, and its role or account."""

    id: str
    farm: str
    purpose: LinkPurpose
    role: Role | None
    account: str | None
    expires_at: datetime


def _to_link(row: Row[tuple[str, str, str, str | None, str | None, datetime]]) -> Link:
    return Link(row[0], row[1], LinkPurpose(row[2]), None if row[3] is None else Role(row[3]), row[4], row[5])


def new_invitation(connection: Connection, farm: str, role: Role, made_by: str, providers: Providers) -> str:
    """The key of a link with which one person makes an account of this role."""
    return _new(connection, farm, LinkPurpose.JOIN, providers, role=role, made_by=made_by)


def new_owner_link(connection: Connection, farm: str, providers: Providers) -> str:
    """The key of a link that makes one person an owner, for the console; revokes the one before it."""
    made_here = (_LINK.c.farm_id == farm) & (_LINK.c.purpose == LinkPurpose.JOIN) & _LINK.c.made_by.is_(None)
    connection.execute(delete(_LINK).where(made_here, _LINK.c.used_at.is_(None)))
    return _new(connection, farm, LinkPurpose.JOIN, providers, role=Role.OWNER)


def new_password_link(connection: Connection, farm: str, account: str, made_by: str, providers: Providers) -> str:
    """The key of a link for choosing a new password; revokes the one before it."""
    same = (_LINK.c.account_id == account) & (_LINK.c.purpose == LinkPurpose.PASSWORD)
    connection.execute(delete(_LINK).where(same, _LINK.c.used_at.is_(None)))
    return _new(connection, farm, LinkPurpose.PASSWORD, providers, account_id=account, made_by=made_by)


def new_sign_in_link(connection: Connection, farm: str, account: str, providers: Providers) -> str:
    """The key of a link that signs somebody in."""
    return _new(connection, farm, LinkPurpose.SIGN_IN, providers, account_id=account)


def _new(
    connection: Connection,
    farm: str,
    purpose: LinkPurpose,
    providers: Providers,
    *,
    role: Role | None = None,
    account_id: str | None = None,
    made_by: str | None = None,
) -> str:
    now, key = providers.now(), providers.token().hex()
    connection.execute(delete(_LINK).where(_LINK.c.expires_at <= now))
    made = {
        "id": providers.new_id(),
        "hash": hash_token(key),
        "farm_id": farm,
        "purpose": purpose,
        "role": role,
        "account_id": account_id,
        "made_by": made_by,
        "expires_at": now + LINK_LIFE,
    }
    connection.execute(insert(_LINK), made)
    return key


def find_link(connection: Connection, key: str, now: datetime) -> Link:
    """The link that has this key.

    Raises:
        ExpiredLink: when it is unknown, used or out of date.
    """
    good = (_LINK.c.hash == hash_token(key)) & _LINK.c.used_at.is_(None) & (_LINK.c.expires_at > now)
    row = connection.execute(select(*_COLUMNS).where(good)).one_or_none()
    if row is None:
        raise ExpiredLink
    return _to_link(row)


def redeem(connection: Connection, link: Link, now: datetime) -> None:
    """Mark a link as used.

    Raises:
        ExpiredLink: when somebody else was faster.
    """
    unused = (_LINK.c.id == link.id) & _LINK.c.used_at.is_(None)
    if connection.execute(update(_LINK).where(unused).values(used_at=now)).rowcount != 1:
        raise ExpiredLink


def open_invitations(connection: Connection, farm: str, now: datetime) -> list[Link]:
    """The farm's unused invitations, the oldest first."""
    waiting = (_LINK.c.farm_id == farm) & (_LINK.c.purpose == LinkPurpose.JOIN) & _LINK.c.used_at.is_(None)
    listed = select(*_COLUMNS).where(waiting, _LINK.c.expires_at > now).order_by(_LINK.c.expires_at, _LINK.c.id)
    return [_to_link(row) for row in connection.execute(listed)]


def revoke(connection: Connection, farm: str, link: str) -> None:
    """Revoke an invitation."""
    connection.execute(delete(_LINK).where(_LINK.c.farm_id == farm, _LINK.c.id == link))


def revoke_for(connection: Connection, account: str) -> None:
    """Revoke every link that opens this account."""
    connection.execute(delete(_LINK).where(_LINK.c.account_id == account, _LINK.c.used_at.is_(None)))


def revoke_all(connection: Connection, account: str) -> None:
    """Revoke every link that this account made, or that was made for it."""
    theirs = (_LINK.c.made_by == account) | (_LINK.c.account_id == account)
    connection.execute(delete(_LINK).where(theirs, _LINK.c.used_at.is_(None)))
