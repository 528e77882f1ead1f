"""The office's page of a day: what it says, how it looks in a browser and on paper, and what it does with odd input."""

import re
from datetime import timedelta

import pytest
from playwright.sync_api import Page

from server.office.shell.render import stylesheet
from tests.server.support.office import cells, fits, get_page
from tests.server.support.service import Service
from tests.shared_models.reports.support.farmbook import DAY, HandDay

NASTY = "<b>Bed 9</b><script>alert(1)</script>"


@pytest.mark.usefixtures("hand_day")
def test_the_latest_day_with_planting_is_shown_first(office: Service) -> None:
    page = get_page(office)

    assert "<h1>Monday, May 4, 2026</h1>" in page
    assert 'rel="prev"' not in page
    assert 'rel="next"' not in page


def test_links_lead_to_the_days_with_planting_before_and_after(office: Service, hand_day: HandDay) -> None:
    book = hand_day.book
    for on in (DAY - timedelta(days=9), DAY - timedelta(days=3)):
        book.row(hand_day.leeks, 2, book.moment("8:00", day=on), book.moment("8:10", day=on), [])

    page = get_page(office, "/?day=2026-05-01")

    assert '<a rel="prev" href="/?day=2026-04-25">' in page
    assert '<a rel="next" href="/?day=2026-05-04">' in page


@pytest.mark.usefixtures("hand_day")
def test_a_day_without_planting_says_so_and_still_tells_the_soil(office: Service) -> None:
    page = get_page(office, "/?day=2026-05-02")

    assert "No row was finished on this day." in page
    assert "Day's totals" not in page
    assert "This bed has not been checked yet." in page


def test_an_empty_farm_says_what_will_be_here_and_how_to_get_it(office: Service) -> None:
    page = get_page(office)

    assert "What you will see here" in page
    assert 'href="/phones"' in page.partition('class="steps"')[2]
    assert "walk backwards" in page


def test_entries_that_need_a_look_are_named_with_their_reasons_and_days(office: Service, hand_day: HandDay) -> None:
    """Open and flagged ones, ones of other days, and rows that a wrong clock put into the future."""
    book, before, later = hand_day.book, DAY - timedelta(days=3), DAY + timedelta(days=300)
    book.row(hand_day.leeks, 2, "9:20", None, [])
    book.row(hand_day.leeks, 3, book.moment("8:00", day=before), None, [])
    book.row(hand_day.leeks, 4, book.moment("8:00", day=later), book.moment("8:10", day=later), [])
    book.flag("bed", name=NASTY, length_mm=-3, rows=2)

    page = get_page(office)

    assert "<strong>Bed 2, row 2:</strong></a> It was started but not ended." in page
    assert "<strong>bed &lt;b&gt;Bed 9" in page
    assert 'not ended. <a href="/?day=2026-05-01">' in page
    assert "They are dated in the future." in page
    assert "<h1>Monday, May 4, 2026</h1>" in page
    assert "Needs a look" in get_page(office, f"/?day={later}")


def test_html_in_any_name_or_note_is_shown_as_text(office: Service, hand_day: HandDay) -> None:
    book = hand_day.book
    bed, person = book.bed(NASTY, block=NASTY), book.add("person", name=NASTY)
    planting = book.planting(bed, NASTY, 50.8, variety=NASTY, code=NASTY)
    book.row(planting, 1, "10:00", "10:10", [person], misses=1, note=NASTY)
    book.add("soil_check", bed=bed, at=hand_day.later(7).isoformat(), feel="wet", note=NASTY)
    book.farm(name=NASTY)

    page = get_page(office)

    assert "<script" not in page
    assert "<b>" not in page
    assert page.count("&lt;script&gt;") > 8


def test_odd_figures_are_a_dash_and_never_a_broken_page(office: Service, hand_day: HandDay) -> None:
    """More misses than places, a row without its planting, a row at the end of time."""
    book = hand_day.book
    book.change("row_pass", hand_day.third, misses=999_999)
    book.row(book.new_id(), 1, "10:00", "10:10", [])
    book.add("row_pass", planting=hand_day.leeks, row=9, started_at="2200-12-31T23:00:00+00:00", length_mm=1)

    page = get_page(office)

    assert "unknown crop, unknown bed" in page
    assert "misses on 200 places: check the rows" in page
    assert get_page(office, "/?day=2026-05-05")


def test_more_misses_than_places_on_a_whole_day_leave_its_stand_untold(office: Service, hand_day: HandDay) -> None:
    hand_day.book.change("row_pass", hand_day.third, misses=999_999)

    assert re.search(r"<dt>Planted stand</dt>\s*<dd><span class=\"big\">–", get_page(office))


@pytest.mark.parametrize(
    ("day", "told"),
    [
        ("yesterday", "day: must be a date"),
        ("9999-12-31", "in the years 1900 to"),
        ("0001-01-01", "in the years 1900 to"),
    ],
)
def test_a_day_that_cannot_be_is_a_plain_page_with_the_reason(office: Service, day: str, told: str) -> None:
    answer = office.client.get("/", params={"day": day}, headers={"Accept": "text/html"})

    assert answer.status_code == 422
    assert told in answer.text
    assert "<h1>" in answer.text


def test_a_stranger_sees_no_page(service: Service) -> None:
    answer = service.client.get("/", headers={"Accept": "text/html"})

    assert answer.status_code == 401
    assert "Day's totals" not in answer.text


@pytest.mark.usefixtures("hand_day")
def test_a_page_runs_nothing_and_is_kept_by_nobody_in_between(office: Service) -> None:
    headers = office.client.get("/").headers

    assert headers["content-security-policy"].startswith("default-src 'none'; style-src 'self'")
    assert headers["cache-control"] == "private, no-cache"


def test_the_style_is_public_and_has_a_new_address_with_each_change(office: Service) -> None:
    address = re.search(r'href="(/pages/office\.css\?v=[0-9a-f]{12})"', get_page(office))
    assert address
    office.client.cookies.clear()

    answer = office.client.get(address[1])

    assert answer.headers["content-type"].startswith("text/css")
    assert "immutable" in answer.headers["cache-control"]


@pytest.mark.parametrize("colour", ["earth", "soft", "accent"])
def test_text_stands_out_from_the_paper_by_seven_to_one(colour: str) -> None:
    def luminance(name: str) -> float:
        found = re.search(rf"--{name}: #(\w\w)(\w\w)(\w\w)", stylesheet())
        assert found
        parts = [int(part, 16) / 255 for part in found.groups()]
        red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue

    assert (luminance("paper") + 0.05) / (luminance(colour) + 0.05) >= 7


@pytest.mark.parametrize(("width", "least"), [(360, 6), (768, 13), (1280, 13)])
def test_the_page_fits_its_screen_and_its_tables_stay_tables(
    page: Page, address: str, hand_day: HandDay, width: int, least: int
) -> None:
    """From a phone to a desk: nothing scrolls sideways, and a row still tells its figures by role."""
    hand_day.book.bed("The long bed by the old apple trees behind the second barn", block="Unpronounceable" * 7)
    page.set_viewport_size({"width": width, "height": 800})

    page.goto(address)

    assert fits(page)
    beds = cells(page.get_by_role("table", name="By bed"), "Bed 1 (North)")
    assert len(beds) == least
    assert {"200", "1,200", "400", "2,400", "6"} <= set(beds)
    rows = cells(page.get_by_role("table", name="To check by hand"), "Bed 1 (North), row 2")
    assert rows[:7] == ["100.0", "2 in", "8:15:00\xa0AM", "8:30:00\xa0AM", "15.00", "3.00", "3.00"]
    assert rows[7:] == ["Ana + Ben", "6", "500", "333", "2,000"]


@pytest.mark.usefixtures("hand_day")
def test_the_page_shows_the_days_totals(page: Page, address: str) -> None:
    """300 ft and 1,400 plants in one hour of field time and 1.5 person-hours."""
    page.goto(address)

    worth = page.get_by_role("region", name="Day's totals")
    told = dict(zip(worth.locator("dt").all_inner_texts(), worth.locator(".big").all_inner_texts(), strict=True))
    assert told == {
        "Row planted": "300 ft",
        "Plants set": "1,400",
        "In the field": "1.0 h",
        "Effective rate": "300 ft/h",
        "Per person and hour": "200 ft",
        "Planted stand": "99.7%",
    }
    time = page.get_by_role("table", name="Pulling, stops and turns")
    assert cells(time, "pulling") == ["", "54.0", "90%"]
    assert cells(time, "stop: tray change") == ["1", "3.0", "5%"]
    assert page.get_by_text("Onion Varna (O1), Bed 1 (North): row 2 (4). Carry 5 plants.").is_visible()


def test_verdicts_stand_in_words_beside_signs_of_different_shape(page: Page, address: str, hand_day: HandDay) -> None:
    book, at = hand_day.book, hand_day.later(12).isoformat()
    third, stale = book.bed("Bed 3"), book.bed("Bed 4")
    book.add("soil_check", bed=hand_day.north, at=at, feel="moist", soil_c=12.0)
    book.add("soil_check", bed=hand_day.south, at=at, feel="wet", note="west end soft")
    book.add("soil_check", bed=third, at=at, feel="moist", clods="many")
    book.add("soil_check", bed=stale, at=hand_day.later(-70).isoformat(), feel="moist")

    page.goto(address)

    soil = page.get_by_role("region", name="Soil now")
    assert soil.locator(".verdict strong").all_inner_texts() == ["ready", "wait", "not fit", "check again (was ready)"]
    signs = [sign.inner_html() for sign in soil.locator(".verdict .sign").all()]
    assert len(set(signs)) == 4
    checks = soil.get_by_role("list", name="Checks of Bed 2, the latest first").inner_text()
    assert "May 4, 2026, 12:00\xa0PM wait (moisture): feels wet. “west end soft”" in checks


@pytest.mark.usefixtures("hand_day")
def test_a_day_is_chosen_without_a_script(page: Page, address: str) -> None:
    page.goto(address)

    page.get_by_label("Day", exact=True).fill("2026-05-02")
    page.get_by_role("button", name="Show").click()

    assert page.get_by_role("heading", level=1).inner_text() == "Saturday, May 2, 2026"
    page.get_by_role("link", name="May 4, 2026").click()
    assert page.get_by_role("heading", level=1).inner_text() == "Monday, May 4, 2026"


@pytest.mark.usefixtures("hand_day")
def test_the_page_has_landmarks_captions_and_scopes(page: Page, address: str) -> None:
    page.goto(address)

    for landmark in ("banner", "main", "contentinfo"):
        assert page.get_by_role(landmark).count() == 1
    assert page.get_by_role("navigation", name="Days").is_visible()
    assert page.locator("table:not(:has(caption))").count() == 0
    assert page.locator("th:not([scope])").count() == 0
    assert page.locator("html").get_attribute("lang") == "en"
    page.keyboard.press("Tab")
    assert page.get_by_role("link", name="Skip to content").is_visible()


@pytest.mark.parametrize("paper", [("A4", 718), ("Letter", 741)], ids=lambda paper: paper[0])
@pytest.mark.usefixtures("hand_day")
def test_printed_it_is_black_on_white_and_fits_the_paper(page: Page, address: str, paper: tuple[str, int]) -> None:
    """At the width that is left between margins of 12 mm; without navigation, with every column."""
    page.emulate_media(media="print")
    page.set_viewport_size({"width": paper[1], "height": 1000})

    page.goto(address)

    assert fits(page)
    assert not page.get_by_role("navigation", name="Days").is_visible()
    assert len(cells(page.get_by_role("table", name="By bed"), "Bed 1 (North)")) == 13
    style = page.evaluate("(({color, backgroundColor}) => [color, backgroundColor])(getComputedStyle(document.body))")
    assert style == ["rgb(0, 0, 0)", "rgb(255, 255, 255)"]


@pytest.mark.parametrize("width", [360, 1280])
def test_the_empty_page_fits_too(page: Page, address: str, width: int) -> None:
    page.set_viewport_size({"width": width, "height": 800})

    page.goto(address)

    assert fits(page)
    assert page.get_by_role("heading", name="What you will see here").is_visible()


def test_a_hot_day_has_its_caution_beside_the_local_rules(office: Service, hand_day: HandDay) -> None:
    assert "Heat" not in get_page(office)
    hand_day.book.add("weather", on=str(DAY), t_max_c=33.0, humidity_pct=50)

    page = get_page(office)

    assert "OSHA risk level in the sun: high." in page
    assert "Move the heavy work to the cool of the day" in page
    assert "Local rules and the farm" in page
