"""From the first start to a crew that signs in by itself, in a browser."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect
from sqlalchemy import URL

from server.app import create_app
from server.auth.dependencies import OFFICE_COOKIE
from server.cli import main as cli
from server.cli.serve import print_next_steps
from server.farms.edits import edit
from server.runtime.address import note_address
from server.runtime.settings import Settings
from shared_models.core.vocabulary import Role
from shared_models.log.store import reading
from tests.fixtures.axe import grave_findings
from tests.server.support.office import fits
from tests.server.support.service import ZONE, FakeProviders, Service, running_service
from tests.server.support.sign_in import BETTER, GOOD, JOINED
from tests.shared_models.reports.support.farmbook import FarmBook, HandDay


@pytest.fixture
def home(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> str | URL:
    """A database with a new farm, made at the command line."""
    assert cli.run(["farm", "new", "Heronbrook", "--zone", ZONE, "--data", str(tmp_path)]) == 0
    capsys.readouterr()
    return Settings.in_directory(tmp_path).database_url


def fill(page: Page, **typed: str) -> None:
    for name, value in typed.items():
        page.locator(f"#{name}").fill(value)


def heading(page: Page) -> str:
    return page.get_by_role("heading", level=1).inner_text()


def test_from_the_first_start_to_the_day(
    page: Page, home: str | URL, fakes: FakeProviders, capsys: pytest.CaptureFixture[str]
) -> None:
    """The console's link, a name and a password, and the owner is in the office; from then on by signing in."""
    with running_service(home, fakes) as service, service.served_to(page) as address:
        print_next_steps(service.engine, address)
        (link,) = re.findall(r"http\S+/enter/\w+", capsys.readouterr().out)

        page.goto(address + "/soil")
        assert heading(page) == "Sign in"
        page.goto(link)
        fill(page, name="Ines", sign_in="ines", password=GOOD, again="nine wet tray")
        page.get_by_role("button", name="Continue").click()
        expect(page.get_by_text("the two passwords are not the same")).to_be_visible()
        fill(page, password=GOOD, again=GOOD)
        page.get_by_role("button", name="Continue").click()
        assert heading(page) == "No planting yet"

        page.get_by_role("link", name="Your account").click()
        page.get_by_role("button", name="Sign out", exact=True).click()
        page.goto(address + "/access")
        fill(page, sign_in="ines", password=BETTER)
        page.get_by_role("button", name="Sign in").click()
        expect(page.get_by_role("alert")).to_contain_text("do not match")
        fill(page, password=GOOD)
        page.get_by_role("button", name="Sign in").click()

        assert heading(page) == "Accounts"
        assert page.url == f"{address}/access"


def test_somebody_of_the_crew_is_let_in_and_sees_no_wages(page: Page, service: Service, farm: str) -> None:
    """The owner gives a link; who uses it reads the day, and finds neither wages nor the owner's pages."""
    day = HandDay(FarmBook(service.engine, id=farm))
    edit(service.engine, farm, "person", day.ana, {"wage_per_hour": 21.5}, None, service.fakes.time)
    with service.served_to(page, farm) as address:
        page.goto(address + "/access")
        page.get_by_label("Role").last.select_option("crew")
        page.get_by_role("button", name="Make a link").click()
        link = page.get_by_role("textbox").input_value()
        page.context.clear_cookies()

        page.goto(link)
        fill(page, name="Ben", sign_in="ben", password=GOOD, again=GOOD)
        page.get_by_role("button", name="Continue").click()
        bar = page.get_by_role("navigation", name="Office")
        assert heading(page) == "Monday, May 4, 2026"
        assert bar.get_by_role("link", name="Day").get_attribute("aria-current") == "page"
        assert bar.get_by_role("link", name="Accounts").count() == 0
        page.goto(address + "/access")
        assert "Only the owner can do this." in page.get_by_role("main").inner_text()

        files = [page.request.get(f"{address}/v1/export/{name}").text() for name in ("person.csv", "flagged.csv")]
        files.append(page.request.get(f"{address}/v1/export.json").text())

    assert "Ana" in files[0]
    assert not any("21.5" in text or "wage" in text for text in files)


def test_another_site_cannot_use_an_open_office(page: Page, service: Service, farm: str) -> None:
    """A page elsewhere sends a form here, and nothing comes of it, even if it has got hold of the token."""
    service.open_office(farm)
    cookie, token = service.client.cookies[OFFICE_COOKIE], service.form_token()
    with service.served_to(page) as address:
        page.context.add_cookies([{"name": OFFICE_COOKIE, "value": cookie, "url": address}])
        elsewhere = address.replace("127.0.0.1", "localhost")
        form = f"""<form action="{address}/access" method="post"><input name="role" value="owner">
            <input name="form_token" value="{token}"><button>Win a tractor</button></form>"""
        page.route(f"{elsewhere}/prize", lambda route: route.fulfill(body=form, content_type="text/html"))

        page.goto(f"{elsewhere}/prize")
        page.get_by_role("button").click()

        assert "This form is out of date" in page.get_by_role("main").inner_text()
        page.goto(f"{address}/access")
        assert heading(page) == "Accounts"
        assert page.get_by_text("Unused links").count() == 0


@pytest.fixture(params=[360, 1280])
def office(request: pytest.FixtureRequest, page: Page, service: Service, farm: str) -> Iterator[str]:
    """An office with people and an open invitation, on a phone and on a desk."""
    page.set_viewport_size({"width": request.param, "height": 800})
    ines = service.account(farm, Role.OWNER, "Ines", GOOD)
    service.account(farm, Role.CREW, "Ana-Guadalupe Etcheverria of the second barn")
    service.link(farm, Role.GROWER, made_by=ines)
    with service.served_to(page) as address:
        page.context.add_cookies(
            [{"name": OFFICE_COOKIE, "value": service.office_cookie(farm, account=ines), "url": address}]
        )
        yield address


@pytest.mark.parametrize("path", ["/account", "/access"])
def test_pages_of_people_are_for_everybody(page: Page, office: str, path: str) -> None:
    """They fit the screen, have no serious finding by axe, and the bar leads on without a script."""
    page.goto(office + path)
    for summary in page.locator("summary:visible").all():
        summary.click()

    assert fits(page)
    assert grave_findings(page) == []
    page.get_by_role("navigation", name="Office").get_by_role("link", name="Day").locator("visible=true").click()
    assert page.url == office + "/"


def test_the_page_of_a_fresh_link_is_for_everybody(page: Page, office: str, service: Service) -> None:
    page.goto(office + "/access")
    note_address(service.engine, "http://192.168.1.20:8000")
    page.get_by_role("button", name="Make a link").click()

    page.get_by_role("img", name="The link as a QR code").wait_for()  # visible, or the test fails
    assert fits(page)
    assert grave_findings(page) == []


def test_pages_before_the_door_are_for_everybody(page: Page, office: str, service: Service, farm: str) -> None:
    page.context.clear_cookies()
    pages = ["/", "/enter/no-such-link", "/nowhere", service.link(farm), service.link(farm, Role.CREW, made_by="x")]
    for path in pages:
        page.goto(office + path)
        assert fits(page)
        assert grave_findings(page) == [], path

    page.goto(office + pages[-1])
    fill(page, **JOINED | {"sign_in": "a b", "again": "x"})
    page.get_by_role("button", name="Continue").click()

    assert page.locator("[aria-invalid]").count() == 2
    assert grave_findings(page) == []


def test_a_service_with_another_key_knows_none_of_these_cookies(home: str | URL, fakes: FakeProviders) -> None:
    """A cookie of one service is nothing to another, even one with a copy of its sessions."""
    with running_service(home, fakes) as service:
        with reading(service.engine) as connection:
            farm = connection.exec_driver_sql("SELECT id FROM farm").scalar_one()
        cookie = service.office_cookie(farm)
        with service.engine.begin() as connection:
            connection.exec_driver_sql("UPDATE meta SET value = 'another' WHERE name = 'sealing key'")
    app = create_app(Settings(home), fakes.providers)

    assert app.state.signer.session(cookie) is None
    app.state.engine.dispose()
