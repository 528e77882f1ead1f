"""The people who may come into a farm's office: making an account, changing its role, ending it."""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from datetime import datetime
from typing import NamedTuple

from pydantic import TypeAdapter, ValidationError
from sqlalchemy import Connection, Row, func, insert, select, update

from server.auth.passwords import Passwords, fault_of
from server.db.tables import Account, OfficeSession
from server.runtime.providers import Providers
from shared_models.core.ids import is_id
from shared_models.core.vocabulary import Role
from shared_models.errors import BadEntry, UnknownRecord, WrongMoment
from shared_models.i18n.lazy import LazyMessage
from shared_models.records.field_types import Name
from shared_models.records.tables import Person, table_of

LONGEST_SIGN_IN = 60

_ACCOUNT, _SESSION, _PERSON = table_of(Account), table_of(OfficeSession), table_of(Person)
_NAME: TypeAdapter[str] = TypeAdapter(Name)
_HERE = _ACCOUNT.c.ended_at.is_(None)


class KnownAccount(NamedTuple):
    """An account that has not ended."""

    id: str
    farm: str
    name: str
    sign_in: str
    role: Role
    person: str | None
    password_hash: str | None

    @property
    def has_password(self) -> bool:
        """Whether it opens with a password, not with a link only."""
        return self.password_hash is not None


class Wanted(NamedTuple):
    """What somebody typed who makes an account."""

    name: str
    sign_in: str
    password: str
    again: str


KNOWN = (
    _ACCOUNT.c.id,
    _ACCOUNT.c.farm_id,
    _ACCOUNT.c.name,
    _ACCOUNT.c.sign_in,
    _ACCOUNT.c.role,
    _ACCOUNT.c.person,
    _ACCOUNT.c.password_hash,
)
"""The columns of `known`, in its order."""


def known(row: Row[tuple[str, str, str, str, str, str | None, str | None]]) -> KnownAccount:
    """The account in a row of `KNOWN`."""
    return KnownAccount(row[0], row[1], row[2], row[3], Role(row[4]), row[5], row[6])


def sign_in_name(typed: str) -> str:
    """The sign-in name that somebody means who types `typed`: capitals and gaps around it do not matter."""
    return unicodedata.normalize("NFKC", typed).strip().casefold()


def check_wanted(connection: Connection, wanted: Wanted) -> None:
    """Look whether an account can be made of what was typed.

    Raises:
        BadEntry: with the reason for each field.
    """
    problems = dict(_problems(connection, wanted))
    if problems:
        raise BadEntry("account", problems)


def _problems(connection: Connection, wanted: Wanted) -> Mapping[str, str]:
    told: dict[str, str] = {}
    sign_in = sign_in_name(wanted.sign_in)
    try:
        _NAME.validate_python(wanted.name)
    except ValidationError:
        told["name"] = LazyMessage("write a name of 1 to 120 letters")
    if not 1 <= len(sign_in) <= LONGEST_SIGN_IN or not sign_in.isprintable() or " " in sign_in:
        told["sign_in"] = LazyMessage("write 1 to {n} letters without a gap", n=LONGEST_SIGN_IN)
    elif account_named(connection, sign_in) is not None:
        told["sign_in"] = LazyMessage("somebody has this sign-in name already; choose another")
    fault = fault_of(wanted.password, wanted.again, (sign_in,))
    if fault:
        told["password"] = fault
    return told


def add_account(
    connection: Connection,
    farm: str,
    role: Role,
    name: str,
    sign_in: str,
    password_hash: str | None,
    providers: Providers,
) -> str:
    """A new account; its id. `check_wanted` comes before."""
    account = providers.new_id()
    added = {
        "id": account,
        "farm_id": farm,
        "name": _NAME.validate_python(name),
        "sign_in": sign_in_name(sign_in),
        "password_hash": password_hash,
        "role": role,
        "made_at": providers.now(),
    }
    connection.execute(insert(_ACCOUNT), added)
    return account


def account_named(connection: Connection, sign_in: str) -> KnownAccount | None:
    """The account with this sign-in name."""
    name = sign_in_name(sign_in)
    if not name.isprintable():  # nobody's, and no database could look all of it up
        return None
    row = connection.execute(select(*KNOWN).where(_ACCOUNT.c.sign_in == name, _HERE)).one_or_none()
    return None if row is None else known(row)


def account_of(connection: Connection, farm: str, account: str) -> KnownAccount:
    """An account of this farm.

    Raises:
        UnknownRecord: when the farm has none with this id (any more).
    """
    ours = (_ACCOUNT.c.id == account) & (_ACCOUNT.c.farm_id == farm)
    row = connection.execute(select(*KNOWN).where(ours, _HERE)).one_or_none()
    if row is None:
        raise UnknownRecord("account", account)
    return known(row)


def accounts_of(connection: Connection, farm: str) -> list[tuple[KnownAccount, datetime | None]]:
    """The farm's accounts by name, and when each was last here in a session that is still open."""
    seen = (
        select(_SESSION.c.account_id, func.max(_SESSION.c.seen_at).label("at"))
        .group_by(_SESSION.c.account_id)
        .subquery()
    )
    listed = (
        select(*KNOWN, seen.c.at)
        .join_from(_ACCOUNT, seen, seen.c.account_id == _ACCOUNT.c.id, isouter=True)
        .where(_ACCOUNT.c.farm_id == farm, _HERE)
        .order_by(_ACCOUNT.c.name, _ACCOUNT.c.id)
    )
    return [(known(row), row.at) for row in connection.execute(listed)]


def owners_of(connection: Connection, farm: str) -> list[str]:
    """The ids of the farm's owners."""
    ours = select(_ACCOUNT.c.id).where(_ACCOUNT.c.farm_id == farm, _ACCOUNT.c.role == Role.OWNER, _HERE)
    return list(connection.execute(ours).scalars())


def change_role(connection: Connection, account: KnownAccount, role: Role) -> None:
    """Give an account another role, from its next request on.

    Raises:
        WrongMoment: when the farm would be left without an owner.
    """
    if role is not Role.OWNER:
        _keep_an_owner(connection, account)
    _update(connection, account, role=role)


def be_person(connection: Connection, account: KnownAccount, person: str | None) -> None:
    """Say which person of the farm's log somebody is.

    Raises:
        UnknownRecord: when the farm's log knows no such person.
    """
    if person is not None and not (is_id(person) and _is_person(connection, account.farm, person)):
        raise UnknownRecord("person", person)
    _update(connection, account, person=person)


def _is_person(connection: Connection, farm: str, person: str) -> bool:
    known_here = select(_PERSON.c.id).where(_PERSON.c.farm_id == farm, _PERSON.c.id == person)
    return connection.execute(known_here).first() is not None


def end_account(connection: Connection, account: KnownAccount, now: datetime) -> None:
    """Let an account open nothing from now on; its sign-in name is free again.

    Raises:
        WrongMoment: when the farm would be left without an owner.
    """
    _keep_an_owner(connection, account)
    _update(connection, account, ended_at=now, password_hash=None)


def _keep_an_owner(connection: Connection, account: KnownAccount) -> None:
    if owners_of(connection, account.farm) == [account.id]:
        raise WrongMoment(
            LazyMessage("{name} is the farm's only owner.", name=account.name),
            LazyMessage("Make somebody else an owner first."),
        )


def check_password(account: KnownAccount, password: str, again: str) -> None:
    """Look whether a password is good enough for an account.

    Raises:
        BadEntry: when it is not.
    """
    fault = fault_of(password, again, (account.sign_in,))
    if fault:
        raise BadEntry("password", {"password": fault})


def keep_password(connection: Connection, account: KnownAccount, password_hash: str) -> None:
    """Let another password open an account."""
    _update(connection, account, password_hash=password_hash)


def keep_up_to_date(connection: Connection, account: KnownAccount, password: str, passwords: Passwords) -> None:
    """Make the hash of a password that was right just now again, when hashes are made in another way by now."""
    if account.password_hash is not None and passwords.is_old(account.password_hash):
        keep_password(connection, account, passwords.hash_of(password))


def _update(connection: Connection, account: KnownAccount, **values: object) -> None:
    connection.execute(update(_ACCOUNT).where(_ACCOUNT.c.id == account.id).values(**values))
