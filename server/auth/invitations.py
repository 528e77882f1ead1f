"""What an owner decides: who may come in, as what, and who no more."""

from __future__ import annotations

from sqlalchemy import Engine

from server.auth import accounts, one_time_links, sessions
from server.auth.accounts import KnownAccount
from server.runtime.providers import Providers
from shared_models.core.vocabulary import Role
from shared_models.log.store import writing


def invite(engine: Engine, owner: KnownAccount, role: Role, providers: Providers) -> str:
    """The key of a link with which one person makes an account of this role."""
    with writing(engine, owner.farm) as connection:
        return one_time_links.invitation(connection, owner.farm, role, owner.id, providers)


def withdraw(engine: Engine, owner: KnownAccount, link: str) -> None:
    """Let an invitation that nobody has used open nothing."""
    with writing(engine, owner.farm) as connection:
        one_time_links.withdraw(connection, owner.farm, link)


def change(engine: Engine, owner: KnownAccount, account: str, role: Role, person: str | None) -> None:
    """Give somebody a role, and say which person of the farm's log they are.

    Raises:
        UnknownRecord: when the farm has no such account (any more), or its log no such person.
        WrongMoment: when the farm would be left without an owner.
    """
    with writing(engine, owner.farm) as connection:
        meant = accounts.account_of(connection, owner.farm, account)
        accounts.change_role(connection, meant, role)
        accounts.be_person(connection, meant, person)
        if not role.covers(meant.role):
            one_time_links.withdraw_all(connection, meant.id)


def link_for_password(
    engine: Engine, owner: KnownAccount, account: str, providers: Providers
) -> tuple[KnownAccount, str]:
    """Whose account it is, and the key of a link with which they choose a new password.

    Raises:
        UnknownRecord: when the farm has no such account (any more).
    """
    with writing(engine, owner.farm) as connection:
        meant = accounts.account_of(connection, owner.farm, account)
        return meant, one_time_links.password_link(connection, owner.farm, meant.id, owner.id, providers)


def end(engine: Engine, owner: KnownAccount, account: str, providers: Providers) -> None:
    """Let an account open nothing any more, nor the links that it made.

    Raises:
        UnknownRecord: when the farm has no such account (any more).
        WrongMoment: when the farm would be left without an owner.
    """
    with writing(engine, owner.farm) as connection:
        meant = accounts.account_of(connection, owner.farm, account)
        accounts.end_account(connection, meant, providers.now())
        sessions.end_all(connection, meant.id)
        one_time_links.withdraw_all(connection, meant.id)
