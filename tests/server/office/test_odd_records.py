"""Records that no honest program writes, but any paired phone may send: each page shows them, and goes on showing."""

from typing import Any

import pytest

from tests.server.support.service import Service
from tests.shared_models.reports.support.farmbook import FarmBook, HandDay

HALF_A_LETTER = "\ud800"
ODD: list[tuple[str, dict[str, Any]]] = [
    ("row_pass", {"planting": ["a"], "row": {"n": 1}, "crew": {"x": 1}, "started_at": 7, "note": HALF_A_LETTER}),
    ("planting", {"bed": {"id": 1}, "sowing": [1], "planned_on": True}),
    ("soil_check", {"bed": 5, "at": [], "soil_c": -90}),
    ("stand_count", {"planting": None, "positions_mm": "all", "row": HALF_A_LETTER}),
    ("weather", {"on": True}),
    ("weather", {"on": {"day": 1}, "rain_mm": "much"}),
    ("person", {"name": [HALF_A_LETTER], "role": 3}),
    ("bed", {"name": {"en": "West"}, "length_mm": "long", "block": 4, "rows": -1}),
    ("sowing", {"crop": 1, "spacing_mm": 1e-300, "sown_on": "9999-12-31"}),
]


@pytest.mark.parametrize(("kind", "fields"), ODD)
def test_an_odd_record_takes_no_page_away(service: Service, farm: str, kind: str, fields: dict[str, Any]) -> None:
    day = HandDay(FarmBook(service.engine, id=farm))
    record = day.book.flag(kind, **fields)
    service.open_office(farm)

    paths = ["/", "/log", f"/log/{kind}/{record}", "/plan", "/soil", "/season", "/setup", f"/record/{day.north}"]
    answers = {path: service.client.get(path, headers={"Accept": "text/html"}).status_code for path in paths}

    assert answers == dict.fromkeys(paths, 200)


@pytest.mark.parametrize("odd", [7, ["spare"], {"spare_share": "many", "stale_h": None, "odd": [1]}])
def test_odd_limits_of_the_farm_are_shown_and_can_be_set_right(service: Service, farm: str, odd: Any) -> None:
    book = FarmBook(service.engine, id=farm)
    book.farm(thresholds={}, prices={})
    book.tell("farm", farm, thresholds=odd, prices=odd)
    service.open_office(farm)

    paths = ["/", "/log", "/setup/farm", f"/log/farm/{farm}", "/season"]
    answers = {path: service.client.get(path, headers={"Accept": "text/html"}).status_code for path in paths}

    assert answers == dict.fromkeys(paths, 200)
