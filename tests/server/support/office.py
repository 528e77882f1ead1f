"""A signed-in office on the evening of the hand day, and that day with further entries of the season."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime

import pytest
from playwright.sync_api import Locator, Page

from tests.server.support.service import BROWSER, Service
from tests.shared_models.reports.support.farmbook import FarmBook, HandDay

EVENING = datetime(2026, 5, 4, 22, 0, tzinfo=UTC)
#: a plant every 2 in on 20 in of tape, one missing at 8 in, two close together at 16 in
TAPE_MM = [0, 51, 102, 152, 254, 305, 356, 406, 411, 457]


@pytest.fixture
def office(service: Service, farm: str) -> Service:
    """A service whose client is signed in as owner, on the evening of the hand day."""
    service.fakes.time = EVENING
    service.open_office(farm)
    return service


@pytest.fixture
def hand_day(office: Service, farm: str) -> HandDay:
    return HandDay(FarmBook(office.engine, id=farm))


@pytest.fixture
def address(page: Page, office: Service, farm: str) -> Iterator[str]:
    with office.served_to(page, farm) as address:
        yield address


@dataclass
class FullDay:
    """The hand day with soil checks, weather, trays, counts, a plan, wages and prices."""

    hand: HandDay

    def __post_init__(self) -> None:
        hand, book = self.hand, self.hand.book
        book.farm(
            latitude=42.6,
            longitude=-73.7,
            plug_tray_plants_per_person_hour=400,
            prices={"hour": 20.0, "seed": 0.01, "chain_per_tray": 4.0, "mix_per_tray": 1.5, "plug": 0.03},
        )
        book.change("person", hand.ana, wage_per_hour=30.0)
        book.change("bed", hand.south, texture="medium")
        self.sowing = book.add(
            "sowing", crop="Onion", spacing_mm=50.8, code="O2", sown_on="2026-03-20", trays=12, seed_lot="L-7"
        )
        book.add(
            "tray_check", sowing=self.sowing, on="2026-05-02", cells_seen=264, cells_empty=9, leaves=3, roots_hold=True
        )
        self.later_onions = book.add("planting", bed=hand.north, sowing=self.sowing, planned_on="2026-05-20")
        at = hand.later(7)
        book.add(
            "soil_check", bed=hand.north, at=at.isoformat(), feel="moist", residue_pct=5, stones="few", clods="none"
        )
        book.add("soil_check", bed=hand.south, at=hand.later(-40).isoformat(), feel="moist")
        book.add("soil_check", bed=hand.south, at=hand.later(8).isoformat(), feel="wet", note="west end soft")
        for day, rain in ((1, 0.0), (2, 12.0), (3, 0.0), (4, 0.0)):
            book.add("weather", on=f"2026-05-0{day}", rain_mm=rain, t_min_c=8.0, t_max_c=19.0)
        book.add("weather", on="2026-05-04", t_max_c=33.0, humidity_pct=50)
        counted = {"planting": hand.onions, "at": hand.later(14).isoformat(), "row": 1}
        book.add("stand_count", sample_length_mm=3048, plants=57, **counted)
        book.add("stand_count", sample_length_mm=508, plants=10, positions_mm=TAPE_MM, **counted)
        self.odd = book.row(hand.leeks, 2, "9:20", "9:40", [hand.cy], misses=19, note="chain slipped")

    @property
    def paths(self) -> dict[str, str]:
        hand = self.hand
        return {
            "day": "/",
            "pace": "/pace",
            "pace by hour": "/pace?by=hour&first=08:00&second=09:00",
            "stand": "/stand",
            "soil": "/soil",
            "soil of one bed": f"/soil?bed={hand.south}",
            "bed": f"/bed/{hand.north}",
            "other bed": f"/bed/{hand.south}",
            "sowing": f"/sowing/{self.sowing}",
            "season": "/season",
            "plan": "/plan",
            "misses": "/misses",
        }


@pytest.fixture
def full_day(hand_day: HandDay) -> FullDay:
    return FullDay(hand_day)


def get_page(office: Service, path: str = "/", language: str = "en") -> str:
    answer = office.client.get(path, headers=BROWSER | {"Accept-Language": language})
    assert answer.status_code == 200, answer.text
    return answer.text


def fits(page: Page) -> bool:
    return bool(page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"))


def cells(table: Locator, row: str) -> list[str]:
    """What is shown in a row of a table, without the headings that stand beside the cells on a narrow screen."""
    found = table.get_by_role("row").filter(has=table.page.get_by_role("rowheader", name=row)).get_by_role("cell")
    return [str(cell.evaluate("cell => cell.lastChild.data.trim()")) for cell in found.all() if cell.is_visible()]
