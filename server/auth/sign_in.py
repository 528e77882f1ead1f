"""Sign in by password or one-time link, change a password, sign out."""

from dataclasses import dataclass, field
from datetime import timedelta
from typing import NamedTuple

from sqlalchemy import Connection, Engine

from server.auth import accounts, one_time_links, sessions
from server.auth.accounts import MAX_SIGN_IN_NAME, AccountRow, NewAccount
from server.auth.known_places import KnownAddresses, KnownBrowser
from server.auth.one_time_links import Link
from server.auth.passwords import Passwords
from server.auth.rate_limit import RateLimiter, client_key
from server.db.tables import LinkPurpose
from server.runtime.providers import Providers
from shared_models.errors import ExpiredLink, UnknownRecord, WrongPassword
from shared_models.log.store import reading, writing

_MAX_FAILURES, _WINDOW = 10, timedelta(minutes=5)
_ALL_FARMS = ""


class SignedIn(NamedTuple):
    """A session that was just started: what its cookie holds, and the id of its account."""

    session: str
    account: str


@dataclass(frozen=True, slots=True)
class SignIn:
    """Each method that signs somebody in starts a session."""

    engine: Engine
    providers: Providers
    passwords: Passwords = field(default_factory=Passwords)
    rate_limiter: RateLimiter = field(default_factory=lambda: RateLimiter(_MAX_FAILURES, _WINDOW))
    known_addresses: KnownAddresses = field(default_factory=KnownAddresses)

    def sign_in(self, typed: str, password: str, address: str, browser: KnownBrowser | None = None) -> SignedIn:
        """Sign in by name and password. An unknown name gets the same answer as a wrong password, and as late.

        Raises:
            WrongPassword: when they do not match.
            TooManyTries: after too many failures on this browser, if the account signed in on it before; else from
                this address, or with this name from all places where its account did not sign in before.
        """
        with reading(self.engine) as connection:
            account = accounts.find_account(connection, typed)
        self._check(account, password, self._limits(account, typed, client_key(address), browser))
        if account is None:
            raise WrongPassword
        with writing(self.engine, account.farm) as connection:
            _check_unchanged(connection, account)
            accounts.rehash_if_outdated(connection, account, password, self.passwords)
            signed_in = self._start_session(connection, account.id)
        self.known_addresses.add(account.id, client_key(address))
        return signed_in

    def _limits(
        self, account: AccountRow | None, typed: str, address: str, browser: KnownBrowser | None
    ) -> tuple[str, ...]:
        """The keys by which a failure is counted: those of a known place are used up by nobody elsewhere."""
        if account and browser and account.id in browser.accounts:
            return (f"browser {browser.token} {account.id}",)
        by_address = f"address {address}"
        if account and (account.id, address) in self.known_addresses:
            return (by_address,)
        return by_address, f"name {accounts.sign_in_name(typed)[: MAX_SIGN_IN_NAME + 1]}"

    def _check(self, account: AccountRow | None, password: str, keys: tuple[str, ...]) -> None:
        with self.rate_limiter.attempt(keys, self.providers.now(), WrongPassword):
            if not self.passwords.verify(password, account and account.password_hash):
                raise WrongPassword

    def link(self, key: str) -> Link:
        """The one-time link with this key; it still works afterwards.

        Raises:
            ExpiredLink: when it has expired, was used, or is unknown.
        """
        with reading(self.engine) as connection:
            return one_time_links.find_link(connection, key, self.providers.now())

    def join(self, key: str, new: NewAccount) -> SignedIn:
        """Make the account that a link is for, and sign in.

        Raises:
            ExpiredLink: when the link has another purpose or does not work (any more).
            BadEntry: with the reason for each field; the link still works.
        """
        with reading(self.engine) as connection:
            link = self._link_for(connection, key, LinkPurpose.JOIN)
            accounts.check_new_account(connection, new)
        hashed = self.passwords.hash(new.password)
        with writing(self.engine, _ALL_FARMS) as connection:  # sign-in names are unique in the whole service
            accounts.check_new_account(connection, new)
            one_time_links.redeem(connection, link, self.providers.now())
            if link.role is None:
                raise ExpiredLink
            account = accounts.add_account(
                connection, link.farm, link.role, new.name, new.sign_in, hashed, self.providers
            )
            return self._start_session(connection, account)

    def reset_password(self, key: str, password: str, again: str) -> SignedIn:
        """Set a new password by link; ends all older sessions and links.

        Raises:
            ExpiredLink: when the link has another purpose or does not work (any more).
            BadEntry: when the password is not good enough; the link still works.
        """
        with reading(self.engine) as connection:
            link = self._link_for(connection, key, LinkPurpose.PASSWORD)
            account = _account_of(connection, link)
        accounts.check_password(account, password, again)
        hashed = self.passwords.hash(password)
        with writing(self.engine, link.farm) as connection:
            one_time_links.redeem(connection, link, self.providers.now())
            accounts.set_password(connection, account, hashed)
            one_time_links.revoke_for(connection, account.id)
            sessions.end_all(connection, account.id)
            return self._start_session(connection, account.id)

    def sign_in_by_link(self, key: str) -> SignedIn:
        """Sign in by link, with nothing typed.

        Raises:
            ExpiredLink: when the link has another purpose or does not work (any more).
        """
        with reading(self.engine) as connection:
            link = self._link_for(connection, key, LinkPurpose.SIGN_IN)
        with writing(self.engine, link.farm) as connection:
            account = _account_of(connection, link)
            one_time_links.redeem(connection, link, self.providers.now())
            return self._start_session(connection, account.id)

    def change_password(self, account: AccountRow, session: str, current: str, password: str, again: str) -> None:
        """Change the password; ends every other session of the account, and every link that opens it.

        Raises:
            WrongPassword: when `current` is wrong; an account without a password needs none.
            TooManyTries: after too many failures.
            BadEntry: when the new one is not good enough.
        """
        accounts.check_password(account, password, again)
        if account.has_password:
            self._check(account, current, (f"account {account.id}",))  # who tries to sign in never uses this up
        hashed = self.passwords.hash(password)
        with writing(self.engine, account.farm) as connection:
            _check_unchanged(connection, account)
            accounts.set_password(connection, account, hashed)
            one_time_links.revoke_for(connection, account.id)
            sessions.end_all(connection, account.id, but=session)

    def sign_out(self, account: AccountRow, session: str) -> None:
        with writing(self.engine, account.farm) as connection:
            sessions.end(connection, session)

    def sign_out_elsewhere(self, account: AccountRow, session: str) -> None:
        with writing(self.engine, account.farm) as connection:
            sessions.end_all(connection, account.id, but=session)

    def _link_for(self, connection: Connection, key: str, purpose: LinkPurpose) -> Link:
        link = one_time_links.find_link(connection, key, self.providers.now())
        if link.purpose is not purpose:
            raise ExpiredLink
        return link

    def _start_session(self, connection: Connection, account: str) -> SignedIn:
        session = sessions.start(connection, account, self.providers.token(), self.providers.now())
        return SignedIn(session, account)


def _check_unchanged(connection: Connection, account: AccountRow) -> None:
    """Check again what was read before the slow password check: a change meanwhile must not be outlived.

    Raises:
        WrongPassword: when the account has ended meanwhile, or has another password.
    """
    try:
        now = accounts.get_account(connection, account.farm, account.id)
    except UnknownRecord as problem:
        raise WrongPassword from problem
    if now.password_hash != account.password_hash:
        raise WrongPassword


def _account_of(connection: Connection, link: Link) -> AccountRow:
    try:
        return accounts.get_account(connection, link.farm, link.account or "")
    except UnknownRecord as problem:
        raise ExpiredLink from problem
