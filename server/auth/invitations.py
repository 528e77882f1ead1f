"""What an owner does with the accounts of a farm: invite, change, reset a password, close."""

from sqlalchemy import Engine

from server.auth import accounts, one_time_links, sessions
from server.auth.accounts import AccountRow
from server.runtime.providers import Providers
from shared_models.core.vocabulary import Role
from shared_models.log.store import writing


def invite(engine: Engine, owner: AccountRow, role: Role, providers: Providers) -> str:
    """The key of a link with which one person makes an account of this role."""
    with writing(engine, owner.farm) as connection:
        return one_time_links.new_invitation(connection, owner.farm, role, owner.id, providers)


def revoke(engine: Engine, owner: AccountRow, link: str) -> None:
    """Revoke an unused invitation."""
    with writing(engine, owner.farm) as connection:
        one_time_links.revoke(connection, owner.farm, link)


def change_account(engine: Engine, owner: AccountRow, account: str, role: Role, person: str | None) -> None:
    """Set the role of an account, and which person of the farm's log it is.

    Raises:
        UnknownRecord: when the farm has no such account (any more), or its log no such person.
        WrongMoment: when the farm would be left without an owner.
    """
    with writing(engine, owner.farm) as connection:
        changed = accounts.get_account(connection, owner.farm, account)
        accounts.set_role(connection, changed, role)
        accounts.set_person(connection, changed, person)
        if not role.covers(changed.role):
            one_time_links.revoke_all(connection, changed.id)


def password_link(engine: Engine, owner: AccountRow, account: str, providers: Providers) -> tuple[AccountRow, str]:
    """The account, and the key of a link with which its holder chooses a new password.

    Raises:
        UnknownRecord: when the farm has no such account (any more).
    """
    with writing(engine, owner.farm) as connection:
        holder = accounts.get_account(connection, owner.farm, account)
        return holder, one_time_links.new_password_link(connection, owner.farm, holder.id, owner.id, providers)


def close_account(engine: Engine, owner: AccountRow, account: str, providers: Providers) -> None:
    """Close an account, with its sessions and the links that it made.

    Raises:
        UnknownRecord: when the farm has no such account (any more).
        WrongMoment: when the farm would be left without an owner.
    """
    with writing(engine, owner.farm) as connection:
        closed = accounts.get_account(connection, owner.farm, account)
        accounts.close_account(connection, closed, providers.now())
        sessions.end_all(connection, closed.id)
        one_time_links.revoke_all(connection, closed.id)
