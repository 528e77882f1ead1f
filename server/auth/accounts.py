"""Office accounts: add, find, change and close them."""

import unicodedata
from collections.abc import Mapping
from datetime import datetime
from typing import NamedTuple

from pydantic import TypeAdapter, ValidationError
from sqlalchemy import Connection, Row, func, insert, select, update

from server.auth.passwords import Passwords, password_problem
from server.db.tables import Account, OfficeSession
from server.runtime.providers import Providers
from shared_models.core.ids import is_id
from shared_models.core.vocabulary import Role
from shared_models.errors import BadEntry, UnknownRecord, WrongMoment
from shared_models.lazy_message import LazyMessage
from shared_models.records.field_types import Name
from shared_models.records.tables import Person, table_of

MAX_SIGN_IN_NAME = 60

_ACCOUNT, _SESSION, _PERSON = table_of(Account), table_of(OfficeSession), table_of(Person)
_NAME: TypeAdapter[str] = TypeAdapter(Name)
_OPEN = _ACCOUNT.c.ended_at.is_(None)


class AccountRow(NamedTuple):
    """An open account."""

    id: str
    farm: str
    name: str
    sign_in: str
    role: Role
    person: str | None
    password_hash: str | None

    @property
    def has_password(self) -> bool:
        """Whether one can sign in by password, not by link only."""
        return self.password_hash is not None


class NewAccount(NamedTuple):
    """What was typed into the form for a new account."""

    name: str
    sign_in: str
    password: str
    again: str


ACCOUNT_COLUMNS = (
    _ACCOUNT.c.id,
    _ACCOUNT.c.farm_id,
    _ACCOUNT.c.name,
    _ACCOUNT.c.sign_in,
    _ACCOUNT.c.role,
    _ACCOUNT.c.person,
    _ACCOUNT.c.password_hash,
)
"""The columns that `to_account` takes, in its order."""


def to_account(row: Row[tuple[str, str, str, str, str, str | None, str | None]]) -> AccountRow:
    """The account in a row of `ACCOUNT_COLUMNS`."""
    return AccountRow(row[0], row[1], row[2], row[3], Role(row[4]), row[5], row[6])


def sign_in_name(typed: str) -> str:
    """Normalize a typed sign-in name: capitals and spaces around it do not matter."""
    return unicodedata.normalize("NFKC", typed).strip().casefold()


def check_new_account(connection: Connection, new: NewAccount) -> None:
    """Validate the form for a new account.

    Raises:
        BadEntry: with the reason for each field.
    """
    problems = dict(_problems(connection, new))
    if problems:
        raise BadEntry("account", problems)


def _problems(connection: Connection, new: NewAccount) -> Mapping[str, str]:
    problems: dict[str, str] = {}
    sign_in = sign_in_name(new.sign_in)
    try:
        _NAME.validate_python(new.name)
    except ValidationError:
        problems["name"] = LazyMessage("enter a name, 120 characters at most")
    if not 1 <= len(sign_in) <= MAX_SIGN_IN_NAME or not sign_in.isprintable() or " " in sign_in:
        problems["sign_in"] = LazyMessage("use 1 to {n} characters, no spaces", n=MAX_SIGN_IN_NAME)
    elif find_account(connection, sign_in) is not None:
        problems["sign_in"] = LazyMessage("this sign-in name is taken; choose another")
    problem = password_problem(new.password, new.again, (sign_in,))
    if problem:
        problems["password"] = problem
    return problems


def add_account(
    connection: Connection,
    farm: str,
    role: Role,
    name: str,
    sign_in: str,
    password_hash: str | None,
    providers: Providers,
) -> str:
    """Add an account and return its id; call `check_new_account` first."""
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


def find_account(connection: Connection, sign_in: str) -> AccountRow | None:
    """The open account with this sign-in name."""
    name = sign_in_name(sign_in)
    if not name.isprintable():  # PostgreSQL takes no NUL in a text
        return None
    row = connection.execute(select(*ACCOUNT_COLUMNS).where(_ACCOUNT.c.sign_in == name, _OPEN)).one_or_none()
    return None if row is None else to_account(row)


def get_account(connection: Connection, farm: str, account: str) -> AccountRow:
    """An account of this farm.

    Raises:
        UnknownRecord: when the farm has none with this id (any more).
    """
    ours = (_ACCOUNT.c.id == account) & (_ACCOUNT.c.farm_id == farm)
    row = connection.execute(select(*ACCOUNT_COLUMNS).where(ours, _OPEN)).one_or_none()
    if row is None:
        raise UnknownRecord("account", account)
    return to_account(row)


def list_accounts(connection: Connection, farm: str) -> list[tuple[AccountRow, datetime | None]]:
    """The farm's accounts by name, each with the last use of an open session."""
    seen = (
        select(_SESSION.c.account_id, func.max(_SESSION.c.seen_at).label("at"))
        .group_by(_SESSION.c.account_id)
        .subquery()
    )
    listed = (
        select(*ACCOUNT_COLUMNS, seen.c.at)
        .join_from(_ACCOUNT, seen, seen.c.account_id == _ACCOUNT.c.id, isouter=True)
        .where(_ACCOUNT.c.farm_id == farm, _OPEN)
        .order_by(_ACCOUNT.c.name, _ACCOUNT.c.id)
    )
    return [(to_account(row), row.at) for row in connection.execute(listed)]


def owners_of(connection: Connection, farm: str) -> list[str]:
    """The ids of the farm's owners."""
    ours = select(_ACCOUNT.c.id).where(_ACCOUNT.c.farm_id == farm, _ACCOUNT.c.role == Role.OWNER, _OPEN)
    return list(connection.execute(ours).scalars())


def set_role(connection: Connection, account: AccountRow, role: Role) -> None:
    """Set the role of an account, from its next request on.

    Raises:
        WrongMoment: when the farm would be left without an owner.
    """
    if role is not Role.OWNER:
        _keep_an_owner(connection, account)
    _update(connection, account, role=role)


def set_person(connection: Connection, account: AccountRow, person: str | None) -> None:
    """Link an account to a person of the farm's log.

    Raises:
        UnknownRecord: when the farm's log knows no such person.
    """
    if person is not None and not (is_id(person) and _is_person(connection, account.farm, person)):
        raise UnknownRecord("person", person)
    _update(connection, account, person=person)


def _is_person(connection: Connection, farm: str, person: str) -> bool:
    known = select(_PERSON.c.id).where(_PERSON.c.farm_id == farm, _PERSON.c.id == person)
    return connection.execute(known).first() is not None


def close_account(connection: Connection, account: AccountRow, now: datetime) -> None:
    """Close an account; its sign-in name is free again.

    Raises:
        WrongMoment: when the farm would be left without an owner.
    """
    _keep_an_owner(connection, account)
    _update(connection, account, ended_at=now, password_hash=None)


def _keep_an_owner(connection: Connection, account: AccountRow) -> None:
    if owners_of(connection, account.farm) == [account.id]:
        raise WrongMoment(
            LazyMessage("{name} is the farm's only owner.", name=account.name),
            LazyMessage("Make somebody else an owner first."),
        )


def check_password(account: AccountRow, password: str, again: str) -> None:
    """Validate a new password for an account.

    Raises:
        BadEntry: when it is not.
    """
    problem = password_problem(password, again, (account.sign_in,))
    if problem:
        raise BadEntry("password", {"password": problem})


def set_password(connection: Connection, account: AccountRow, password_hash: str) -> None:
    """Set the password of an account."""
    _update(connection, account, password_hash=password_hash)


def rehash_if_outdated(connection: Connection, account: AccountRow, password: str, passwords: Passwords) -> None:
    """Hash a password that was just verified again if its hash has old parameters."""
    if account.password_hash is not None and passwords.needs_rehash(account.password_hash):
        set_password(connection, account, passwords.hash(password))


def _update(connection: Connection, account: AccountRow, **values: object) -> None:
    connection.execute(update(_ACCOUNT).where(_ACCOUNT.c.id == account.id).values(**values))
