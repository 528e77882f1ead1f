"""The page that undoes what a phone sent."""

from playwright.sync_api import Page as Tab
from playwright.sync_api import expect

from shared_models.core.vocabulary import Role
from tests.server.support.office import fits, get_page
from tests.server.support.service import BROWSER, Phone, Service
from tests.server.support.setup_client import page_text


def liar(office: Service, farm: str) -> Phone:
    phone = office.phone(farm, "Field phone 2")
    for number in range(3):
        phone.add_bed(f"Forged {number}")
    phone.write("person", name="Nobody")
    phone.sync(office)
    return phone


def test_it_shows_what_changes_before_it_does_it_and_the_log_shows_one_change(office: Service, farm: str) -> None:
    phone = liar(office, farm)
    path, since = f"/phones/{phone.device}/undo", f"{office.fakes.time:%Y-%m-%d}T00:00"
    assert f'href="{path}"' in get_page(office, "/phones")

    first, preview = get_page(office, path), page_text(get_page(office, f"{path}?since={since}"))
    beds = office.beds(farm)
    done = office.send_form(path, since=since)

    assert "What changes" not in first
    assert "Deleted, since this phone made them Beds 3 People 1" in preview
    assert len(beds) == 3
    after = page_text(get_page(office, done.headers["location"]))
    assert "Done. The Log page shows it as one change." in after
    assert "Nothing to undo since" in after
    log = page_text(get_page(office, "/log"))
    assert log.count("Undone: what Field phone 2 sent since") == 1
    assert "4 entries" in log


def test_a_time_that_is_none_asks_again_and_a_phone_that_is_none_is_not_found(office: Service, farm: str) -> None:
    phone = liar(office, farm)
    path = f"/phones/{phone.device}/undo"

    assert office.send_form(path, since="yesterday").headers["location"] == path
    assert "Since when?" in get_page(office, f"{path}?since=9999999")
    assert office.client.get(f"/phones/{farm}/undo", headers=BROWSER).status_code == 404
    assert office.send_form(f"/phones/{farm}/undo", since="2026-05-14T00:00").status_code == 404
    office.open_office(farm, Role.GROWER)
    assert office.send_form(path, since="2026-05-14T00:00").status_code == 403


def test_it_is_done_in_a_browser(page: Tab, address: str, office: Service, farm: str) -> None:
    phone = liar(office, farm)
    for width in (360, 1280):
        page.set_viewport_size({"width": width, "height": 800})
        page.goto(f"{address}/phones")
        assert fits(page)
    page.get_by_role("link", name="Undo what it sent").click()
    page.get_by_label("Everything that came in since").fill("2026-05-01T06:00")
    page.get_by_role("button", name="Show what would change").click()
    expect(page.get_by_role("heading", name="What changes")).to_be_visible()
    page.set_viewport_size({"width": 360, "height": 800})
    assert fits(page)

    page.get_by_role("button", name="Undo all of this").click()

    expect(page.get_by_text("Done. The Log page shows it as one change.")).to_be_visible()
    assert phone.device in page.url
    page.goto(f"{address}/log")
    assert fits(page)
    action = page.get_by_role("listitem").filter(has=page.get_by_role("link", name="Undone")).first
    action.get_by_text("4 entries").click()
    expect(action.get_by_role("link", name="Bed: Forged 1")).to_be_visible()
