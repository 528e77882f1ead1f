"""Sign-in while the account changes."""

from collections.abc import Callable
from dataclasses import dataclass

import pytest
from argon2 import PasswordHasher

from server.auth import invitations
from server.auth.accounts import AccountRow, find_account
from server.auth.passwords import Passwords
from server.auth.sign_in import SignIn
from server.db.tables import OfficeSession
from shared_models.core.vocabulary import Role
from shared_models.errors import WrongPassword
from shared_models.log.store import reading
from tests.server.support.service import Service
from tests.server.support.sign_in import BETTER, GOOD, rows


@dataclass
class SlowPasswords(Passwords):
    """Password checks so slow that something happens meanwhile."""

    happens: Callable[[], object] = lambda: None

    def __post_init__(self) -> None:
        super().__init__(PasswordHasher(time_cost=1, memory_cost=8, parallelism=1))

    def verify(self, password: str, kept: str | None) -> bool:
        right = super().verify(password, kept)
        happens, self.happens = self.happens, lambda: None
        happens()
        return right


@pytest.fixture
def slow() -> SlowPasswords:
    return SlowPasswords()


@pytest.fixture
def auth(service: Service, farm: str, slow: SlowPasswords) -> SignIn:
    service.app.state.sign_in = SignIn(service.engine, service.fakes.providers, slow)
    service.account(farm, Role.CREW, "Ana", GOOD)
    auth: SignIn = service.app.state.sign_in
    return auth


def find_ana(service: Service) -> AccountRow:
    with reading(service.engine) as connection:
        account = find_account(connection, "ana")
    assert account is not None
    return account


def change_password(service: Service, auth: SignIn) -> None:
    auth.change_password(find_ana(service), "none", GOOD, BETTER, BETTER)


def close_account(service: Service) -> None:
    invitations.close_account(service.engine, find_ana(service), find_ana(service).id, service.fakes.providers)


@pytest.mark.parametrize("closed", [False, True])
def test_nobody_gets_in_while_the_password_changes_or_the_account_is_closed(
    service: Service, auth: SignIn, slow: SlowPasswords, *, closed: bool
) -> None:
    """Else that session would outlive the change, which ends all others."""
    slow.happens = lambda: close_account(service) if closed else change_password(service, auth)

    with pytest.raises(WrongPassword):
        auth.sign_in("ana", GOOD, "barn")

    assert rows(service, OfficeSession) == []
    if not closed:
        assert auth.sign_in("ana", BETTER, "barn")


def test_of_two_who_change_a_password_at_once_the_second_is_told(
    service: Service, auth: SignIn, slow: SlowPasswords
) -> None:
    slow.happens = lambda: change_password(service, auth)

    with pytest.raises(WrongPassword):
        change_password(service, auth)

    assert auth.sign_in("ana", BETTER, "barn")
