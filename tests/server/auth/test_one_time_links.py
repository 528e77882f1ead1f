"""Coming into the office by name and password, and going out."""

from typing import Any

import pytest
from argon2 import PasswordHasher

from server.auth.dependencies import OFFICE_COOKIE
from server.auth.passwords import Passwords
from server.auth.sign_in import SignIn
from server.db.tables import Account, OfficeSession
from shared_models.core.vocabulary import Role
from tests.server.support.service import ADDRESS, Service
from tests.server.support.sign_in import BETTER, GOOD, post, rows, sign_in


@pytest.mark.usefixtures("ana")
def test_name_and_password_open_the_office(service: Service) -> None:
    answer = sign_in(service, " ANA ")

    cookie = answer.headers["set-cookie"]
    assert (answer.status_code, answer.headers["location"]) == (303, "/")
    for attribute in ("HttpOnly", "SameSite=lax", "Path=/", "Max-Age=7776000"):
        assert attribute in cookie
    assert "Secure" not in cookie
    assert service.client.get("/account").status_code == 200


@pytest.mark.usefixtures("ana")
def test_behind_tls_the_cookie_never_travels_in_the_open(service: Service) -> None:
    secure = ADDRESS.replace("http:", "https:")

    answer = post(service, f"{secure}/sign-in", sign_in="ana", password=GOOD)

    assert "Secure" in answer.headers["set-cookie"]


@pytest.mark.usefixtures("ana")
def test_neither_the_database_nor_the_cookie_gives_the_other_away(service: Service) -> None:
    """The session stands hashed in the database, and what the cookie holds is signed."""
    cookie = sign_in(service).cookies[OFFICE_COOKIE]

    (session,) = rows(service, OfficeSession)
    name, _, signature = cookie.partition(".")
    assert len(signature) > 20
    assert name.encode() not in session.hash
    assert bytes.fromhex(name) != session.hash


@pytest.mark.usefixtures("ana")
def test_each_sign_in_is_a_session_of_its_own(service: Service) -> None:
    """A cookie that somebody planted before the sign-in is worth nothing after it."""
    first, second = (sign_in(service).cookies[OFFICE_COOKIE] for _ in range(2))

    assert first != second


@pytest.mark.usefixtures("ana")
@pytest.mark.parametrize(("name", "password"), [("ana", BETTER), ("ben", GOOD), ("ana", ""), ("", "")])
def test_a_wrong_name_and_a_wrong_password_get_the_same_answer(service: Service, name: str, password: str) -> None:
    answer = sign_in(service, name, password)

    assert answer.status_code == 401
    assert "That sign-in name and password do not match." in answer.text
    assert "set-cookie" not in answer.headers
    assert password not in answer.text or not password


def test_an_unknown_name_costs_as_much_work_as_a_wrong_password(service: Service, ana: str) -> None:
    """One hash each, so the time it takes tells nobody which names there are."""
    hashed: list[str] = []

    class Counting(PasswordHasher):
        def hash(self, password: str | bytes, *, salt: bytes | None = None) -> str:
            hashed.append("made")
            return super().hash(password, salt=salt)

        def verify(self, hash: str | bytes, password: str | bytes) -> Any:  # noqa: A002 - the library's name
            hashed.append("checked")
            return super().verify(hash, password)

    assert ana
    counting = Passwords(Counting(time_cost=1, memory_cost=8, parallelism=1))
    service.app.state.sign_in = SignIn(service.engine, service.fakes.providers, counting)
    sign_in(service, "ana", BETTER)
    sign_in(service, "nobody", BETTER)

    assert hashed == ["checked", "made"]


@pytest.mark.parametrize(
    ("back", "there"),
    [
        ("/soil?bed=1", "/soil?bed=1"),
        ("https://elsewhere.example/", "/"),
        ("//elsewhere.example/", "/"),
        ("/\\elsewhere.example/", "/"),
        ("/\t/elsewhere.example", "/"),
        ("javascript:alert(1)", "/"),
        ("", "/"),
    ],
)
@pytest.mark.usefixtures("ana")
def test_after_the_sign_in_comes_the_page_that_was_asked_for_if_it_is_one_of_ours(
    service: Service, back: str, there: str
) -> None:
    assert sign_in(service, back=back).headers["location"] == there
    assert service.client.get("/sign-in", params={"back": back}, follow_redirects=False).headers["location"] == there


@pytest.mark.usefixtures("ana")
def test_after_many_wrong_passwords_a_name_has_to_wait_from_wherever_it_is_tried(service: Service) -> None:
    service.account(service.make_farm("Oak Hollow"), Role.OWNER, "Ben", GOOD)
    for _ in range(10):
        assert sign_in(service, password=BETTER).status_code == 401

    waiting = sign_in(service)

    assert waiting.status_code == 429
    assert waiting.headers["retry-after"] == "300"
    assert "Wait 300 seconds" in waiting.text
    service.fakes.wait(seconds=300)
    assert sign_in(service).status_code == 303


@pytest.mark.usefixtures("ana")
def test_after_many_wrong_names_an_address_has_to_wait(service: Service) -> None:
    for number in range(10):
        assert sign_in(service, f"guess{number}").status_code == 401

    assert sign_in(service).status_code == 429


@pytest.mark.usefixtures("ana")
def test_right_passwords_count_for_nothing(service: Service) -> None:
    assert {sign_in(service).status_code for _ in range(12)} == {303}


def test_a_hash_made_in_an_older_way_is_made_again_at_the_next_sign_in(service: Service, farm: str) -> None:
    service.account(farm, Role.CREW, "Ana", GOOD)
    (before,) = rows(service, Account)
    stronger = Passwords(PasswordHasher(time_cost=2, memory_cost=8, parallelism=1))
    service.app.state.sign_in = SignIn(service.engine, service.fakes.providers, stronger)

    sign_in(service)

    (after,) = rows(service, Account)
    assert before.password_hash != after.password_hash
    assert "t=2" in after.password_hash
    assert sign_in(service).status_code == 303


# going out


@pytest.mark.usefixtures("ana")
def test_who_signs_out_is_out_even_with_the_same_cookie(service: Service) -> None:
    cookie = sign_in(service).cookies[OFFICE_COOKIE]

    gone = service.send_form("/sign-out")
    service.client.cookies.set(OFFICE_COOKIE, cookie)

    assert (gone.status_code, gone.headers["location"]) == (303, "/sign-in")
    assert gone.headers["clear-site-data"] == '"cache"'  # a browser that goes back shows no page again
    assert service.client.get("/account").status_code == 401
    assert rows(service, OfficeSession) == []


def test_no_page_signs_out_or_changes_anything_by_being_opened(service: Service, farm: str, ana: str) -> None:
    service.open_office(farm)

    for path in ("/sign-out", "/account/password", f"/access/{ana}", f"/access/{ana}/close", "/language"):
        assert service.client.get(path).status_code == 405


@pytest.mark.usefixtures("ana")
def test_a_new_password_ends_every_other_session(service: Service) -> None:
    elsewhere = sign_in(service).cookies[OFFICE_COOKIE]
    service.client.cookies.clear()
    sign_in(service)

    changed = service.send_form("/account/password", now=GOOD, password=BETTER, again=BETTER)

    assert changed.headers["location"] == "/account?done=password"
    assert "Password changed." in service.client.get(changed.headers["location"]).text
    service.client.cookies.clear()
    service.client.cookies.set(OFFICE_COOKIE, elsewhere)
    assert service.client.get("/account").status_code == 401
    service.client.cookies.clear()
    assert sign_in(service).status_code == 401
    assert sign_in(service, password=BETTER).status_code == 303


@pytest.mark.parametrize(
    ("typed", "status", "reason"),
    [
        ({"now": BETTER}, 401, "wrong password"),
        ({"password": "short", "again": "short"}, 422, "at least 10"),
        ({"again": GOOD}, 422, "not the same"),
    ],
)
@pytest.mark.usefixtures("ana")
def test_a_password_that_cannot_be_changed_has_its_reason(
    service: Service, typed: dict[str, str], status: int, reason: str
) -> None:
    sign_in(service)

    answer = service.send_form("/account/password", **{"now": GOOD, "password": BETTER, "again": BETTER} | typed)

    assert answer.status_code == status
    assert reason in answer.text
    service.client.cookies.clear()
    assert sign_in(service).status_code == 303


@pytest.mark.usefixtures("ana")
def test_the_password_so_far_cannot_be_guessed_there_either(service: Service) -> None:
    sign_in(service)
    typed = {"password": BETTER, "again": BETTER}

    statuses = [service.send_form("/account/password", now=f"guess {n}", **typed).status_code for n in range(11)]

    assert statuses == [401] * 10 + [429]


def test_who_came_by_a_link_chooses_a_first_password(service: Service, farm: str) -> None:
    service.open_office(farm, account=service.account(farm, Role.OWNER, "Ana"))
    assert "Choose a password" in service.client.get("/account").text

    service.send_form("/account/password", password=GOOD, again=GOOD)

    assert "Change password" in service.client.get("/account").text
    service.client.cookies.clear()
    assert sign_in(service).status_code == 303


@pytest.mark.usefixtures("ana")
def test_somebody_who_lost_a_phone_signs_out_everywhere_else(service: Service) -> None:
    elsewhere = sign_in(service).cookies[OFFICE_COOKIE]
    service.client.cookies.clear()
    sign_in(service)

    service.send_form("/account/sign-out-elsewhere")

    assert service.client.get("/account").status_code == 200
    service.client.cookies.clear()
    service.client.cookies.set(OFFICE_COOKIE, elsewhere)
    assert service.client.get("/account").status_code == 401
