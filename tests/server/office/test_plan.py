"""The plan as it is read: on the page, over HTTP, on the command line; the same figures in all of them."""

import json
from datetime import datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from playwright.sync_api import Page

from server.cli import main as cli
from server.db.database import open_database
from server.farms.registry import make_farm
from server.runtime.settings import Settings
from shared_models.core.vocabulary import Role
from tests.server.office.test_report_pages import words
from tests.server.support.office import cells, get_page
from tests.server.support.service import ZONE, FakeProviders, Service
from tests.shared_models.reports.support.farmbook import DAY, FarmBook, HandDay


@pytest.fixture
def ahead(hand_day: HandDay) -> HandDay:
    """Lettuce for Bed 3 in two weeks, sown in time; lettuce for the bed that leeks were set in on this day."""
    book = hand_day.book
    bed = book.bed("Bed 3")
    told = {"crop": "Lettuce", "spacing_mm": 152.4, "label_germination": 0.95}
    sown = book.add("sowing", **told, code="L1", sown_on="2026-04-15", trays=5)
    book.add("planting", bed=bed, sowing=sown, planned_on=str(DAY + timedelta(days=14)))
    later = book.add("sowing", **told, code="L2")
    book.add("planting", bed=hand_day.south, sowing=later, planned_on=str(DAY + timedelta(days=35)))
    book.add("planting", bed=hand_day.south, sowing=later, planned_on=str(DAY + timedelta(days=42)))
    return hand_day


@pytest.mark.usefixtures("ahead")
def test_the_page_tells_what_to_sow_what_it_takes_and_what_cannot_be_done(page: Page, address: str) -> None:
    page.goto(f"{address}/plan")

    plantings = page.get_by_role("table", name="Worked back from the planting date")
    assert cells(plantings, "Lettuce (L1), Bed 3")[:8] == [
        *("May 18, 2026", "Apr 15, 2026", "May 13, 2026", "May 27, 2026", "ready"),
        *("600", "3", "792"),
    ]
    assert plantings.get_by_role("row").filter(has_text="by May 11, 2026").count() == 1
    assert page.get_by_role("region", name="Problems with this plan").get_by_role("listitem").all_inner_texts() == [
        "Bed Bed 2 is booked twice from Jun 15, 2026: Lettuce (L2), Bed 2 and Lettuce (L2), Bed 2. Move one of them."
    ]
    assert cells(page.get_by_role("table", name="From this week on"), "May 18, 2026")[:4] == ["8", "3", "1", "600"]
    assert cells(page.get_by_role("table", name="Left over"), "Lettuce L1")[0] == "2"
    assert "6 trays are still to sow, 792 ft of chain." in page.get_by_role("main").inner_text()


@pytest.mark.usefixtures("ahead")
def test_hours_say_how_many_rows_they_rest_on(office: Service) -> None:
    page = words(get_page(office, "/plan"))

    assert "Planting hours: 200 ft per person-hour, from 3 rows of all crops." in page
    assert "Enter trays sown per hour to include sowing hours." in page


def test_the_limits_the_farm_tells_stand_in_the_picture(page: Page, address: str, ahead: HandDay) -> None:
    ahead.book.farm(thresholds={"bench_room_trays": 4, "mix_l_per_tray": 4.5, "trays_sown_per_h": 6})
    page.goto(f"{address}/plan")

    says = [picture.get_attribute("aria-label") or "" for picture in page.get_by_role("img").all()]
    assert "Bars of trays on the bench, in the week from" in says[0]
    assert "A line marks room on the bench." in says[0]
    assert "Week of May 4, 2026: 5 trays on a bench that holds 4." in page.inner_text("main")
    assert "27 liters of mix" in page.inner_text("main")


def test_a_plan_of_many_weeks_has_its_first_in_the_picture(office: Service, ahead: HandDay) -> None:
    last = ahead.book.planting(ahead.book.bed("Bed 4"), "Lettuce", 152.4)
    ahead.book.change("planting", last, planned_on=str(DAY + timedelta(days=300)))

    assert "The picture has the first 30; the table has all." in get_page(office, "/plan")


@pytest.mark.parametrize("role", Role)
@pytest.mark.usefixtures("ahead")
def test_everybody_of_the_farm_may_read_the_plan(service: Service, farm: str, role: Role) -> None:
    service.open_office(farm, role)

    assert "Upcoming plantings" in get_page(service, "/plan")


@pytest.mark.usefixtures("hand_day")
def test_a_farm_that_plans_nothing_is_told_how(office: Service) -> None:
    assert "No plantings planned on these days. Enter a planned date for a planting" in get_page(office, "/plan")


def test_the_plan_shows_trays_not_ready_on_the_day_and_crops_with_own_rates(office: Service, hand_day: HandDay) -> None:
    book = hand_day.book
    for row, (begin, end) in enumerate((("9:15", "9:45"), ("9:45", "10:15")), start=2):
        book.row(hand_day.leeks, row, begin, end, [hand_day.cy])
    for crop, sown_on in (("Leek", "2026-03-24"), ("Lettuce", "2026-05-03"), ("Lettuce", "2026-03-01"), ("Leek", None)):
        sowing = book.add("sowing", crop=crop, spacing_mm=152.4, sown_on=sown_on, ready_until=None)
        book.add("planting", bed=book.bed(f"Bed {book.new_id()}"), sowing=sowing, planned_on="2026-05-18")
    odd = book.add("sowing", crop="Sorrel", spacing_mm=152.4)
    book.add("planting", bed=book.bed("Bed 9"), sowing=odd, planned_on="2026-06-18")

    page = words(get_page(office, "/plan"))

    assert "13 days too young" in page
    assert "1 day too young" in page
    assert "36 days too old" in page
    assert "Planting hours for Leek: 200 ft per person-hour, from 3 rows." in page
    assert "Planting hours for other crops: 200 ft per person-hour, from 5 rows of all crops." in page
    assert "No sowing date for crops with unknown growing time" in page


@pytest.mark.usefixtures("ahead")
def test_the_api_gives_the_same_figures_with_their_units(service: Service) -> None:
    told = service.client.get("/v1/plan", params={"crop": "lettuce"}).json()

    first, second, _ = told["plantings"]
    assert (first["sown_on"], first["ready_until"], first["trays"], first["spare_trays"]) == (
        *("2026-04-15", "2026-05-27"),
        *(3, 0),
    )
    assert (second["sow_by"], second["guide"], second["mix_l"]) == ("2026-05-11", "mid_atlantic_recommendations", None)
    assert told["rates"] == [{"crop": None, "mm_per_person_h": pytest.approx(200 * 304.8), "rows": 3}]
    assert first["person_hours"] == pytest.approx(300 * 304.8 / told["rates"][0]["mm_per_person_h"])
    assert [each["kind"] for each in told["conflicts"]] == ["bed_booked_twice"]
    assert told["to_sow"]["seeds"] == {"Lettuce": 1584}
    assert [(each["code"], each["trays"]) for each in told["waiting"]] == [("L1", 2)]


def test_a_stranger_gets_no_plan(service: Service) -> None:
    assert service.client.get("/v1/plan").status_code == 401


def test_the_plan_is_described_with_an_example(service: Service) -> None:
    described = service.app.openapi()
    answer = described["paths"]["/v1/plan"]["get"]["responses"]["200"]["content"]["application/json"]

    assert answer["example"].keys() == described["components"]["schemas"]["PlanOut"]["properties"].keys()


def test_the_command_prints_the_plan(tmp_path: Path, fakes: FakeProviders, capsys: pytest.CaptureFixture[str]) -> None:
    engine = open_database(Settings.in_directory(tmp_path).database_url)
    book = FarmBook(engine, id=make_farm(engine, "Heronbrook", ZONE, fakes.providers))
    nothing = cli.run(["report", "plan", "--data", str(tmp_path)]), capsys.readouterr().out
    beds = [book.bed(f"Bed {number}") for number in range(3)]
    today = datetime.now(ZoneInfo(ZONE)).date()
    for number, bed in enumerate(beds):
        sowing = book.add("sowing", crop="Lettuce", spacing_mm=152.4, code=f"L{number}")
        book.add("planting", bed=bed, sowing=sowing, planned_on=str(today + timedelta(days=20 * number)))
    book.add("sowing", crop="Lettuce", spacing_mm=152.4, code="L9", sown_on=str(today), trays=7)
    engine.dispose()

    asked = ["report", "plan", "--since", str(today), "--data", str(tmp_path)]
    assert cli.run(asked) == 0
    text = capsys.readouterr().out
    assert cli.run([*asked, "--json"]) == 0

    assert nothing == (0, "No planting is planned for this.\n")
    assert text.startswith("Problems with this plan:\n  Lettuce (L0), Bed 0 should have been sown by")
    for part in ("Week by week:", "9 trays are still to sow", "Trays without a planting:", "What comes next:"):
        assert part in text
    assert [each["plants"] for each in json.loads(capsys.readouterr().out)["plantings"]] == [600] * 3
