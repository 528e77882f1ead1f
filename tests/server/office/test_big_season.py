"""A season of two hundred beds: pages ask the database little, and are no bigger than a browser likes."""

import pytest

from tests.server.support.office import get_page
from tests.server.support.service import Service
from tests.shared_models.reports.support.big_season import BEDS, big_season, questions
from tests.shared_models.reports.support.farmbook import FarmBook

#: bytes; 200 beds stand in several tables of one page
BIGGEST = 1_500_000


@pytest.fixture
def big(office: Service, farm: str) -> FarmBook:
    book = FarmBook(office.engine, id=farm)
    big_season(book)
    return book


@pytest.mark.usefixtures("big")
@pytest.mark.parametrize(
    ("path", "most"),
    [
        ("/season", 30),
        ("/pace?by=bed", 30),
        ("/stand", 40),
        ("/soil", 30),
        ("/plan", 30),
        ("/misses", 30),
        ("/bed/Bed 7", 50),
    ],
)
def test_a_page_asks_little_and_stays_small(office: Service, path: str, most: int) -> None:
    with questions(office.engine) as asked:
        page = get_page(office, path)

    assert len(asked) <= most
    assert len(page.encode()) < BIGGEST
    if not path.startswith("/bed"):
        assert f"Bed {BEDS}" in page


@pytest.mark.usefixtures("big")
def test_more_beds_than_a_picture_holds_are_told(office: Service) -> None:
    assert f"{BEDS - 40} more beds are not in the picture. Choose one to see it." in get_page(office, "/soil")
