"""Who may read and change: phones by their secret, people by their session and their role."""

import gc

import httpx2
import pytest
from sqlmodel import select

from server.auth.dependencies import OFFICE_COOKIE, FarmOf, GrowerOf, OfficeOf, OwnerOf, Reading
from server.auth.sessions import IDLE_LIMIT, MAX_AGE
from server.runtime.address import note_address
from shared_models.core.vocabulary import Role
from shared_models.records.tables import Bed
from tests.server.support.service import ADDRESS, BROWSER, Service


@pytest.fixture
def service(service: Service) -> Service:
    """The service with small routes: one that shows a farm's beds, as the reports do, pages, and one that changes."""

    def beds(farm: FarmOf, session: Reading) -> list[str]:
        return list(session.exec(select(Bed.name).where(Bed.farm_id == farm)))

    def for_all(office: OfficeOf) -> str:
        return office.account.name

    def for_growers(office: GrowerOf) -> str:
        return office.account.name

    def for_owners(office: OwnerOf) -> str:
        return office.account.name

    service.app.get("/v1/test-beds")(beds)
    service.app.get("/test-page")(for_all)
    service.app.get("/test-grower-page")(for_growers)
    service.app.get("/test-owner-page")(for_owners)
    service.app.post("/test-change")(for_all)
    service.app.post("/v1/test-change")(beds)
    return service


def test_a_phone_reads_its_farms_records_and_no_others(service: Service, farm: str) -> None:
    phone, stranger = service.phone(farm), service.phone(service.make_farm("Oak Hollow"))
    phone.add_bed("North 1")
    phone.sync(service)

    assert _beds(service, phone.bearer).json() == ["North 1"]
    assert _beds(service, stranger.bearer).json() == []


def test_somebody_signed_in_reads_their_farms_records_and_no_others(service: Service, farm: str) -> None:
    phone = service.phone(farm)
    phone.add_bed("North 1")
    phone.sync(service)

    service.open_office(farm, Role.CREW)
    assert service.client.get("/v1/test-beds").json() == ["North 1"]
    service.open_office(service.make_farm("Oak Hollow"))
    assert service.client.get("/v1/test-beds").json() == []


@pytest.mark.parametrize("credentials", ["Bearer x", "Bearer ", "Basic eDp5", "x", "Bearer \xff.\xff"])
def test_a_program_without_good_credentials_is_told_so(service: Service, credentials: str) -> None:
    answer = service.client.get("/v1/test-beds", headers=[(b"authorization", credentials.encode("latin-1"))])

    assert answer.status_code == 401
    assert answer.json()["code"] == "wrong-secret"
    assert "Pair it again" in answer.json()["detail"]


def test_a_wrong_secret_is_not_made_good_by_an_open_office(service: Service, farm: str) -> None:
    service.open_office(farm)

    assert _beds(service, "wrong").status_code == 401


@pytest.mark.parametrize("cookie", ["", "x", "x.y", "ü.ü", "0" * 5000])
def test_a_cookie_that_this_service_has_not_signed_opens_nothing(service: Service, cookie: str) -> None:
    answer = service.client.get("/test-page", headers=[(b"cookie", f"{OFFICE_COOKIE}={cookie}".encode())])

    assert (answer.status_code, answer.json()["code"]) == (401, "not-signed-in")


def test_a_cookie_whose_session_was_changed_opens_nothing(service: Service, farm: str) -> None:
    cookie = service.office_cookie(farm)
    other = service.office_cookie(farm).partition(".")[0]
    service.client.cookies.set(OFFICE_COOKIE, f"{other}.{cookie.partition('.')[2]}")

    assert service.client.get("/test-page").status_code == 401


def test_a_session_that_is_not_used_ends_and_one_that_is_used_goes_on(service: Service, farm: str) -> None:
    service.open_office(farm)
    for _ in range(3):
        service.fakes.time += IDLE_LIMIT * 0.9
        assert service.client.get("/test-page").status_code == 200

    service.fakes.time += IDLE_LIMIT
    assert service.client.get("/test-page").status_code == 401


def test_no_session_lasts_for_ever(service: Service, farm: str) -> None:
    service.open_office(farm)
    begun = service.fakes.time
    while service.fakes.time + IDLE_LIMIT / 2 < begun + MAX_AGE:
        service.fakes.time += IDLE_LIMIT / 2
        assert service.client.get("/test-page").status_code == 200

    service.fakes.time = begun + MAX_AGE
    assert service.client.get("/test-page").status_code == 401


@pytest.mark.parametrize(
    ("role", "opened"),
    [(Role.CREW, [200, 403, 403]), (Role.GROWER, [200, 200, 403]), (Role.OWNER, [200, 200, 200])],
)
def test_each_role_may_do_what_the_one_before_it_may_and_more(
    service: Service, farm: str, role: Role, opened: list[int]
) -> None:
    service.open_office(farm, role)

    pages = ("/test-page", "/test-grower-page", "/test-owner-page")
    assert [service.client.get(page).status_code for page in pages] == opened


def test_who_lacks_the_role_reads_which_one_it_takes(service: Service, farm: str) -> None:
    service.open_office(farm, Role.CREW)

    page = service.client.get("/test-grower-page", headers=BROWSER)
    problem = service.client.get("/test-grower-page").json()

    assert page.status_code == 403
    assert "Only the grower can do this." in page.text
    assert (problem["code"], problem["role"]) == ("role-needed", "grower")


def test_a_form_with_the_sessions_token_changes_something(service: Service, farm: str) -> None:
    service.open_office(farm)

    assert service.send_form("/test-change").status_code == 200


@pytest.mark.parametrize("path", ["/test-change", "/v1/test-change"])
@pytest.mark.parametrize("token", [None, "", "x", "ü"])
def test_whatever_the_cookie_lets_in_needs_the_token_to_change_anything(
    service: Service, farm: str, path: str, token: str | None
) -> None:
    """Whichever route it is: the token is asked for where the cookie is read, not route by route."""
    service.open_office(farm)

    answer = service.client.post(path, data={} if token is None else {"form_token": token})

    assert (answer.status_code, answer.json()["code"]) == (403, "stale-form")


def test_the_token_of_another_session_is_no_good(service: Service, farm: str) -> None:
    service.open_office(farm)
    token = service.form_token()
    service.open_office(farm)

    assert service.send_form("/test-change", form_token=token).status_code == 403


def test_a_phone_needs_no_token(service: Service, farm: str) -> None:
    """It shows its secret with each request; no other site can make it do so."""
    headers = {"Authorization": f"Bearer {service.phone(farm).bearer}", "Origin": "https://elsewhere.example"}

    assert service.client.post("/v1/test-change", headers=headers).status_code == 200


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"Origin": ADDRESS}, 200),
        ({"Origin": "https://farm.example"}, 200),
        ({"Origin": "https://elsewhere.example"}, 403),
        ({"Origin": "https://farm.example.elsewhere.example"}, 403),
        ({"Origin": "null"}, 403),
        ({"Origin": "http://["}, 403),
        ({"Sec-Fetch-Site": "same-origin"}, 200),
        ({"Sec-Fetch-Site": "none"}, 200),
        ({"Sec-Fetch-Site": "same-site"}, 403),
        ({"Sec-Fetch-Site": "cross-site", "Origin": ADDRESS}, 403),
    ],
)
def test_a_form_of_another_site_changes_nothing(
    service: Service, farm: str, headers: dict[str, str], status: int
) -> None:
    """Even with the right token; the address noted for the service counts as its own."""
    note_address(service.engine, "https://farm.example")
    service.open_office(farm)

    answer = service.client.post("/test-change", data={"form_token": service.form_token()}, headers=headers)

    assert answer.status_code == status


def test_another_site_cannot_sign_somebody_in(service: Service) -> None:
    typed = {"sign_in": "eve", "password": "a password of eve's own"}

    answer = service.client.post("/sign-in", data=typed, headers={"Origin": "https://elsewhere.example"})

    assert answer.status_code == 403


def test_a_browser_that_is_not_signed_in_gets_the_sign_in_for_the_page_it_asked_for(service: Service) -> None:
    answer = service.client.get("/test-page?day=2026-05-01&x=1", headers=BROWSER)

    assert answer.status_code == 401
    assert answer.headers["content-type"].startswith("text/html")
    assert '<input type="hidden" name="back" value="/test-page?day=2026-05-01&amp;x=1">' in answer.text


def test_what_was_to_be_changed_is_not_done_unseen_after_the_sign_in(service: Service) -> None:
    answer = service.client.post("/test-change", headers=BROWSER)

    assert answer.status_code == 401
    assert '<input type="hidden" name="back" value="/">' in answer.text


def test_a_program_interface_answers_a_browser_with_a_problem(service: Service) -> None:
    """Under /v1 everything is for programs."""
    answer = service.client.get("/v1/test-beds", headers=BROWSER)

    assert answer.headers["content-type"] == "application/problem+json"


def test_a_file_that_no_route_asked_for_is_closed(service: Service, farm: str) -> None:
    """Warnings are errors here, also that of a file which nobody closed."""
    service.open_office(farm)
    token = {"form_token": service.form_token()}

    answer = service.client.post("/test-change", data=token, files={"file": ("x", b"x")})
    gc.collect()

    assert answer.status_code == 200


@pytest.mark.parametrize("letters", ["punycode", "undefined", "unicode_escape", "utf-7", "nonsense"])
@pytest.mark.parametrize("path", ["/test-change", "/sign-in"])
def test_a_form_is_read_in_the_letters_that_browsers_send(service: Service, farm: str, letters: str, path: str) -> None:
    service.open_office(farm)
    form = f'--B\r\nContent-Disposition: form-data; name="form_token"\r\n\r\n{service.form_token()}\\ud800\r\n--B--\r\n'
    headers = {"Content-Type": f"multipart/form-data; boundary=B; charset={letters}"}

    answer = service.client.post(path, content=form, headers=headers)

    assert answer.status_code in {400, 415}
    assert answer.json()["detail"].endswith("Correct the request and send it again.")


@pytest.mark.parametrize("path", ["/bed/a%00b", "/soil?bed=%00", "/log?text=a%00", "/v1/soil?crop=%00"])
def test_there_is_nothing_at_an_address_that_no_database_can_look_up(any_service: Service, path: str) -> None:
    """PostgreSQL takes no NUL in a text."""
    any_service.open_office(any_service.make_farm())

    answer = any_service.client.get(path)

    assert (answer.status_code, answer.json()["code"]) == (404, "not-found")


@pytest.mark.parametrize("credentials", ["\0.x", "a device.x", ".", "'; DROP TABLE device; --.x"])
def test_what_can_be_no_device_is_a_wrong_secret(any_service: Service, credentials: str) -> None:
    answer = any_service.client.get("/v1/beds", headers=[(b"authorization", f"Bearer {credentials}".encode())])

    assert (answer.status_code, answer.json()["code"]) == (401, "wrong-secret")


def _beds(service: Service, bearer: str) -> httpx2.Response:
    return service.client.get("/v1/test-beds", headers={"Authorization": f"Bearer {bearer}"})
