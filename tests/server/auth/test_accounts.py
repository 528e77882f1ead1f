"""Accounts: how somebody gets one by a link, and what an owner decides about the others."""

import re
from datetime import timedelta

import pytest
from sqlalchemy import URL

from server.auth.dependencies import OFFICE_COOKIE
from server.auth.one_time_links import LINK_LIFE
from server.db.tables import Account, OneTimeLink
from server.farms.edits import edit
from server.runtime.address import note_address
from shared_models.core.vocabulary import Role
from tests.server.support.service import BROWSER, FakeProviders, Service, running_service
from tests.server.support.sign_in import BETTER, GOOD, JOINED, post, rows, sign_in

# links


def test_a_link_shows_a_form_and_stays_good_until_it_is_sent(service: Service, farm: str) -> None:
    """A mail program that looks at every link, or a second look, uses nothing up."""
    path = service.link(farm)

    shown = [service.client.get(path, headers=BROWSER) for _ in range(3)]

    assert [page.status_code for page in shown] == [200] * 3
    assert "Heronbrook" in shown[0].text
    assert rows(service, Account) == []
    assert "set-cookie" not in shown[0].headers


def test_who_uses_the_consoles_link_is_the_owner_and_in_the_office(service: Service, farm: str) -> None:
    answer = post(service, service.link(farm), **JOINED)

    assert (answer.status_code, answer.headers["location"]) == (303, "/")
    (account,) = rows(service, Account)
    assert (account.farm_id, account.name, account.sign_in, account.role) == (farm, "Ana", "ana", "owner")
    assert service.client.get("/access").status_code == 200


def test_a_link_is_good_for_a_week(service: Service, farm: str) -> None:
    path = service.link(farm)
    service.fakes.time += LINK_LIFE

    assert post(service, path, **JOINED).status_code == 403


def test_a_fresh_owners_link_ends_the_one_before(service: Service, farm: str) -> None:
    old, _fresh = service.link(farm), service.link(farm)

    assert post(service, old, **JOINED).status_code == 403


@pytest.mark.parametrize(
    ("typed", "reason"),
    [
        ({"name": "  "}, "enter a name"),
        ({"name": "x" * 121}, "enter a name"),
        ({"sign_in": ""}, "no spaces"),
        ({"sign_in": "a b"}, "no spaces"),
        ({"sign_in": "a\u202eb"}, "no spaces"),
        ({"sign_in": " INES "}, "this sign-in name is taken"),
        ({"password": "short", "again": "short"}, "at least 10"),
        ({"again": BETTER}, "not the same"),
        ({"password": "ana ana ana", "again": "ana ana ana"}, "too easy"),
    ],
)
def test_what_cannot_be_taken_is_told_beside_its_field_and_the_link_stays_good(
    service: Service, farm: str, typed: dict[str, str], reason: str
) -> None:
    service.account(farm, Role.OWNER, "Ines")
    path = service.link(farm, Role.CREW)

    answer = post(service, path, **JOINED | typed)

    assert answer.status_code == 422
    assert reason in answer.text
    assert 'aria-invalid="true"' in answer.text
    assert GOOD not in answer.text
    assert post(service, path, **JOINED).status_code == 303


def test_a_link_that_was_used_says_how_to_go_on(service: Service, farm: str) -> None:
    """Two taps on a slow network: the account is made once, and the page is the answer to the second tap."""
    path = service.link(farm, Role.CREW)
    first = post(service, path, **JOINED)

    again, other = post(service, path, **JOINED), post(service, path, **JOINED | {"sign_in": "eve"})

    assert (first.status_code, again.status_code, other.status_code) == (303, 403, 403)
    assert len(rows(service, Account)) == 1
    assert "has expired or was already used" in again.text
    assert "If you just made your account with it, sign in." in again.text


def test_somebody_invited_gets_the_role_that_the_link_says(service: Service, farm: str) -> None:
    service.open_office(farm)
    made = service.send_form("/access", role="grower")
    url = re.search(r'value="(http[^"]+/enter/[0-9a-f]+)"', made.text)
    assert url
    assert made.headers["cache-control"] == "private, no-store"
    service.client.cookies.clear()

    post(service, "/enter/" + url[1].rpartition("/")[2], **JOINED, role="owner")

    assert {account.sign_in: account.role for account in rows(service, Account)}["ana"] == "grower"


def test_a_fresh_link_is_drawn_for_a_phone_where_a_phone_can_follow_it(service: Service, farm: str) -> None:
    service.open_office(farm)
    alone = service.send_form("/access", role="crew").text
    note_address(service.engine, "http://192.168.1.20:8000")

    reachable = service.send_form("/access", role="crew").text

    assert "Only this computer can open the link" in alone
    assert "<svg" not in alone
    assert "http://192.168.1.20:8000/enter/" in reachable
    assert "<svg" in reachable


def test_a_link_to_sign_in_needs_nothing_typed(service: Service, ana: str, farm: str) -> None:
    assert post(service, service.link(farm, account=ana)).status_code == 303
    assert "Ana" in service.client.get("/account").text


def test_a_link_does_only_what_it_is_for(service: Service, ana: str, farm: str) -> None:
    post(service, service.link(farm, account=ana), **JOINED | {"password": BETTER, "again": BETTER}, role="owner")

    service.client.cookies.clear()
    assert len(rows(service, Account)) == 1
    assert sign_in(service, password=BETTER).status_code == 401
    assert sign_in(service).status_code == 303


# what an owner decides


@pytest.mark.parametrize("role", [Role.CREW, Role.GROWER])
def test_only_owners_decide_who_may_come_in(service: Service, farm: str, ana: str, role: Role) -> None:
    service.open_office(farm, role)

    answers = [
        service.client.get("/access", headers=BROWSER),
        service.send_form("/access", role="owner"),
        service.send_form(f"/access/{ana}", role="owner"),
        service.send_form(f"/access/{ana}/password-link"),
        service.send_form(f"/access/{ana}/close"),
        service.send_form("/access/links/any/revoke"),
    ]

    assert [answer.status_code for answer in answers] == [403] * 6
    assert "Only the owner can do this." in answers[0].text
    assert "/access" not in service.client.get("/account").text


def test_a_role_counts_from_the_next_page_on(service: Service, farm: str, ana: str) -> None:
    owner = service.account(farm, Role.OWNER)
    service.open_office(farm, account=owner)
    service.send_form(f"/access/{ana}", role="owner")
    service.client.cookies.clear()
    service.open_office(farm, account=ana)
    assert service.client.get("/access").status_code == 200

    service.send_form(f"/access/{owner}", role="crew")
    service.client.cookies.clear()
    service.open_office(farm, account=owner)

    assert service.client.get("/access").status_code == 403


def test_an_account_may_be_a_person_of_the_log(service: Service, farm: str, ana: str) -> None:
    person = service.fakes.new_id()
    edit(service.engine, farm, "person", person, {"name": "Ana Reyes"}, None, service.fakes.time)
    service.open_office(farm)

    service.send_form(f"/access/{ana}", role="crew", person=person)

    assert f'<option value="{person}" selected>Ana Reyes</option>' in service.client.get("/access").text
    service.send_form(f"/access/{ana}", role="crew", person="")
    assert [account.person for account in rows(service, Account)] == [None, None]


@pytest.mark.parametrize("person", ["nobody", "\0", "00000000-0000-7000-8000-0000000000aa", "of another farm"])
def test_an_account_is_no_person_that_the_log_does_not_know(service: Service, farm: str, ana: str, person: str) -> None:
    """What it corrects would be a line that nobody can read, or in a stranger's name."""
    there, stranger = service.make_farm("Oak Hollow"), service.fakes.new_id()
    edit(service.engine, there, "person", stranger, {"name": "Eve"}, None, service.fakes.time)
    service.open_office(farm)

    answer = service.send_form(f"/access/{ana}", role="grower", person=stranger if "farm" in person else person)

    assert answer.status_code == 404
    assert {(account.role, account.person) for account in rows(service, Account) if account.id == ana} == {
        ("crew", None)
    }


def test_the_last_owner_stays(service: Service, farm: str, ana: str) -> None:
    """A farm without an owner could let nobody in any more."""
    owner = service.account(farm, Role.OWNER, "Ines")
    service.open_office(farm, account=owner)

    ended = service.send_form(f"/access/{owner}/close")
    lowered = service.send_form(f"/access/{owner}", role="grower")

    assert (ended.status_code, lowered.status_code) == (409, 409)
    assert "Ines is the farm&#39;s only owner." in ended.text
    service.send_form(f"/access/{ana}", role="owner")
    assert service.send_form(f"/access/{owner}/close").status_code == 303


def test_an_ended_account_opens_nothing_and_frees_its_name(service: Service, farm: str, ana: str) -> None:
    cookie = service.office_cookie(farm, account=ana)
    in_at_once = service.link(farm, account=ana)
    service.open_office(farm)
    answer = service.send_form(f"/access/{ana}/close")
    assert "Account closed" in service.client.get(answer.headers["location"]).text

    service.client.cookies.clear()
    assert sign_in(service).status_code == 401
    assert post(service, in_at_once).status_code == 403
    service.client.cookies.set(OFFICE_COOKIE, cookie)
    assert service.client.get("/account").status_code == 401
    service.client.cookies.clear()
    assert post(service, service.link(farm, Role.CREW), **JOINED).status_code == 303
    assert [account.sign_in for account in rows(service, Account)].count("ana") == 2


def test_links_of_somebody_who_is_no_owner_any_more_make_nobody_one(service: Service, farm: str) -> None:
    ines, ben = (service.account(farm, Role.OWNER, name) for name in ("Ines", "Ben"))
    path = service.link(farm, Role.OWNER, made_by=ben)
    service.open_office(farm, account=ines)

    service.send_form(f"/access/{ben}", role="crew")

    service.client.cookies.clear()
    assert post(service, path, **JOINED).status_code == 403


def test_an_invitation_can_be_withdrawn(service: Service, farm: str) -> None:
    service.open_office(farm)
    path = service.link(farm, Role.CREW, made_by="somebody")
    found = re.search(r"/access/links/([0-9a-f-]+)/revoke", service.client.get("/access").text)
    assert found

    answer = service.send_form(found[0])

    page = service.client.get(answer.headers["location"]).text
    assert "Unused links" not in page
    assert "Link revoked. It does not work any more." in page
    service.client.cookies.clear()
    assert post(service, path, **JOINED).status_code == 403


def test_a_forgotten_password_is_chosen_anew_by_a_link_of_the_owner(service: Service, farm: str, ana: str) -> None:
    """The old password and every old session end with it, and so does an older link."""
    sign_in(service)
    before = service.client.cookies[OFFICE_COOKIE]
    service.client.cookies.clear()
    service.open_office(farm)
    keys = [
        re.findall(r"/enter/([0-9a-f]+)", service.send_form(f"/access/{ana}/password-link").text)[0] for _ in range(2)
    ]
    service.client.cookies.clear()

    typed = {"password": BETTER, "again": BETTER}
    answers = [post(service, f"/enter/{key}", **typed).status_code for key in keys]

    assert answers == [403, 303]
    assert service.client.get("/account").status_code == 200
    service.client.cookies.clear()
    service.client.cookies.set(OFFICE_COOKIE, before)
    assert service.client.get("/account").status_code == 401
    service.client.cookies.clear()
    assert sign_in(service).status_code == 401
    assert sign_in(service, password=BETTER).status_code == 303


def test_a_new_password_ends_every_link_that_would_open_the_account(service: Service, farm: str, ana: str) -> None:
    service.open_office(farm)
    (stray,) = re.findall(r"/enter/[0-9a-f]+", service.send_form(f"/access/{ana}/password-link").text)
    service.client.cookies.clear()
    service.open_office(farm, account=ana)
    at_once = service.link(farm, account=ana)

    changed = service.send_form("/account/password", now=GOOD, password=BETTER, again=BETTER)

    assert changed.headers["location"] == "/account?done=password"
    service.client.cookies.clear()
    typed = {"password": GOOD, "again": GOOD}
    assert [post(service, path, **typed).status_code for path in (stray, at_once)] == [403, 403]


@pytest.mark.parametrize("typed", ["a\0b", "\0", "ana\u200b"])
def test_a_name_that_nobody_can_have_is_a_wrong_one(any_service: Service, typed: str) -> None:
    """PostgreSQL takes no NUL in a text."""
    assert sign_in(any_service, typed).status_code == 401


def test_an_owner_decides_about_their_own_farm_only(service: Service, farm: str, ana: str) -> None:
    assert farm
    service.open_office(service.make_farm("Oak Hollow"))

    answers = [
        service.send_form(f"/access/{ana}", role="owner"),
        service.send_form(f"/access/{ana}/password-link"),
        service.send_form(f"/access/{ana}/close"),
    ]

    assert [answer.status_code for answer in answers] == [404] * 3
    assert "Ana" not in service.client.get("/access").text


def test_names_are_shown_as_text(service: Service, farm: str) -> None:
    nasty = "<script>alert(1)</script>"
    post(service, service.link(farm), **JOINED | {"name": nasty, "sign_in": "<b>ana</b>"})

    for path in ("/account", "/access"):
        assert "<script" not in service.client.get(path).text
        assert "<b>" not in service.client.get(path).text
    assert "<script" not in sign_in(service, nasty).text


# on both databases


def test_a_life_of_an_account_on_each_database(any_service: Service) -> None:
    service, farm = any_service, any_service.make_farm()
    post(service, service.link(farm), **JOINED)
    service.client.cookies.clear()
    sign_in(service)
    key = re.findall(r"/enter/([0-9a-f]+)", service.send_form("/access", role="crew").text)[0]
    service.client.cookies.clear()
    post(service, f"/enter/{key}", **JOINED | {"sign_in": "ben", "name": "Ben"})
    service.client.cookies.clear()
    service.fakes.time += timedelta(hours=2)
    sign_in(service)
    ben = next(account.id for account in rows(service, Account) if account.sign_in == "ben")

    assert service.send_form(f"/access/{ben}/close").status_code == 303
    assert [link.purpose for link in rows(service, OneTimeLink)] == ["join", "join"]
    assert "Ben" not in service.client.get("/access").text


def test_two_who_want_one_sign_in_name_do_not_both_get_it(any_url: str | URL, fakes: FakeProviders) -> None:
    with running_service(any_url, fakes) as service:
        farms = [service.make_farm(name) for name in ("Heronbrook", "Oak Hollow")]
        paths = [service.link(farm, Role.CREW, made_by="somebody") for farm in farms]

        assert [post(service, path, **JOINED).status_code for path in paths] == [303, 422]
        assert len(rows(service, Account)) == 1
