"""Wrong passwords from elsewhere never lock anybody out of the place where they signed in before."""

from itertools import count

import pytest
from starlette.testclient import TestClient

from server.auth.dependencies import BROWSER_COOKIE, OFFICE_COOKIE
from server.auth.known_places import KnownAddresses, KnownBrowser
from server.auth.sign_in import SignIn
from shared_models.core.vocabulary import Role
from shared_models.errors import TooManyTries, WrongPassword
from tests.server.support.service import ADDRESS, Service
from tests.server.support.sign_in import BETTER, GOOD, post, sign_in

HOME, ELSEWHERE = "192.0.2.1", "203.0.113.9"
MANY = 25


@pytest.fixture
def auth(service: Service, ana: str) -> SignIn:
    assert ana
    auth: SignIn = service.app.state.sign_in
    return auth


def guess(auth: SignIn, address: str, browser: KnownBrowser | None = None, times: int = MANY) -> list[type[Exception]]:
    """Try wrong passwords; returns how each try ended."""
    ends: list[type[Exception]] = []
    for number in range(times):
        with pytest.raises((WrongPassword, TooManyTries)) as refused:
            auth.sign_in("ana", f"wrong {number}", address, browser)
        ends.append(refused.type)
    return ends


def test_a_browser_that_signed_in_before_signs_in_while_somebody_elsewhere_guesses(service: Service, ana: str) -> None:
    """Also from another address, as from the field, and with the address taken up by somebody at home."""
    assert ana
    assert sign_in(service).status_code == 303
    service.client.cookies.delete(OFFICE_COOKIE)
    elsewhere = TestClient(service.app, base_url=ADDRESS)
    guesses = [elsewhere.post("/sign-in", data={"sign_in": "ana", "password": f"wrong {n}"}) for n in range(MANY)]

    answer = sign_in(service)

    assert guesses[-1].status_code == 429
    assert elsewhere.post("/sign-in", data={"sign_in": "ana", "password": GOOD}).status_code == 429
    assert answer.status_code == 303
    assert service.client.get("/account").status_code == 200


def test_an_address_from_where_she_signed_in_lets_her_in_while_others_guess_elsewhere(auth: SignIn) -> None:
    auth.sign_in("ana", GOOD, HOME)
    for number in range(MANY):
        guess(auth, f"203.0.113.{number}", times=1)

    assert auth.sign_in("ana", GOOD, HOME)
    with pytest.raises(TooManyTries):
        auth.sign_in("ana", GOOD, ELSEWHERE)


@pytest.mark.parametrize("known", [False, True])
def test_who_guesses_waits_at_every_place(auth: SignIn, ana: str, *, known: bool) -> None:
    """A known browser that was stolen is no way around the limit, and uses up that of nobody else."""
    browser = KnownBrowser("b", (ana,)) if known else None

    ends = guess(auth, ELSEWHERE, browser)

    assert ends == [WrongPassword] * 10 + [TooManyTries] * (MANY - 10)
    assert auth.sign_in("ana", GOOD, HOME, KnownBrowser("other", (ana,)))


def test_a_browser_is_known_to_the_accounts_that_signed_in_on_it_only(
    service: Service, auth: SignIn, farm: str
) -> None:
    ben = service.account(farm, Role.CREW, "Ben", BETTER)
    guess(auth, ELSEWHERE)

    with pytest.raises(TooManyTries):
        auth.sign_in("ana", GOOD, HOME, KnownBrowser("b", (ben,)))


def test_a_computer_that_several_people_use_is_known_to_each(service: Service, ana: str, farm: str) -> None:
    ben = service.account(farm, Role.CREW, "Ben", BETTER)
    sign_in(service)
    sign_in(service, "ben", BETTER)

    known = service.app.state.signer.browser(service.client.cookies[BROWSER_COOKIE])

    assert known.accounts == (ben, ana)


def test_a_link_makes_a_browser_known_and_signing_out_does_not_forget_it(service: Service, ana: str, farm: str) -> None:
    post(service, service.link(farm, account=ana))
    service.send_form("/sign-out")

    known = service.app.state.signer.browser(service.client.cookies[BROWSER_COOKIE])

    assert known.accounts == (ana,)
    assert OFFICE_COOKIE not in service.client.cookies


@pytest.mark.parametrize("cookie", ["", "x", "x.y", "b.{ana}.made-up"])
def test_a_cookie_that_this_service_has_not_signed_makes_no_browser_known(
    service: Service, auth: SignIn, ana: str, cookie: str
) -> None:
    guess(auth, ELSEWHERE)
    service.client.cookies.set(BROWSER_COOKIE, cookie.format(ana=ana))

    assert sign_in(service).status_code == 429


def test_the_cookie_of_a_known_browser_opens_nothing(service: Service, ana: str) -> None:
    assert ana
    sign_in(service)
    cookie = service.client.cookies[BROWSER_COOKIE]
    service.client.cookies.clear()
    service.client.cookies.set(BROWSER_COOKIE, cookie)
    service.client.cookies.set(OFFICE_COOKIE, cookie)

    assert service.client.get("/account").status_code == 401


def test_guessing_elsewhere_does_not_keep_her_from_changing_her_password(service: Service, auth: SignIn) -> None:
    sign_in(service)
    guess(auth, ELSEWHERE)

    changed = service.send_form("/account/password", now=GOOD, password=BETTER, again=BETTER)

    assert changed.headers["location"] == "/account?done=password"


def test_a_browser_forgets_who_was_away_longest() -> None:
    browser, names = KnownBrowser("b"), count()
    for _ in range(50):
        browser = browser.with_account(f"account {next(names)}")

    assert browser.accounts[0] == "account 49"
    assert len(browser.accounts) == 12
    assert KnownBrowser.from_text(browser.to_text()) == browser


def test_only_so_many_addresses_are_remembered_the_latest() -> None:
    addresses = KnownAddresses(most=2)
    for address in ("barn", "field", "barn", "town"):
        addresses.add("ana", address)

    assert [("ana", address) in addresses for address in ("barn", "field", "town")] == [True, False, True]
