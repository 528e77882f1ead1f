"""The office's pages after the scripted day: on a small phone, a desk and paper, in both languages."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from datetime import UTC, datetime, time, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from sqlmodel import Session, col, select
from starlette.testclient import TestClient

from mobile.demo.story import DAY, FIRST_DAY, script
from server.app import create_app
from server.cli.demo import FARM_FIELDS
from server.farms.phones import phones_of
from server.runtime.settings import Settings
from server.web.language import LANGUAGE_COOKIE
from shared_models.log.store import reading
from shared_models.records.tables import Bed, RowPass, Sowing, StandCount
from tests.fixtures.browser import FLAGS
from tests.fixtures.programs import program
from tests.journeys.support.farm_service import FarmService, FieldPhone
from tests.server.support.service import ADDRESS, FakeProviders, Service

if TYPE_CHECKING:
    from playwright.sync_api import Browser

EVENING = datetime.combine(DAY, time(22), UTC)
PAGES = {
    "day": "/",
    "pace": "/pace",
    "pace-hours": "/pace?by=hour",
    "stand": "/stand",
    "soil": "/soil",
    "bed": "/bed/{bed}",
    "record": "/record/{bed}",
    "sowing": "/sowing/{sowing}",
    "season": "/season",
    "plan": "/plan",
    "misses": "/misses",
    "log": "/log",
    "paper": "/log/proof",
    "entry": "/log/bed/{bed}",
    "setup": "/setup",
    "farm": "/setup/farm",
    "beds": "/setup/beds",
    "table": "/setup/beds/csv",
    "phones": "/phones",
    "undo": "/phones/{phone}/undo",
    "methods": "/methods",
    "method": "/methods/pace.pace",
    "worked-out": "/methods/chain?bed.length=100&bed.rows=5&bed.spacing=2&bed.cells=264",
    "access": "/access",
    "account": "/account",
}
#: what is planned after the day: code, crop, spacing, bed, days ahead, days since it was sown (0: not yet)
AHEAD = (
    ("SC-0401", "scallion", 50.8, "East 1", 8, 43),
    ("LE-0430", "lettuce", 152.4, "West 4", 12, 14),
    ("LE-0507", "lettuce", 152.4, "North 2", 27, 7),
    ("LE-0514", "lettuce", 152.4, "West 2", 41, 0),
    ("SC-0508", "scallion", 50.8, "West 1", 48, 6),
    ("LE-0528", "lettuce", 152.4, "West 4", 55, 0),
    ("LK-0514", "leek", 152.4, "North 2", 48, 0),
)
PLANNED_FOR = {"mix_l_per_tray": 4.5, "trays_sown_per_h": 12, "bench_room_trays": 60, "hours_a_week": 8}
WIDTHS = (360, 1280)
LANGUAGES = ("en", "es")
#: what is left between margins of 12 mm on A4
PAPER = 718


def take(folder: Path) -> Iterator[Path]:
    """Every page at every width in every language, and as it is printed."""
    from playwright.sync_api import sync_playwright  # noqa: PLC0415 - only here

    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as home, sync_playwright() as playwright:
        service, farm = after_the_day(Path(home))
        chromium = playwright.chromium.launch(executable_path=program("chromium", "chromium"), args=FLAGS)
        for language in LANGUAGES:
            for width in WIDTHS:
                yield from _pages(chromium, service, farm, folder, language, width)
        yield from _pages(chromium, service, farm, folder, "en", PAPER, media="print")
        chromium.close()


def after_the_day(home: Path) -> tuple[Service, str]:
    """A service on the evening of the scripted day, and its farm."""
    service = FarmService(home / "barn")
    field = FieldPhone.paired(service, home / "phone", seed=1, now=datetime.combine(FIRST_DAY, time(10), UTC))
    for _ in script(field.phone):
        pass
    field.reopen(service)
    field.sync_client.sync()
    service.edit("farm", service.farm, **FARM_FIELDS)
    _tape_sample(service)
    _correction(service)
    _ahead(service)
    service.edit("weather", service.providers.new_id(), on=DAY.isoformat(), t_max_c=31.5, humidity_pct=45.0)
    fakes = FakeProviders(EVENING)
    app = create_app(Settings.in_directory(home / "barn"), fakes.providers)
    return Service(app, TestClient(app, base_url=ADDRESS), fakes), service.farm


def _tape_sample(service: FarmService) -> None:
    """Ten feet of West 1 with each plant at its place: one missing, two close together."""
    with reading(service.engine) as connection, Session(connection) as session:
        counted = session.exec(select(StandCount).order_by(StandCount.id)).first()
    assert counted is not None  # the day ends with stand counts
    places = [round(50.8 * cell) for cell in range(60) if cell != 21]
    places[40] = places[39] + 9
    told = {"planting": counted.planting, "at": counted.at.isoformat(), "row": 2, "sample_length_mm": 3048}
    service.edit("stand_count", service.providers.new_id(), plants=len(places), positions_mm=places, **told)


def _correction(service: FarmService) -> None:
    """A row of West 1 turns out to have been shorter, and one of its misses filled."""
    with reading(service.engine) as connection, Session(connection) as session:
        row = session.exec(select(RowPass).order_by(col(RowPass.started_at), RowPass.id)).first()
    assert row is not None  # rows were planted that day
    service.edit("row_pass", row.id, length_mm=29_870, filled=min(1, row.misses))


def _ahead(service: FarmService) -> None:
    """Plantings of the weeks to come: sown and not, one too early for its trays, two that want one bed."""
    with reading(service.engine) as connection, Session(connection) as session:
        beds = {bed.name: bed.id for bed in session.exec(select(Bed))}
    service.edit("farm", service.farm, thresholds=PLANNED_FOR)
    for code, crop, spacing_mm, bed, days, sown_days_ago in AHEAD:
        sowing, sown = service.providers.new_id(), DAY - timedelta(days=sown_days_ago) if sown_days_ago else None
        told = {"code": code, "crop": crop, "spacing_mm": spacing_mm, "label_germination": 0.92}
        service.edit("sowing", sowing, **told, sown_on=sown and sown.isoformat(), trays=12 if sown else None)
        on = (DAY + timedelta(days=days)).isoformat()
        service.edit("planting", service.providers.new_id(), bed=beds[bed], sowing=sowing, planned_on=on)


def addresses(service: Service, farm: str) -> dict[str, str]:
    """Every page with a bed and a sowing to look at."""
    with reading(service.engine) as connection, Session(connection) as session:
        bed = session.exec(select(Bed.id).where(Bed.farm_id == farm, Bed.name == "West 1")).one()
        sowing = session.exec(select(Sowing.id).where(Sowing.farm_id == farm, Sowing.code == "SC-0304")).one()
        phone = phones_of(session.connection(), farm)[0].id
    return {name: path.format(bed=bed, sowing=sowing, phone=phone) for name, path in PAGES.items()}


def _pages(
    chromium: Browser, service: Service, farm: str, folder: Path, language: str, width: int, media: str = "screen"
) -> Iterator[Path]:
    tab = chromium.new_page(viewport={"width": width, "height": 800})
    tab.emulate_media(media="print" if media == "print" else "screen")
    with service.served_to(tab, farm) as address:
        tab.context.add_cookies([{"name": LANGUAGE_COOKIE, "value": language, "url": address}])
        for name, path in addresses(service, farm).items():
            tab.goto(address + path)
            size = media if media == "print" else str(width)
            picture = folder / f"office-{language}-{size}-{name}.png"
            tab.screenshot(path=picture, full_page=True)
            yield picture
    tab.close()
