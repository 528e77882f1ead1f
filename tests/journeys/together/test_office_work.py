"""Work in the office, in a browser: a correction reaches the figures, a phone is paired, a table comes in."""

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
import requests
from playwright.sync_api import Page, expect
from sqlmodel import Session, select

from mobile.demo.fake_phone import FakePhone
from mobile.sync.client import SyncClient
from server.web.language import LANGUAGE_COOKIE
from shared_models.core.vocabulary import Role
from shared_models.log.store import reading
from shared_models.records.tables import Bed
from shared_models.sync.pairing_link import read_link
from tests.fixtures.axe import grave_findings
from tests.server.support.office import fits
from tests.server.support.service import Service
from tests.shared_models.reports.support.farmbook import FarmBook, HandDay

EVENING = datetime(2026, 5, 14, 22, 0, tzinfo=UTC)


@pytest.fixture
def day(service: Service, farm: str) -> HandDay:
    service.fakes.time = EVENING
    return HandDay(FarmBook(service.engine, id=farm))


def open_the_form(page: Page) -> None:
    page.get_by_text("Open the form").click()


def rate_of_bed_2(page: Page) -> str:
    """The row of the bed in the table of rates."""
    beds = page.get_by_role("row").filter(has=page.get_by_role("rowheader", name="Bed 2", exact=True))
    return beds.first.inner_text()


def test_a_corrected_row_changes_the_rate_of_its_day(page: Page, service: Service, farm: str, day: HandDay) -> None:
    """The end of the third row was tapped 15 minutes late; an impossible time is refused, the right one is kept."""
    with service.served_to(page, farm, Role.GROWER) as address:
        page.goto(f"{address}/?day=2026-05-04")
        before = rate_of_bed_2(page)

        page.goto(f"{address}/log?text=leek&kind=row_pass")
        page.get_by_role("link", name="Row: Leek, Bed 2, row 1").first.click()
        open_the_form(page)
        page.get_by_label("End", exact=True).fill("2026-05-04T08:30:00")
        page.get_by_label("Note").fill("tapped late")
        page.get_by_role("button", name="Save").click()
        expect(page.get_by_text("the row ends before it starts")).to_be_visible()
        assert page.get_by_label("Note").input_value() == "tapped late"
        assert page.get_by_label("End", exact=True).get_attribute("aria-describedby") == "ended_at-problem "
        page.get_by_label("End", exact=True).fill("2026-05-04T09:00:00")
        page.get_by_role("button", name="Save").click()

        expect(page.get_by_role("status")).to_contain_text("Saved.")
        expect(page.get_by_text("May 4, 2026, 9:15\xa0AM → May 4, 2026, 9:00\xa0AM")).to_be_visible()
        page.goto(f"{address}/?day=2026-05-04")
        after = rate_of_bed_2(page)

    assert day.third
    assert before != after
    assert "200" in before  # feet an hour: 100 ft in half an hour
    assert "400" in after  # in a quarter of one


def test_a_phone_is_paired_from_the_page_and_its_work_arrives(
    page: Page, service: Service, farm: str, tmp_path: Path
) -> None:
    phone = FakePhone(tmp_path / "phone", EVENING, 7)
    with requests.Session() as session, service.served_to(page, farm) as address:
        session.headers["Connection"] = "close"  # the service ends before the phone does
        sync_client = SyncClient(phone.notebook, session)
        page.goto(f"{address}/phones")
        expect(page.get_by_text("No phone is paired yet.")).to_be_visible()
        page.get_by_role("button", name="Make a code").click()
        link = read_link(page.get_by_label("Or send this link to the phone").input_value())
        shown = page.locator(".code").inner_text()
        page.get_by_role("link", name="Check every 5 seconds").click()

        sync_client.pair(link.addresses[0], link.code, "Ana's phone")
        expect(page.get_by_role("status")).to_contain_text("Ana's phone is paired.", timeout=15_000)
        phone.notebook.add("bed", name="West 9", length_mm=30_480, rows=3)
        sync_client.sync()
        page.get_by_role("link", name="Back to phones").click()
        lines = page.locator("dt", has_text="Entries received").locator("xpath=following-sibling::dd").inner_text()
        page.get_by_role("link", name="Entries from this phone").click()
        expect(page.get_by_role("link", name="Bed: West 9")).to_be_visible()

    assert shown.replace("-", "") == link.code
    assert int(lines) >= 1
    phone.kill()


def test_a_table_with_errors_is_put_right_and_saved(page: Page, service: Service, farm: str) -> None:
    with service.served_to(page, farm, Role.GROWER) as address:
        page.goto(f"{address}/setup")
        page.get_by_role("link", name="Beds").click()
        page.get_by_role("link", name="Paste or upload a table (CSV)").click()
        table = page.get_by_label("Paste it here, with the headings in the first line")
        table.fill("name,length_ft,rows\nWest 1,100,3\nWest 2,a hundred,3\n")
        page.get_by_role("button", name="Check table").click()
        wrong = page.get_by_role("listitem").filter(has_text="Line 3: West 2")
        expect(wrong).to_contain_text("column length_ft: enter a number")
        assert page.get_by_role("button", name="Save").count() == 0
        nothing_yet = beds(service, farm)

        table.fill(table.input_value().replace("a hundred", "100"))
        page.get_by_role("button", name="Check table").click()
        page.get_by_role("button", name="Save 2 lines").click()
        expect(page.get_by_role("status")).to_contain_text("Saved.")
        expect(page.get_by_role("link", name="West 2")).to_be_visible()

    assert nothing_yet == []
    assert beds(service, farm) == ["West 1", "West 2"]


def beds(service: Service, farm: str) -> list[str]:
    with reading(service.engine) as connection, Session(connection) as session:
        return sorted(bed.name for bed in session.exec(select(Bed).where(Bed.farm_id == farm)))


def test_somebody_of_the_crew_reads_the_log_and_corrects_nothing(
    page: Page, service: Service, farm: str, day: HandDay
) -> None:
    with service.served_to(page, farm, Role.CREW) as address:
        page.goto(f"{address}/log")
        bar = page.get_by_role("navigation", name="Office")
        assert bar.get_by_role("link", name="Set-up").count() == bar.get_by_role("link", name="Phones").count() == 0
        page.goto(f"{address}/log/row_pass/{day.second}")
        expect(page.get_by_text("You can read this. A grower corrects it.")).to_be_visible()
        assert page.get_by_role("main").get_by_role("button").count() == 0
        page.goto(f"{address}/setup")
        assert "Only the grower can do this." in page.get_by_role("main").inner_text()
        page.goto(f"{address}/phones")
        assert "Only the owner can do this." in page.get_by_role("main").inner_text()


@pytest.fixture(params=[(360, "es"), (1280, "en")], ids=str)
def office(request: pytest.FixtureRequest, page: Page, service: Service, farm: str) -> Iterator[str]:
    """An owner's office with a phone, on a phone in Spanish and on a desk in English."""
    width, language = request.param
    page.set_viewport_size({"width": width, "height": 800})
    service.phone(farm, "The phone with the crack that lies in the second barn").sync(service)
    with service.served_to(page, farm) as address:
        page.context.add_cookies([{"name": LANGUAGE_COOKIE, "value": language, "url": address}])
        yield address


def test_the_pages_of_the_office_are_for_everybody(page: Page, office: str, farm: str, day: HandDay) -> None:
    """They fit, have no grave finding by axe with everything on them open, and print without their forms."""
    flagged = day.book.flag("bed", name="Bed 9 with a name that goes on", length_mm=-3, rows=2)
    paths = ["/log", "/log?text=nothing", f"/log/row_pass/{day.second}", f"/log/bed/{flagged}", f"/log/farm/{farm}"]
    paths += ["/setup", "/setup/farm", "/phones"]
    paths += [f"/setup/{part}" for part in ("beds", "sowings", "plantings", "weather", "people", "beds/csv")]
    found = {}

    for path in paths:
        page.goto(office + path)
        for summary in page.locator("main summary").all():
            if summary.evaluate("each => !each.parentElement.open"):
                summary.click()
        found[path] = (grave_findings(page), fits(page))
    page.goto(f"{office}/phones")
    page.locator("main button").first.click()
    page.wait_for_url("**/phones/pair")
    found["pairing"] = (grave_findings(page), fits(page))
    page.goto(f"{office}/setup/beds/csv")
    page.locator("textarea").fill("name,rows\nWest 1,3\n")
    page.locator("main button").first.click()
    expect(page.locator("main .problem")).to_be_visible()
    found["wrong table"] = (grave_findings(page), fits(page))
    page.goto(f"{office}/log/row_pass/{day.second}")
    page.emulate_media(media="print")
    printed = [each for each in page.locator("main form, nav").all() if each.is_visible()]

    assert found == dict.fromkeys(found, ([], True))
    assert printed == []
