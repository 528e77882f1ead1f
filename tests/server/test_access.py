"""Who may read: phones by their secret, the office by its link."""

from __future__ import annotations

import httpx2
import pytest
from sqlmodel import select

from server.access import OFFICE_COOKIE, FarmOf, Reading
from shared_models.tables import Bed
from tests.server.world import ADDRESS, Service

BROWSER = {"Accept": "text/html,application/xhtml+xml,*/*;q=0.8"}


@pytest.fixture
def service(service: Service) -> Service:
    """The service with a small route that shows a farm's beds, as the reports do, and a page."""

    def beds(farm: FarmOf, session: Reading) -> list[str]:
        return list(session.exec(select(Bed.name).where(Bed.farm_id == farm)))

    service.app.get("/v1/test-beds")(beds)
    service.app.get("/test-page")(beds)
    return service


def test_a_phone_reads_its_farms_records_and_no_others(service: Service, farm: str) -> None:
    """One farm never sees another's."""
    phone, stranger = service.phone(farm), service.phone(service.make_farm("Oak Hollow"))
    phone.add_bed("North 1")
    phone.sync(service)

    assert _beds(service, phone.bearer).json() == ["North 1"]
    assert _beds(service, stranger.bearer).json() == []


def test_the_office_link_opens_the_office(service: Service, farm: str) -> None:
    """The link leaves a key that scripts cannot read and leads to the office."""
    phone = service.phone(farm)
    phone.add_bed("North 1")
    phone.sync(service)

    entered = service.client.get(f"/enter/{service.office_key(farm)}", follow_redirects=False)

    assert (entered.status_code, entered.headers["location"]) == (303, "/")
    kept = entered.headers["set-cookie"]
    assert "HttpOnly" in kept
    assert "SameSite=lax" in kept
    assert "Secure" not in kept
    assert service.client.get("/v1/test-beds").json() == ["North 1"]


def test_behind_tls_the_key_never_travels_in_the_open(service: Service, farm: str) -> None:
    secure = ADDRESS.replace("http:", "https:")

    entered = service.client.get(f"{secure}/enter/{service.office_key(farm)}", follow_redirects=False)

    assert "Secure" in entered.headers["set-cookie"]


def test_a_fresh_link_ends_the_one_before(service: Service, farm: str) -> None:
    old = service.office_key(farm)
    service.office_key(farm)
    service.client.cookies.set(OFFICE_COOKIE, old)

    assert service.client.get("/v1/test-beds").status_code == 401
    assert service.client.get(f"/enter/{old}", follow_redirects=False).status_code == 401


@pytest.mark.parametrize("credentials", ["Bearer x", "Bearer ", "Basic eDp5", "x", "Bearer \xff.\xff"])
def test_a_program_without_good_credentials_is_told_so(service: Service, credentials: str) -> None:
    """A wrong secret, or another way to sign in, is a problem with the next step."""
    answer = service.client.get("/v1/test-beds", headers=[(b"authorization", credentials.encode("latin-1"))])

    assert answer.status_code == 401
    assert answer.json()["code"] == "wrong-secret"
    assert "Pair it again" in answer.json()["detail"]


def test_a_wrong_secret_is_not_made_good_by_the_offices_key(service: Service, farm: str) -> None:
    service.client.cookies.set(OFFICE_COOKIE, service.office_key(farm))

    assert _beds(service, "wrong").status_code == 401


@pytest.mark.parametrize("path", ["/test-page", "/enter/wrong"])
def test_a_browser_without_a_key_sees_how_to_get_in(service: Service, path: str) -> None:
    answer = service.client.get(path, headers=BROWSER)

    assert answer.status_code == 401
    assert answer.headers["content-type"].startswith("text/html")
    assert "office link" in answer.text
    assert "rowend farm link" in answer.text


def test_a_program_interface_answers_a_browser_with_a_problem(service: Service) -> None:
    """Under /v1 everything is for programs."""
    answer = service.client.get("/v1/test-beds", headers=BROWSER)

    assert answer.headers["content-type"] == "application/problem+json"


def _beds(service: Service, bearer: str) -> httpx2.Response:
    return service.client.get("/v1/test-beds", headers={"Authorization": f"Bearer {bearer}"})
