"""The office's pages after the scripted day, on a small phone, a desk and paper."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from datetime import UTC, datetime, time
from pathlib import Path
from typing import TYPE_CHECKING

from mobile.fieldday import FIRST_DAY, script
from server.office_keys import fresh_key
from shared_models.store import writing
from tests.bench.loopback import serving
from tests.fixtures.browser import FLAGS
from tests.fixtures.programs import program
from tests.journeys.barn import Barn, FieldPhone

if TYPE_CHECKING:
    from playwright.sync_api import Browser

PAGES = {"day": "/", "methods": "/methods"}
WIDTHS = (360, 1280)


def take(folder: Path) -> Iterator[Path]:
    """Every page at every width."""
    from playwright.sync_api import sync_playwright  # noqa: PLC0415 - only here

    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as home, sync_playwright() as playwright:
        barn = _after_the_day(Path(home))
        chromium = playwright.chromium.launch(executable_path=program("chromium", "chromium"), args=FLAGS)
        with serving(barn.app) as address:
            yield from _pages(chromium, address, _key(barn), folder)
        chromium.close()


def _after_the_day(home: Path) -> Barn:
    barn = Barn(home / "barn")
    field = FieldPhone.paired(barn, home / "phone", seed=1, now=datetime.combine(FIRST_DAY, time(10), UTC))
    for _ in script(field.phone):
        pass
    field.reopen(barn)
    field.courier.sync()
    return barn


def _key(barn: Barn) -> str:
    with writing(barn.engine, barn.farm) as connection:
        return fresh_key(connection, barn.farm, barn.surroundings.token())


def _pages(chromium: Browser, address: str, key: str, folder: Path) -> Iterator[Path]:
    for width in WIDTHS:
        tab = chromium.new_page(viewport={"width": width, "height": 800})
        tab.goto(f"{address}/enter/{key}")
        for name, path in PAGES.items():
            tab.goto(address + path)
            picture = folder / f"office-{width}-{name}.png"
            tab.screenshot(path=picture, full_page=True)
            yield picture
        tab.close()
