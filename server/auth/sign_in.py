"""How people come into the office and go: by password, by one-time link, and out again."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import timedelta

from sqlalchemy import Connection, Engine

from server.auth import accounts, one_time_links, sessions
from server.auth.accounts import KnownAccount, Wanted
from server.auth.one_time_links import Link
from server.auth.passwords import Passwords
from server.auth.rate_limit import RateLimiter, place_of
from server.db.tables import LinkPurpose
from server.runtime.providers import Providers
from shared_models.errors import LinkSpent, UnknownRecord, WrongPassword
from shared_models.log.store import reading, writing

_MOST_TRIES, _TRIES_WITHIN = 10, timedelta(minutes=5)
_ALL_FARMS = ""


@dataclass(frozen=True, slots=True)
class SignIn:
    """Whoever is let in gets a session; each method that lets in returns what the cookie has to hold."""

    engine: Engine
    providers: Providers
    passwords: Passwords = field(default_factory=Passwords)
    tries: RateLimiter = field(default_factory=lambda: RateLimiter(_MOST_TRIES, _TRIES_WITHIN))

    def sign_in(self, typed: str, password: str, address: str) -> str:
        """Let in by sign-in name and password. An unknown name gets the same answer, and as late, as a wrong password.

        Raises:
            WrongPassword: when they do not belong together.
            TooManyTries: when too many were wrong lately, with this name or from this address.
        """
        with reading(self.engine) as connection:
            account = accounts.account_named(connection, typed)
        self._check(account, password, (f"name {accounts.sign_in_name(typed)}", f"address {place_of(address)}"))
        if account is None:
            raise WrongPassword
        with writing(self.engine, account.farm) as connection:
            _check_still_so(connection, account)
            accounts.keep_up_to_date(connection, account, password, self.passwords)
            return self._begin(connection, account.id)

    def _check(self, account: KnownAccount | None, password: str, places: tuple[str, ...]) -> None:
        with self.tries.counted(places, self.providers.now(), WrongPassword):
            if not self.passwords.is_right(password, account and account.password_hash):
                raise WrongPassword

    def link(self, key: str) -> Link:
        """What a one-time link is for; it stays good.

        Raises:
            LinkSpent: when it is not good (any more).
        """
        with reading(self.engine) as connection:
            return one_time_links.good_link(connection, key, self.providers.now())

    def join(self, key: str, wanted: Wanted) -> str:
        """Make the account that a link is for, and let in.

        Raises:
            LinkSpent: when the link is for something else, or not good (any more).
            BadEntry: with the reason for each field that cannot be taken; the link stays good.
        """
        with reading(self.engine) as connection:
            link = self._good(connection, key, LinkPurpose.JOIN)
            accounts.check_wanted(connection, wanted)
        kept = self.passwords.hash_of(wanted.password)
        with writing(self.engine, _ALL_FARMS) as connection:  # no two of them have one sign-in name
            accounts.check_wanted(connection, wanted)
            one_time_links.use_up(connection, link, self.providers.now())
            if link.role is None:
                raise LinkSpent
            account = accounts.add_account(
                connection, link.farm, link.role, wanted.name, wanted.sign_in, kept, self.providers
            )
            return self._begin(connection, account)

    def renew_password(self, key: str, password: str, again: str) -> str:
        """Let the one whose link this is choose a new password; all older sessions and links end.

        Raises:
            LinkSpent: when the link is for something else, or not good (any more).
            BadEntry: when the password is not good enough; the link stays good.
        """
        with reading(self.engine) as connection:
            link = self._good(connection, key, LinkPurpose.PASSWORD)
            account = _owner_of(connection, link)
        accounts.check_password(account, password, again)
        kept = self.passwords.hash_of(password)
        with writing(self.engine, link.farm) as connection:
            one_time_links.use_up(connection, link, self.providers.now())
            accounts.keep_password(connection, account, kept)
            one_time_links.withdraw_for(connection, account.id)
            sessions.end_all(connection, account.id)
            return self._begin(connection, account.id)

    def step_in(self, key: str) -> str:
        """Let in the one whose link this is, with nothing typed.

        Raises:
            LinkSpent: when the link is for something else, or not good (any more).
        """
        with reading(self.engine) as connection:
            link = self._good(connection, key, LinkPurpose.SIGN_IN)
        with writing(self.engine, link.farm) as connection:
            account = _owner_of(connection, link)
            one_time_links.use_up(connection, link, self.providers.now())
            return self._begin(connection, account.id)

    def change_password(self, account: KnownAccount, session: str, now_used: str, password: str, again: str) -> None:
        """Let another password open the account. Every other session of it ends, and every link that would open it.

        Raises:
            WrongPassword: when `now_used` is not the password so far; an account without one needs none.
            TooManyTries: when too many were wrong lately.
            BadEntry: when the new one is not good enough.
        """
        accounts.check_password(account, password, again)
        if account.has_password:
            self._check(account, now_used, (f"name {account.sign_in}",))
        kept = self.passwords.hash_of(password)
        with writing(self.engine, account.farm) as connection:
            _check_still_so(connection, account)
            accounts.keep_password(connection, account, kept)
            one_time_links.withdraw_for(connection, account.id)
            sessions.end_all(connection, account.id, but=session)

    def sign_out(self, account: KnownAccount, session: str) -> None:
        """End this session."""
        with writing(self.engine, account.farm) as connection:
            sessions.end(connection, session)

    def sign_out_elsewhere(self, account: KnownAccount, session: str) -> None:
        """End every session of the account but this one."""
        with writing(self.engine, account.farm) as connection:
            sessions.end_all(connection, account.id, but=session)

    def _good(self, connection: Connection, key: str, purpose: LinkPurpose) -> Link:
        link = one_time_links.good_link(connection, key, self.providers.now())
        if link.purpose is not purpose:
            raise LinkSpent
        return link

    def _begin(self, connection: Connection, account: str) -> str:
        return sessions.begin(connection, account, self.providers.token(), self.providers.now())


def _check_still_so(connection: Connection, account: KnownAccount) -> None:
    """A password takes a while to check; what was right may be no more, and would outlive the change.

    Raises:
        WrongPassword: when the account has ended meanwhile, or has another password.
    """
    try:
        now = accounts.account_of(connection, account.farm, account.id)
    except UnknownRecord as problem:
        raise WrongPassword from problem
    if now.password_hash != account.password_hash:
        raise WrongPassword


def _owner_of(connection: Connection, link: Link) -> KnownAccount:
    try:
        return accounts.account_of(connection, link.farm, link.account or "")
    except UnknownRecord as problem:
        raise LinkSpent from problem
