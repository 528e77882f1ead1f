"""The planting record of a bed: everything an inspector asks, and what was corrected, with the logs' digests."""

import re
from pathlib import Path

import pytest
from playwright.sync_api import Page
from sqlmodel import Session

from server.cli import main as cli
from server.exports.feeds.planting_record import BedRecord, bed_record
from server.farms.edits import edit
from server.web.language import LANGUAGE_COOKIE
from shared_models.log.store import reading
from shared_models.reports.common.context import ReportContext
from tests.fixtures.axe import grave_findings
from tests.server.support.service import Service
from tests.shared_models.reports.support.farmbook import FarmBook, HandDay


@pytest.fixture
def hand_day(service: Service, farm: str) -> HandDay:
    """The hand day, with seed lots, a soil check, a count, and a row that was corrected in the office."""
    day = HandDay(FarmBook(service.engine, id=farm))
    sowing = day.book.add("sowing", crop="Onion", spacing_mm=50.8, variety="Varna", code="O1", seed_lot="LOT-7",
                          supplier="Hill Seeds", sown_on="2026-03-02", trays=5)  # fmt: skip
    day.book.change("planting", day.onions, sowing=sowing, note="<b>windy</b>")
    for hours, feel in ((6, "moist"), (20, "wet")):
        at = day.later(hours).isoformat()
        day.book.add("soil_check", bed=day.north, at=at, feel=feel, residue_pct=5, stones="none", clods="none")
    count = {"at": day.later(240).isoformat(), "row": 1, "sample_length_mm": 3048, "plants": 57}
    day.book.add("stand_count", planting=day.onions, **count)
    edit(service.engine, farm, "row_pass", day.second, {"length_mm": 30_000, "crew": [day.ana, day.cy]}, day.ben,
         service.fakes.time)  # fmt: skip
    service.open_office(farm)
    return day


def record_page(service: Service, bed: str) -> str:
    answer = service.client.get(f"/record/{bed}", headers={"Accept": "text/html"})
    assert answer.status_code == 200, answer.text
    return answer.text


def record(service: Service, day: HandDay) -> BedRecord:
    with reading(service.engine) as connection, Session(connection) as session:
        return bed_record(ReportContext.of(session, day.book.id), day.north, service.fakes.time)


def plain(html: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html))


@pytest.mark.usefixtures("hand_day")
def test_it_tells_from_seed_lot_to_stand(service: Service) -> None:
    page = plain(record_page(service, "Bed 1"))

    for each in (
        "Bed 1 (North)", "Variety Varna", "Seed lot LOT-7", "Supplier Hill Seeds", "Sown on Mar 2, 2026",
        "Planted May 4, 2026", "1 May 4, 2026 8:00 AM 8:12 AM 100.0", "Ana, Ben 0 0 0", "May 4, 2026, 6:00 AM: ready",
        "May 14, 2026 10 1 57 60 95.0", "&lt;b&gt;windy",
    ):  # fmt: skip
        assert each in page, each
    assert "8:00 PM" not in page.partition("Corrections")[0]  # the soil check after planting


def test_it_tells_what_was_corrected_by_whom_and_where(service: Service, hand_day: HandDay) -> None:
    page = plain(record_page(service, hand_day.north))

    row = "May 14, 2026, 8:00 AM or before Row: Onion Varna (O1), Bed 1 (North), row 2"
    assert f"{row} Length 100 ft 98.425 ft Ben the office 2" in page
    assert f"{row} Crew Ana, Ben Ana, Cy Ben the office 2" in page
    assert "Planting: Onion Varna (O1), Bed 1 (North) Sowing" in page


def test_it_carries_the_digest_of_each_log_it_stands_in(service: Service, hand_day: HandDay) -> None:
    page, holds = record_page(service, "Bed 1"), service.holds(hand_day.book.id)

    assert len(holds) == 2
    for device, (seq, digest) in holds.items():
        assert f"<td>{device}</td><td>{seq}</td><td>{digest}</td>" in page


def test_deleted_and_flagged_entries_are_listed(service: Service, hand_day: HandDay) -> None:
    hand_day.book.change("row_pass", hand_day.first, voided=True)
    hand_day.book.flag("soil_check", bed=hand_day.north, at="noon")

    page = plain(record_page(service, "Bed 1"))

    assert "Row: Onion Varna (O1), Bed 1 (North), row 1 deleted" in page
    assert "Soil check: Bed 1 (North) Checked at: enter day and time like" in page
    assert [row.row for crop in record(service, hand_day).plantings for row in crop.rates.rows] == [2]


def test_a_bed_with_nothing_in_it_says_so(service: Service, hand_day: HandDay) -> None:
    hand_day.book.bed("Fallow", latitude=42.4, longitude=-73.5, retired=True)

    page = plain(record_page(service, "Fallow"))

    assert "Nothing is planned or planted" in page
    assert "42.400000, -73.500000" in page
    assert "no longer planted" in page
    assert "No entry was changed" in page


def test_planned_but_not_planted_is_told(service: Service, hand_day: HandDay) -> None:
    bed = hand_day.book.bed("East")
    hand_day.book.add("planting", bed=bed, sowing=hand_day.book.new_id(), planned_on="2026-06-01")

    page = plain(record_page(service, "East"))

    assert "Planned for Jun 1, 2026" in page
    assert "Soil before planting not checked Planted not yet" in page
    assert "No row is logged." in page


def test_it_talks_the_inspectors_language(service: Service, hand_day: HandDay) -> None:
    service.client.cookies.set(LANGUAGE_COOKIE, "es")

    page = record_page(service, hand_day.north)

    assert '<html lang="es">' in page
    for each in (
        "Registro de plantación: Bed 1 (North)", "Lote de semilla LOT-7", "Sembrada el 2 mar 2026",
        "hilera 2 Largo 100 pies 98.425 pies Ben la oficina 2", "Impreso el 14 may 2026, 8:00 a.m.",
    ):  # fmt: skip
        assert each in plain(page), each


@pytest.mark.usefixtures("hand_day")
def test_strangers_other_farms_and_unknown_beds_get_none(service: Service) -> None:
    assert service.client.get("/record/Bed 9").status_code == 404
    service.open_office(service.make_farm("Oak Hollow"))
    assert service.client.get("/record/Bed 1").status_code == 404
    service.client.cookies.clear()
    assert service.client.get("/record/Bed 1").status_code == 401


def test_the_command_writes_the_same_page(service: Service, hand_day: HandDay, tmp_path: Path) -> None:
    out = tmp_path / "north.html"

    assert cli.run(["export", "--record", "Bed 1", "--out", str(out), "--data", str(tmp_path)]) == 0
    assert cli.run(["export", "--record", "Bed 9", "--out", str(out), "--data", str(tmp_path)]) == 2

    shown = record_page(service, hand_day.north)
    assert out.read_text().partition("Printed")[0] == shown.partition("Printed")[0]
    words = ["--record", "Bed 1", "--language", "es", "--out", str(out), "--data", str(tmp_path)]
    assert cli.run(["export", *words]) == 0
    assert "Registro de plantación" in out.read_text()


def test_in_a_browser_it_is_black_on_white_and_fits_a_phone(service: Service, hand_day: HandDay, page: Page) -> None:
    """It brings its own style and takes nothing from elsewhere; to the keyboard each table is a place to scroll."""
    with service.served_to(page, hand_day.book.id) as address:
        asked: list[str] = []
        page.on("request", lambda request: asked.append(request.url))
        page.goto(f"{address}/record/{hand_day.north}")

    assert [url for url in asked if not url.startswith("data:")] == [f"{address}/record/{hand_day.north}"]
    assert style(page, "body", "color") == "rgb(0, 0, 0)"
    assert style(page, "body", "backgroundColor") == "rgb(255, 255, 255)"
    assert style(page, "dl", "display") == "grid"
    assert page.get_by_role("heading", level=1).inner_text() == "Planting record: Bed 1 (North)"
    assert page.get_by_role("region", name="Rows").count() == 1
    page.set_viewport_size({"width": 360, "height": 800})
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    assert grave_findings(page) == []


def style(page: Page, element: str, name: str) -> str:
    value: str = page.evaluate("([element, name]) => getComputedStyle(document.querySelector(element))[name]",
                              [element, name])  # fmt: skip
    return value
