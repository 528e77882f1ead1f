"""Pace, stand, soil, bed, sowing and season: the figures of a day that can be checked by hand."""

import re
from datetime import date
from html import unescape

import pytest
from playwright.sync_api import Page

from server.office.reports.soil import drying
from server.render.localizer import Localizer
from shared_models.core.vocabulary import Feel
from shared_models.reports.soil.dry_down import Outlook
from shared_models.trade.soil.drydown import FitWindow, Moisture
from tests.server.support.office import FullDay, cells, get_page
from tests.server.support.service import Service
from tests.shared_models.reports.support.farmbook import HandDay

NBSP = "\N{NO-BREAK SPACE}"


def words(page: str) -> str:
    """What a page says, in one line."""
    return re.sub(r"\s+", " ", unescape(re.sub(r"<svg.*?</svg>|<[^>]*>", " ", page, flags=re.DOTALL)))


# pace


@pytest.mark.usefixtures("full_day")
def test_the_pace_of_a_crew_stands_in_picture_and_table(page: Page, address: str) -> None:
    page.goto(f"{address}/pace?by=crew")

    row = cells(page.get_by_role("table", name="By crew"), "Ana + Ben")
    assert row[0:3] == ["2", "200", "1,200"]
    assert row[-4:] == ["200", "2,400", "1,200", "6"]
    pictures = [picture.get_attribute("aria-label") or "" for picture in page.get_by_role("img").all()]
    assert pictures[0].startswith("Bars of row ft per person and hour for 2, from 200 (Ana + Ben) to 218 (Cy)")
    assert "A line marks plug trays by hand." in pictures[1]


@pytest.mark.usefixtures("full_day")
def test_the_pace_stands_against_plug_trays_set_by_hand(office: Service) -> None:
    assert "Plugs by hand: 400 plants per person-hour. With the chain: " in words(get_page(office, "/pace"))


@pytest.mark.usefixtures("hand_day")
def test_a_farm_without_a_baseline_is_told_how_to_get_one(office: Service) -> None:
    assert "Enter how many plugs one person sets by hand per hour" in words(get_page(office, "/pace"))


@pytest.mark.usefixtures("full_day")
def test_two_are_chosen_and_compared_without_a_script(page: Page, address: str) -> None:
    page.goto(f"{address}/pace?by=crop&from=2026-05-01")
    compare = page.get_by_role("region", name="Two compared")
    compare.get_by_label("First").select_option("Leek")
    compare.get_by_label("Second").select_option("Onion")
    compare.get_by_role("button", name="Compare").click()

    assert page.url.endswith("/pace?from=2026-05-01&by=crop&first=leek&second=onion")
    side = page.get_by_role("table", name="Side by side")
    assert cells(side, "Leek")[:3] == ["1", "2", "200"]
    told = page.get_by_role("region", name="Two compared").inner_text()
    assert "Leek planted 1.09 times the row length of Onion per person-hour." in told
    assert "Too few plantings to be sure" in told


@pytest.mark.usefixtures("full_day")
def test_what_slowed_us_is_told_by_reason(page: Page, address: str) -> None:
    page.goto(f"{address}/pace")

    time = page.get_by_role("table", name="Pulling, stops and turns")
    assert cells(time, "stop: tray change") == ["1", "3.0", "4%"]


@pytest.mark.usefixtures("full_day")
@pytest.mark.parametrize(
    ("by", "line"),
    [
        ("hour", "8:00\xa0AM"),
        ("person", "Ana"),
        ("spacing", "2 in"),
        ("week", "May 4, 2026"),
        ("season", "2026"),
    ],
)
def test_the_pace_is_told_by_whatever_is_asked(office: Service, by: str, line: str) -> None:
    assert f'class="words">{line}</th>' in get_page(office, f"/pace?by={by}")


@pytest.mark.usefixtures("full_day")
def test_the_address_says_what_is_asked_and_the_form_shows_it(page: Page, address: str) -> None:
    page.goto(f"{address}/pace?from=2026-05-01&to=2026-05-31&crop=Leek&by=person")

    form = page.locator("form.filters").first
    assert form.get_by_label("From").input_value() == "2026-05-01"
    assert form.get_by_label("Crop").input_value() == "Leek"
    assert form.get_by_label("By").input_value() == "person"
    assert page.get_by_role("rowheader", name="Ana").count() == 0


def test_more_lines_than_a_picture_holds_are_in_the_table(office: Service, hand_day: HandDay) -> None:
    for number in range(45):
        hand_day.book.row(hand_day.book.planting(hand_day.north, f"Crop {number}", 50.8), 1, "10:00", "10:10", [])

    page = get_page(office, "/pace?by=crop")

    assert "The picture has the last 40; the table has all." in page
    assert ">Crop 0</th>" in page


# stand


@pytest.mark.usefixtures("full_day")
def test_the_stand_tells_intervals_evenness_fills_and_odd_rows(page: Page, address: str) -> None:
    page.goto(f"{address}/stand")

    stands = page.get_by_role("table", name="Of each planting")
    assert cells(stands, "Onion Varna")[6:9] == ["99.7%", "95.7%", "May 4, 2026"]
    even = cells(page.get_by_role("table", name="From tape samples"), "Onion Varna")
    assert even[:6] == ["1", "9", "77.8%", "11.1%", "11.1%", "1"]
    odd = cells(page.get_by_role("table", name="More misses than chance"), "Bed 2, row 2")
    assert odd == ["May 4, 2026", "200", "19", "0.0", "Cy", "chain slipped"]
    assert page.get_by_text("Onion Varna (O1), Bed 1 (North): row 2 (4). Carry 5 plants.").is_visible()


@pytest.mark.usefixtures("hand_day")
def test_without_a_tape_sample_it_is_told_how_to_take_one(office: Service) -> None:
    page = words(get_page(office, "/stand"))

    assert "No tape samples yet." in page
    assert "No row has more misses than chance would explain" in page


# soil


@pytest.mark.usefixtures("full_day")
def test_a_wet_bed_has_its_outlook_day_by_day(page: Page, address: str) -> None:
    page.goto(f"{address}/soil")

    outlook = page.get_by_role("region", name="When wet beds will be OK to plant")
    assert re.search(
        r"Probably OK to plant on May \d+, May \d+ at the earliest, May \d+ at the latest\.", outlook.inner_text()
    )
    assert "Based on the check on May 4 (wet). 1 day since then has weather logged." in outlook.inner_text()
    outlook.get_by_text("Day by day in figures").click()
    days = outlook.get_by_role("table", name="Available water in the top soil")
    assert days.get_by_role("rowheader").first.inner_text() == "May 4, 2026"


def test_an_outlook_that_cannot_be_made_says_what_is_lacking(office: Service, full_day: FullDay) -> None:
    full_day.hand.book.change("bed", full_day.hand.south, texture=None)

    assert "No outlook: enter the bed&#39;s soil texture on the phone" in get_page(office, "/soil")


@pytest.mark.usefixtures("full_day")
def test_what_limited_the_beds_is_counted(page: Page, address: str) -> None:
    page.goto(f"{address}/soil")

    limits = page.get_by_role("table", name="Why beds had to wait")
    assert (cells(limits, "moisture"), cells(limits, "nothing: ready")) == (["1", "33%"], ["2", "67%"])


def test_one_bed_has_its_moisture_as_a_picture(page: Page, address: str, full_day: FullDay) -> None:
    page.goto(f"{address}/soil?bed={full_day.hand.south}")

    says = page.get_by_role("region", name="Checks over time").get_by_role("img").get_attribute("aria-label")
    assert (says or "").startswith("How wet Bed 2 felt in 2 checks")
    assert page.get_by_role("heading", level=3).all_inner_texts() == ["Bed 2", "Bed 2"]


# bed and sowing


def test_a_bed_page_shows_its_plantings_from_the_seed_lot_on(page: Page, address: str, full_day: FullDay) -> None:
    full_day.hand.book.row(full_day.later_onions, 1, "11:00", "11:12", [full_day.hand.ana])
    page.goto(f"{address}/bed/{full_day.hand.north}")

    life = page.get_by_role("region", name="Onion (O2), Bed 1 (North)")
    told = dict(
        zip(life.locator("dl.facts dt").all_inner_texts(), life.locator("dl.facts dd").all_inner_texts(), strict=True)
    )
    assert told["Seed lot"] == "L-7"
    assert told["Tray check"] == "May 2, 2026: 9 of 264 cells empty, 3 leaves, roots hold"
    assert told["Planted"] == "May 4, 2026, 45 days after sowing"
    assert told["Soil before planting"].startswith("May 4, 2026, 7:00\xa0AM: ready (feels moist")
    record = page.get_by_role("link", name="Planting record for an inspector")
    assert record.get_attribute("href") == f"/record/{full_day.hand.north}"
    life.get_by_role("link", name="Onion O2").click()
    assert page.get_by_role("heading", level=1).inner_text() == "Onion O2"


@pytest.mark.usefixtures("full_day")
def test_a_bed_is_found_by_its_name_too(office: Service) -> None:
    assert "<h1>Bed 1 (North)</h1>" in get_page(office, "/bed/Bed 1")


def test_a_sowing_tells_its_trays_and_its_plantings(page: Page, address: str, full_day: FullDay) -> None:
    page.goto(f"{address}/sowing/{full_day.sowing}")

    trays = page.get_by_role("table", name="Tray checks")
    assert cells(trays, "May 2, 2026") == ["264", "9", "3.4%", "3", "yes", ""]
    assert page.get_by_role("link", name="Bed 1 (North)").get_attribute("href") == f"/bed/{full_day.hand.north}"
    assert "not yet" in page.get_by_role("region", name="Onion (O2)").inner_text()


@pytest.mark.usefixtures("full_day")
@pytest.mark.parametrize("table", ["By bed", "Of each planting"])
def test_beds_and_plantings_in_tables_link_to_their_histories(page: Page, address: str, table: str) -> None:
    page.goto(f"{address}/season")

    page.get_by_role("table", name=table).get_by_role("link", name="Bed 2").first.click()

    assert page.get_by_role("heading", level=1).inner_text() == "Bed 2"
    assert page.get_by_role("heading", level=2, name="Leek, Bed 2").is_visible()


def test_an_unplanted_bed_says_how_to_add_a_planting(office: Service, full_day: FullDay) -> None:
    bed = full_day.hand.book.bed("Bed 9")

    page = words(get_page(office, f"/bed/{bed}"))

    assert "Nothing planned or planted in this bed yet." in page
    assert "This bed has not been checked yet." in page


# season


@pytest.mark.usefixtures("full_day")
def test_a_season_tells_successions_plans_and_costs(page: Page, address: str) -> None:
    page.goto(f"{address}/season")

    onions = cells(page.get_by_role("table", name="Sowings, in planting order"), "Onion Varna O1")
    assert onions[-4:] == ["1", "1,200", "6", "2"]
    assert (
        "May 20, 2026: Onion (O2), Bed 1 (North)"
        in page.get_by_role("region", name="Planned, not planted yet").inner_text()
    )
    costs = page.get_by_role("region", name="What a living plant cost")
    assert re.search(r"Each of 1,5\d\d living plants cost 0\.\d{4}\. Set by hand from plug trays", costs.inner_text())
    parts = costs.get_by_role("table", name="Where the money went")
    assert cells(parts, "total")[0] == "92.73"
    assert cells(parts, "fill plugs") == ["0.06", "< 0.0001"]


@pytest.mark.usefixtures("hand_day")
def test_prices_that_are_not_told_are_asked_for(office: Service) -> None:
    page = words(get_page(office, "/season"))

    assert (
        "Enter these prices to see the cost of each living plant: the wage of an hour, a seed, the chain of a tray"
        in page
    )


def test_without_a_count_costs_are_told_with_what_is_left_out(office: Service, full_day: FullDay) -> None:
    full_day.hand.book.row(full_day.hand.book.new_id(), 1, "10:00", "10:10", [full_day.hand.cy])

    assert "1 planting is left out. Their stand or spacing is not known." in words(get_page(office, "/season"))


def test_a_farm_that_measures_in_metres_reads_metres_everywhere(office: Service, full_day: FullDay) -> None:
    full_day.hand.book.farm(units="metres")

    pages = {name: words(get_page(office, path)) for name, path in full_day.paths.items()}

    assert [name for name, page in pages.items() if re.search(r"\bft\b|\bin\b(?= \d)|°F", page)] == []
    assert "m per person-h" in pages["pace"].replace("\N{NON-BREAKING HYPHEN}", "-")


@pytest.mark.parametrize(
    ("taken", "told"),
    [
        ((14, 15, 17), "That is more than chance would explain."),
        ((19, 30, 41), "Could just be chance."),
    ],
)
def test_enough_plantings_tell_an_interval(
    office: Service, hand_day: HandDay, taken: tuple[int, ...], told: str
) -> None:
    book = hand_day.book
    for crop, minutes in (("Chard", taken), ("Leek", (28, 31, 33))):
        for hour, minute in enumerate(minutes, 10):
            planting = book.planting(book.bed(f"{crop} {hour}"), crop, 152.4)
            book.row(planting, 1, f"{hour}:00", f"{hour}:{minute}", [hand_day.cy])

    page = words(get_page(office, "/pace?by=crop&first=chard&second=leek"))

    assert "95% interval" in page
    assert told in page
    assert "Too few plantings" not in page


def test_work_without_any_length_is_not_compared(office: Service, hand_day: HandDay) -> None:
    empty = hand_day.book.planting(hand_day.south, "Chard", 152.4)
    hand_day.book.row(empty, 1, "10:00", "10:00", [hand_day.cy])

    assert "Not enough rows to compare." in words(get_page(office, "/pace?by=crop&first=chard&second=leek"))


def test_people_who_worked_together_are_told_to_share_rows(office: Service, hand_day: HandDay) -> None:
    address = f"/pace?by=person&first={hand_day.ana}&second={hand_day.ben}"

    assert "2 rows are counted on both sides." in words(get_page(office, address))


def test_where_plants_cannot_be_counted_the_baseline_stands_alone(office: Service, hand_day: HandDay) -> None:
    book = hand_day.book
    book.farm(plug_tray_plants_per_person_hour=400)
    for row in (hand_day.first, hand_day.second, hand_day.third):
        book.change("row_pass", row, planting=book.new_id())

    page = words(get_page(office, "/pace"))

    assert "Plugs by hand: 400 plants per person-hour." in page
    assert "With the chain" not in page


def test_prices_without_any_stand_cost_nothing_yet(office: Service, full_day: FullDay) -> None:
    hand = full_day.hand
    for row in (hand.first, hand.second, hand.third, full_day.odd):
        hand.book.change("row_pass", row, planting=hand.book.new_id())

    assert "No planting has both a stand and a spacing yet." in words(get_page(office, "/season"))


@pytest.mark.parametrize(
    ("window", "told"),
    [
        (FitWindow(None, None, None), "It will likely not be fit within 30 dry days."),
        (
            FitWindow(date(2026, 5, 5), date(2026, 5, 9), None),
            "Probably OK to plant on May 9, May 5 at the earliest; no latest day.",
        ),
    ],
)
def test_a_window_that_stays_open_is_told(window: FitWindow, told: str) -> None:
    outlook = Outlook(date(2026, 5, 4), Feel.WET, window=window, days=(Moisture(date(2026, 5, 5), 0.7, 0.8, 1.0),))

    assert drying("Bed 2", outlook, Localizer()).sentence == told


def test_days_without_weather_are_told_to_count_as_dry(office: Service, full_day: FullDay) -> None:
    office.fakes.wait(days=3)
    full_day.hand.book.add("weather", on="2026-05-06", rain_mm=3.0, t_min_c=8.0, t_max_c=19.0)

    page = words(get_page(office, "/soil"))

    assert "2 days since then have weather logged. 2 days since then have none and count as dry." in page


def test_what_was_deleted_noted_or_left_out_is_told_of_a_bed_and_a_sowing(office: Service, full_day: FullDay) -> None:
    book, hand = full_day.hand.book, full_day.hand
    book.change("bed", hand.north, retired=True)
    book.change("planting", full_day.later_onions, note="wind from the west")
    book.change("sowing", full_day.sowing, ready_from="2026-05-10", ready_until="2026-05-20", sown_on=None, voided=True)
    book.add("tray_check", sowing=full_day.sowing, on="2026-05-03", cells_seen=0, cells_empty=0, roots_hold=False)
    book.row(full_day.later_onions, 1, "11:00", "11:12", [hand.ana])

    bed, sowing = words(get_page(office, f"/bed/{hand.north}")), words(get_page(office, f"/sowing/{full_day.sowing}"))

    assert "State no longer planted" in bed
    assert "Note wind from the west" in bed
    assert "May 3, 2026: 0 of 0 cells empty, roots do not hold yet" in bed
    assert "Ready to plant May 10, 2026 to May 20, 2026" in sowing
    assert "State deleted" in sowing
    assert "Planted May 4, 2026 Planted stand" in sowing
    book.change("bed", hand.north, voided=True)
    assert "State deleted" in words(get_page(office, f"/bed/{hand.north}"))
