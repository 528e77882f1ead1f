"""The set-up: the farm and its limits, beds, sowings, plantings, people and weather."""

import re

import pytest
from playwright.sync_api import Page, expect
from sqlalchemy import select
from sqlmodel import Session

from server.farms.edits import edit
from shared_models.core.vocabulary import Feel, LengthUnits, Role
from shared_models.log.store import reading
from shared_models.records.tables import PROJECTIONS, table_of
from shared_models.reports.common.farm import farm_facts
from tests.server.support.html_form import FormPage
from tests.server.support.office import fits, get_page
from tests.server.support.service import BROWSER, Service
from tests.server.support.setup_client import page_text, paste, records

# adding


def test_a_bed_is_added_in_feet_and_kept_in_millimeters(office: Service, farm: str) -> None:
    answer = FormPage(office, "/setup/beds").send(name="West 1", length_mm="100", rows="3", row_spacing_mm="9.5")

    assert answer.headers["location"] == "/setup/beds?done=saved"
    (bed,) = records(office, farm, "bed")
    assert (bed["name"], bed["length_mm"], bed["rows"], bed["row_spacing_mm"]) == ("West 1", 30_480, 3, 241)
    assert f'<a href="/log/bed/{bed["id"]}">West 1</a>' in get_page(office, "/setup/beds")


def test_in_metres_where_the_farm_says_metres(office: Service, farm: str) -> None:
    edit(office.engine, farm, "farm", farm, {"units": LengthUnits.METRES}, None, office.fakes.time)
    office.client.cookies.set("rowend_language", "es")

    FormPage(office, "/setup/beds").send(name="Oeste 1", length_mm="30,5", rows="3")

    (bed,) = records(office, farm, "bed")
    assert bed["length_mm"] == 30_500


def test_what_is_missing_is_asked_for_beside_its_field(office: Service, farm: str) -> None:
    answer = FormPage(office, "/setup/beds").send(block="West", rows="0")

    assert answer.status_code == 422
    assert 'id="rows-problem">enter a number from 1 to 1,000<' in answer.text
    assert 'value="West"' in answer.text
    answer = FormPage(office, "/setup/beds").send(block="West", rows="3")
    assert 'id="name-problem">this cannot be left empty<' in answer.text
    assert records(office, farm, "bed") == []


def test_who_is_not_signed_in_any_more_reads_that_nothing_was_saved(office: Service, farm: str) -> None:
    form = FormPage(office, "/setup/beds")
    office.client.cookies.clear()

    answer = form.send(name="West 1", length_mm="100", rows="3")

    assert answer.status_code == 401
    assert "Your session ended, so nothing was saved." in answer.text
    assert "nothing was saved" not in office.client.get("/setup/beds", headers=BROWSER).text
    assert records(office, farm, "bed") == []


def test_the_first_field_that_is_wrong_is_where_one_types_next(office: Service) -> None:
    answer = FormPage(office, "/setup/beds").send(rows="none")

    wrong = re.findall(r'<input id="(\w+)"[^>]*autofocus', answer.text)
    assert wrong == ["rows"]


def test_a_plan_names_a_bed_and_a_sowing(office: Service, farm: str) -> None:
    FormPage(office, "/setup/beds").send(name="West 1", length_mm="100", rows="3")
    FormPage(office, "/setup/sowings").send(crop="Onion", variety="Varna", spacing_mm="2", label_germination="92")
    bed, sowing = records(office, farm, "bed")[0]["id"], records(office, farm, "sowing")[0]

    FormPage(office, "/setup/plantings").send(bed=bed, sowing=sowing["id"], planned_on="2026-05-20")

    (planting,) = records(office, farm, "planting")
    assert (planting["bed"], planting["sowing"], str(planting["planned_on"])) == (bed, sowing["id"], "2026-05-20")
    assert (sowing["spacing_mm"], sowing["label_germination"]) == (50.8, 0.92)
    assert "Onion Varna, West 1" in get_page(office, "/setup/plantings")


def test_a_long_note_is_shortened_in_the_list(office: Service, farm: str) -> None:
    bed, sowing = office.fakes.new_id(), office.fakes.new_id()
    edit(office.engine, farm, "bed", bed, {"name": "West 1", "length_mm": 30_480, "rows": 3}, None, office.fakes.time)
    edit(office.engine, farm, "sowing", sowing, {"crop": "Onion", "spacing_mm": 50.8}, None, office.fakes.time)
    FormPage(office, "/setup/plantings").send(bed=bed, sowing=sowing, note="wet " * 900)

    page = get_page(office, "/setup/plantings")

    assert page.count("wet ") == 40
    assert "wet wet …" in page


def test_a_wage_stands_in_the_log_that_no_phone_gets(office: Service, farm: str) -> None:
    FormPage(office, "/setup/people").send(name="Ana", role="crew", wage_per_hour="21.50")
    phone = office.phone(farm)
    phone.sync(office)

    (person,) = records(office, farm, "person")
    with reading(phone.engine) as connection:
        table = table_of(PROJECTIONS["person"])
        there = connection.execute(select(table.c.name, table.c.wage_per_hour)).one()
    assert person["wage_per_hour"] == 21.5
    assert tuple(there) == ("Ana", None)


def test_growers_plan_and_only_owners_see_people_and_prices(office: Service, farm: str) -> None:
    owners = get_page(office, "/setup/farm")
    office.open_office(farm, Role.GROWER)

    pages = get_page(office, "/setup"), get_page(office, "/setup/farm")
    people = office.client.get("/setup/people", headers=BROWSER), office.send_form("/setup/people", name="Eve")
    price = office.send_form("/setup/farm", **{"limit.seed": "1", "was.limit.seed": ""})

    assert "A plug ready to set" in owners
    assert "/setup/people" not in pages[0]
    assert "A plug ready to set" not in pages[1]
    assert [answer.status_code for answer in people] == [403, 403]
    assert price.headers["location"].endswith("same")


@pytest.mark.parametrize("path", ["/setup", "/setup/farm", "/setup/beds", "/setup/beds/csv"])
def test_crew_has_no_set_up(office: Service, farm: str, path: str) -> None:
    office.open_office(farm, Role.CREW)

    assert office.client.get(path, headers=BROWSER).status_code == 403


@pytest.mark.parametrize("path", ["/setup/tractors", "/setup/plantings/csv"])
def test_what_is_no_list_is_not_there(office: Service, path: str) -> None:
    answer = office.client.get(path, headers=BROWSER)

    assert answer.status_code == 404
    assert "Check the name, or sync and choose it from the list." in answer.text


@pytest.mark.parametrize(
    ("role", "steps"),
    [
        (Role.CREW, ["A grower enters beds", "The farm's owner gives you a code", "Plant."]),
        (Role.GROWER, ['under <a href="/setup">Set-up</a>', "The farm's owner gives you a code", "Plant."]),
        (Role.OWNER, ['under <a href="/setup">Set-up</a>', 'under <a href="/phones">Phones</a>', "Plant."]),
    ],
)
def test_an_empty_farm_leads_everybody_where_they_may_go(
    office: Service, farm: str, role: Role, steps: list[str]
) -> None:
    office.open_office(farm, role)

    day, plan = (get_page(office, path).replace("&#39;", "'").partition("<main")[2] for path in ("/", "/plan"))

    assert [step for step in steps if step not in day] == []
    assert [step in plan for step in steps] == [True, False, False]


def test_a_form_that_is_sent_twice_adds_once(office: Service, farm: str) -> None:
    """Two taps on a slow network. Who goes back and writes another name adds another bed."""
    form = FormPage(office, "/setup/beds")
    answers = [form.send(name="West 1", length_mm="100", rows="3") for _ in range(2)]

    form.send(name="West 2", length_mm="100", rows="3")

    assert [answer.headers["location"] for answer in answers] == ["/setup/beds?done=saved"] * 2
    assert [bed["name"] for bed in records(office, farm, "bed")] == ["West 1", "West 2"]
    assert get_page(office, "/log").count("West 1</a>") == 1


def test_what_is_here_already_is_not_added_again(office: Service) -> None:
    for part, once, name in (
        ("beds", {"name": "West 1", "block": "West", "length_mm": "100", "rows": "3"}, "name"),
        ("weather", {"on": "2026-05-12", "rain_mm": "0.5"}, "on"),
        ("people", {"name": "Ana"}, "name"),
    ):
        FormPage(office, f"/setup/{part}").send(**once)

        answer = FormPage(office, f"/setup/{part}").send(**(once | {name: once[name].upper()}))

        assert answer.status_code == 422
        assert f'id="{name}-problem">this is here already: change it on its own page' in answer.text
    other = FormPage(office, "/setup/beds").send(name="West 1", block="Creek", length_mm="100", rows="3")
    assert other.status_code == 303


def test_a_plan_says_what_must_be_there_first(office: Service) -> None:
    before = page_text(get_page(office, "/setup/plantings"))
    paste(office, "beds", "name,length_ft,rows", "West 1,100,3", save="1")
    between = page_text(get_page(office, "/setup/plantings"))
    paste(office, "sowings", "crop,spacing_in", "Onion,2", save="1")

    assert "Add first: Beds · Sowings" in before
    assert "Add first: Sowings Entries" in between
    assert "Add first" not in get_page(office, "/setup/plantings")


LONG = (
    "N" * 60,
    "a name that somebody wrote down in a hurry",
    "שדה ראשון מאוד " * 4,
    "🥬🧅 " * 12,
    "<script>alert(1)</script>",
)


@pytest.mark.parametrize("width", [360, 1280])
def test_names_of_any_length_and_writing_fit_the_page(page: Page, office: Service, farm: str, width: int) -> None:
    for name in LONG:
        bed, sowing, planting, person = (office.fakes.new_id() for _ in range(4))
        for kind, record, fields in (
            ("bed", bed, {"name": name, "length_mm": 30_480, "rows": 3}),
            ("sowing", sowing, {"crop": name, "code": name, "spacing_mm": 50.8}),
            ("planting", planting, {"bed": bed, "sowing": sowing, "planned_on": "2026-06-01", "note": name * 5}),
            ("person", person, {"name": name}),
        ):
            edit(office.engine, farm, kind, record, fields, None, office.fakes.time)
    paths = [f"/setup/{part}" for part in ("beds", "sowings", "plantings", "people")]
    page.set_viewport_size({"width": width, "height": 800})
    with office.served_to(page, farm) as address:
        for path in (*paths, f"/log/planting/{planting}", "/log", "/plan", "/access"):
            page.goto(address + path)
            page.evaluate("document.querySelectorAll('main details').forEach(each => each.open = true)")
            assert fits(page), path


def test_a_day_that_is_half_typed_is_not_lost_unseen(page: Page, office: Service, farm: str) -> None:
    """A browser sends nothing for it, so it must not be sent."""
    with office.served_to(page, farm) as address:
        page.goto(f"{address}/setup/sowings")
        for name, typed in (("crop", "Onion"), ("spacing_mm", "2")):
            page.locator(f"#{name}").fill(typed)
        page.locator("#sown_on").focus()
        page.keyboard.type("05")
        page.get_by_role("button", name="Save").click()

        expect(page.locator("#sown_on")).to_be_focused()
        assert page.locator("#sown_on").evaluate("field => field.validity.badInput")
    assert records(office, farm, "sowing") == []


# the farm


def test_limits_are_set_in_words_and_taken_back(office: Service, farm: str) -> None:
    FormPage(office, "/setup/farm").send(
        limit__longest_turn_s="20", limit__spare_fraction="15", limit__wettest_fit="3", limit__min_soil_c="50"
    )
    with reading(office.engine) as connection, Session(connection) as session:
        facts = farm_facts(session, farm)
    FormPage(office, "/setup/farm").send(limit__longest_turn_s="")
    with reading(office.engine) as connection, Session(connection) as session:
        later = farm_facts(session, farm)

    assert (facts.setting("longest_turn_s"), facts.setting("spare_fraction")) == (1200, 0.15)
    assert facts.soil_thresholds().wettest_fit is Feel.WET
    assert facts.soil_thresholds().min_soil_c == 10
    assert (later.setting("longest_turn_s"), later.setting("spare_fraction")) == (1800, 0.15)
    log = page_text(get_page(office, "/log"))
    assert "Longest turn, in minutes: 20 → as usual" in log
    assert "Wettest OK to plant: as usual → Wet" in log


def test_each_limit_says_what_is_usual_and_where_that_is_from(office: Service) -> None:
    page = page_text(get_page(office, "/setup/farm"))

    assert (
        "A longer time between two rows is a break, and counts in no rate. Usual: 30 (common practice, no source)."
        in page
    )
    assert "Driest OK to plant A drier bed must wait. Usual: Slightly moist (common practice, no source)." in page
    assert page.count("common practice, no source") == 18


def test_limits_that_contradict_each_other_are_refused(office: Service, farm: str) -> None:
    answer = FormPage(office, "/setup/farm").send(limit__residue_wait_pct="40", name="Other")

    assert answer.status_code == 422
    assert "it must not be more than: Residue that can be cleared" in answer.text
    assert 'value="40"' in answer.text
    (kept,) = records(office, farm, "farm")
    assert (kept["name"], kept["thresholds"]) == ("Heronbrook", {})


def test_a_limit_that_somebody_else_has_set_meanwhile_is_not_written_over_unseen(office: Service, farm: str) -> None:
    one, other = FormPage(office, "/setup/farm"), FormPage(office, "/setup/farm")
    one.send(limit__spare_fraction="15")

    answer = other.send(limit__spare_fraction="20")
    FormPage(office, "/setup/farm", answer=answer).send()

    assert answer.status_code == 422
    assert "someone else changed this to: 15 %. Save again to keep yours" in answer.text
    (kept,) = records(office, farm, "farm")
    assert kept["thresholds"] == {"spare_fraction": 0.2}


def test_the_farms_clock_and_place_are_set(office: Service, farm: str) -> None:
    FormPage(office, "/setup/farm").send(zone="America/Chicago", latitude="42.6", longitude="-73.7", limit__seed="0.02")

    (kept,) = records(office, farm, "farm")
    assert (kept["zone"], kept["latitude"], kept["longitude"], kept["prices"]) == (
        "America/Chicago",
        42.6,
        -73.7,
        {"seed": 0.02},
    )
