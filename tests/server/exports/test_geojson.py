"""The beds on a map, each with its latest figures."""

from datetime import date
from typing import Any

import pytest

from tests.server.support.service import Service
from tests.shared_models.reports.support.farmbook import FarmBook, HandDay

PLACE = {"latitude": 42.4, "longitude": -73.5}


@pytest.fixture
def hand_day(service: Service, farm: str) -> HandDay:
    service.open_office(farm)
    day = HandDay(FarmBook(service.engine, id=farm))
    day.book.change("bed", day.north, **PLACE)
    return day


def features(service: Service) -> list[Any]:
    answer = service.client.get("/v1/map.geojson")
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"] == "application/geo+json"
    body = answer.json()
    assert body["type"] == "FeatureCollection"
    found: list[Any] = body["features"]
    return found


def test_only_beds_with_a_position_are_on_it_longitude_first(service: Service, hand_day: HandDay) -> None:
    hand_day.book.change("bed", hand_day.book.bed("Gone", **PLACE), voided=True)

    (north,) = features(service)

    assert (north["type"], north["id"]) == ("Feature", hand_day.north)
    assert north["geometry"] == {"type": "Point", "coordinates": [-73.5, 42.4]}


def test_a_bed_carries_the_figures_of_the_reports(service: Service, hand_day: HandDay) -> None:
    book, at = hand_day.book, hand_day.later(7).isoformat()
    book.add("soil_check", bed=hand_day.north, at=at, feel="wet")
    count = {"at": hand_day.later(240).isoformat(), "row": 1, "sample_length_mm": 3048, "plants": 57}
    book.add("stand_count", planting=hand_day.onions, **count)

    figures = features(service)[0]["properties"]

    rate = service.client.get("/v1/rates", params={"by": "planting"}).json()["lines"][0]
    assert (figures["readiness"], figures["stale"], figures["checked_at"]) == ("wait", True, "2026-05-04T11:00:00Z")
    assert figures["readiness_reason"]
    assert (figures["planting"], figures["crop"], figures["planted_until"]) == (hand_day.onions, "Onion", "2026-05-04")
    assert figures["planted_stand"] == pytest.approx(1196 / 1200)
    assert (figures["counted_stand"], figures["counted_on"]) == (pytest.approx(0.95), "2026-05-14")
    assert figures["effective_ft_per_h"] == rate["effective_ft_per_h"]
    assert figures["plants_per_person_h"] == rate["plants_per_person_h"]


def test_the_last_planting_of_a_bed_counts(service: Service, hand_day: HandDay) -> None:
    book, day = hand_day.book, date(2026, 6, 20)
    later = book.planting(hand_day.north, "Lettuce", 203.2)
    book.row(later, 1, book.moment("8:00", day=day), book.moment("8:10", day=day), [hand_day.cy])
    book.planting(hand_day.north, "Leek", 152.4)  # only planned

    figures = features(service)[0]["properties"]

    assert (figures["planting"], figures["planted_from"]) == (later, "2026-06-20")


def test_what_is_not_known_of_a_bed_is_null(service: Service, hand_day: HandDay) -> None:
    hand_day.book.bed("Fallow", **PLACE, retired=True, texture="fine")

    figures = features(service)[1]["properties"]

    assert (figures["name"], figures["retired"], figures["texture"]) == ("Fallow", True, "fine")
    for name in ("readiness", "checked_at", "planting", "planted_stand", "counted_stand", "effective_mm_per_h"):
        assert figures[name] is None


def test_an_empty_farm_has_an_empty_map(service: Service, farm: str) -> None:
    service.open_office(farm)

    assert features(service) == []


def test_map_calendar_and_record_are_described_with_examples(service: Service) -> None:
    paths = service.app.openapi()["paths"]

    for path in ("/v1/map.geojson", "/v1/calendar.ics", "/record/{bed}"):
        content = paths[path]["get"]["responses"]["200"]["content"]
        assert any("example" in media for media in content.values()), path
