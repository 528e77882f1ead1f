"""The set-up: the farm and its limits, beds, sowings, plantings, people and weather, and tables that are pasted."""

from __future__ import annotations

import re
from typing import Any

import httpx2
import pytest
from sqlalchemy import select
from sqlmodel import Session

from server.office import edit
from shared_models.reports.farm import farm_facts
from shared_models.store import reading
from shared_models.tables import PROJECTIONS, table_of
from shared_models.units import MM_PER_FOOT
from shared_models.words import Feel, LengthUnits, Role
from tests.server.form_page import BROWSER, FormPage
from tests.server.world import Service


@pytest.fixture
def office(service: Service, farm: str) -> Service:
    """An owner is signed in."""
    service.open_office(farm, Role.OWNER)
    return service


def shown(office: Service, path: str) -> str:
    answer = office.client.get(path, headers=BROWSER)
    assert answer.status_code == 200, answer.text
    return answer.text


def records(service: Service, farm: str, kind: str) -> list[dict[str, Any]]:
    table = table_of(PROJECTIONS[kind])
    with reading(service.engine) as connection:
        return [dict(row) for row in connection.execute(select(table).where(table.c.farm_id == farm)).mappings()]


def paste(office: Service, part: str, *lines: str, **more: str) -> httpx2.Response:
    return office.send_form(f"/setup/{part}/csv", text="\r\n".join(lines), **more)


def told(page: str) -> str:
    """The words of a page without its marks, gaps as one."""
    return " ".join(re.sub(r"<[^>]*>", " ", page).split())


# adding


def test_a_bed_is_added_in_feet_and_kept_in_millimetres(office: Service, farm: str) -> None:
    answer = FormPage(office, "/setup/beds").send(name="West 1", length_mm="100", rows="3", row_spacing_mm="9.5")

    assert answer.headers["location"] == "/setup/beds?done=saved"
    (bed,) = records(office, farm, "bed")
    assert (bed["name"], bed["length_mm"], bed["rows"], bed["row_spacing_mm"]) == ("West 1", 30_480, 3, 241)
    assert f'<a href="/log/bed/{bed["id"]}">West 1</a>' in shown(office, "/setup/beds")


def test_in_metres_where_the_farm_says_metres(office: Service, farm: str) -> None:
    edit(office.engine, farm, "farm", farm, {"units": LengthUnits.METRES}, None, office.world.time)
    office.client.cookies.set("rowend_language", "es")

    FormPage(office, "/setup/beds").send(name="Oeste 1", length_mm="30,5", rows="3")

    (bed,) = records(office, farm, "bed")
    assert bed["length_mm"] == 30_500


def test_what_is_missing_is_asked_for_beside_its_field(office: Service, farm: str) -> None:
    answer = FormPage(office, "/setup/beds").send(block="West", rows="0")

    assert answer.status_code == 422
    assert 'id="rows-problem">write a number from 1 to 1,000<' in answer.text
    assert 'value="West"' in answer.text
    answer = FormPage(office, "/setup/beds").send(block="West", rows="3")
    assert 'id="name-problem">this cannot be left empty<' in answer.text
    assert records(office, farm, "bed") == []


def test_a_plan_names_a_bed_and_a_sowing(office: Service, farm: str) -> None:
    FormPage(office, "/setup/beds").send(name="West 1", length_mm="100", rows="3")
    FormPage(office, "/setup/sowings").send(crop="Onion", variety="Varna", spacing_mm="2", label_germination="92")
    bed, sowing = records(office, farm, "bed")[0]["id"], records(office, farm, "sowing")[0]

    FormPage(office, "/setup/plantings").send(bed=bed, sowing=sowing["id"], planned_on="2026-05-20")

    (planting,) = records(office, farm, "planting")
    assert (planting["bed"], planting["sowing"], str(planting["planned_on"])) == (bed, sowing["id"], "2026-05-20")
    assert (sowing["spacing_mm"], sowing["label_germination"]) == (50.8, 0.92)
    assert "Onion Varna, West 1" in shown(office, "/setup/plantings")


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
    owners = shown(office, "/setup/farm")
    office.open_office(farm, Role.GROWER)

    pages = shown(office, "/setup"), shown(office, "/setup/farm")
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
    assert office.client.get(path, headers=BROWSER).status_code == 404


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
    log = told(shown(office, "/log"))
    assert "Longest turn, in minutes: 20 → as usual" in log
    assert "Wettest that is fit: as usual → wet" in log


def test_each_limit_says_what_is_usual_and_where_that_is_from(office: Service) -> None:
    page = told(shown(office, "/setup/farm"))

    assert (
        "A longer time between two rows is a break, and counts in no rate. Usual: 30 (common practice, no source)."
        in page
    )
    assert "Driest that is fit A drier bed must wait. Usual: slightly moist (common practice, no source)." in page
    assert page.count("common practice, no source") == 18


def test_limits_that_contradict_each_other_are_refused(office: Service, farm: str) -> None:
    answer = FormPage(office, "/setup/farm").send(limit__residue_wait_pct="40", name="Other")

    assert answer.status_code == 422
    assert "it must not be more than: Residue that can be cleared" in answer.text
    assert 'value="40"' in answer.text
    (kept,) = records(office, farm, "farm")
    assert (kept["name"], kept["thresholds"]) == ("Heronbrook", {})


def test_the_farms_clock_and_place_are_set(office: Service, farm: str) -> None:
    FormPage(office, "/setup/farm").send(zone="America/Chicago", latitude="42.6", longitude="-73.7", limit__seed="0.02")

    (kept,) = records(office, farm, "farm")
    assert (kept["zone"], kept["latitude"], kept["longitude"], kept["prices"]) == (
        "America/Chicago",
        42.6,
        -73.7,
        {"seed": 0.02},
    )


# tables


def test_a_table_is_looked_at_first_and_saved_when_that_is_asked_for(office: Service, farm: str) -> None:
    lines = "name,block,length_ft,rows", "West 1,West,100,3", "West 2,West,80.5,3"
    looked = paste(office, "beds", *lines)
    before = records(office, farm, "bed")

    saved = paste(office, "beds", *lines, save="1")

    assert (looked.status_code, before) == (200, [])
    assert "2 lines would be saved" in looked.text
    assert saved.headers["location"] == "/setup/beds?done=saved"
    assert {bed["name"]: bed["length_mm"] for bed in records(office, farm, "bed")} == {
        "West 1": 30_480,
        "West 2": round(80.5 * MM_PER_FOOT),
    }


def test_each_wrong_line_is_told_with_its_number_its_column_and_what_to_do(office: Service, farm: str) -> None:
    answer = paste(
        office,
        "beds",
        "name,length_ft,rows,texture",
        "West 1,100,3,medium",
        "West 2,long,3,",
        ",80,0,mud",
        "West 4,80",
        "west 1,90,3,",
        save="1",
    )

    page = told(answer.text)
    assert answer.status_code == 422
    assert "4 lines cannot be saved yet; nothing was saved" in page
    assert "Line 3: West 2 column length_ft: write a number in figures" in page
    assert "Line 4 column rows: write a number from 1 to 1,000 column texture: write one of: coarse, fine" in page
    assert "Line 5: West 4 it has 2 cells under 4 headings" in page
    assert "Line 6: west 1 line 2 is about the same" in page
    assert "West 2,long,3," in answer.text
    assert records(office, farm, "bed") == []


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "Paste the headings in the first line"),
        ("name,rows\nWest 1,3", "these columns are missing: length_mm"),
        ("name,length_ft,rows,colour\nWest 1,100,3,red", "column colour: no column is called that"),
        ("name,length_ft,length_m,rows\nWest 1,100,3,3", "column length_m: it stands there twice"),
        ('name,length_ft,rows\n"West 1,100,3', "a quotation mark is not closed"),
    ],
)
def test_a_table_that_cannot_be_read_says_why(office: Service, text: str, reason: str) -> None:
    answer = paste(office, "beds", text, save="1")

    assert answer.status_code == 422
    assert reason in told(answer.text)


def test_pasting_twice_adds_nothing_twice(office: Service, farm: str) -> None:
    paste(office, "beds", "name;length_m;rows", "West 1;30;3", save="1")

    same = paste(office, "beds", "name;length_m;rows", "West 1;30;3")
    other = paste(office, "beds", "Name\tLength\tRows", "West 1\t100\t3", save="1")

    assert "All of it is here already" in same.text
    assert other.status_code == 303
    assert [bed["length_mm"] for bed in records(office, farm, "bed")] == [30_480]


def test_an_exported_table_comes_back_as_it_was(office: Service) -> None:
    FormPage(office, "/setup/beds").send(name="=West", length_mm="100", rows="3", texture="fine", retired="yes")
    table = office.client.get("/v1/export/bed.csv").text.replace(",voided", "").replace(",false\r", "\r")

    assert "All of it is here already" in paste(office, "beds", *table.splitlines()).text


def test_weather_is_pasted_by_day(office: Service, farm: str) -> None:
    paste(office, "weather", "on,rain_in,t_min_f,t_max_f", "2026-05-12,0.5,50,68", "2026-05-13,,41,59", save="1")
    paste(office, "weather", "on,rain_mm", "2026-05-13,4", save="1")
    wrong = paste(office, "weather", "on,t_min_c,t_max_c", "12/5/2026,9,19", "2026-05-14,20,10")

    days = {str(day["on"]): (day["rain_mm"], day["t_min_c"]) for day in records(office, farm, "weather")}
    assert days == {"2026-05-12": (12.7, 10.0), "2026-05-13": (4.0, 5.0)}
    assert "Line 2 column on: write a day like 2026-05-14" in told(wrong.text)
    assert "column t_max_c: the warmest is colder than the coldest" in told(wrong.text)


def test_a_file_can_be_sent_instead(office: Service, farm: str) -> None:
    answer = office.client.post(
        "/setup/sowings/csv",
        data={"form_token": office.form_token(), "save": "1", "text": ""},
        files={"file": ("sowings.csv", "\ufeffcode,crop,spacing_in\r\nON-1,Onion,2\r\n".encode(), "text/csv")},
        headers=BROWSER,
        follow_redirects=False,
    )

    assert answer.status_code == 303, answer.text
    assert [(each["code"], each["spacing_mm"]) for each in records(office, farm, "sowing")] == [("ON-1", 50.8)]
