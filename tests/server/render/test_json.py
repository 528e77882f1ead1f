"""The reports over HTTP: the same figures as by hand, with their units in the names, and only for those of the farm."""

from typing import Any

import httpx2
import pytest
from pydantic import BaseModel

from server.render.json.plan import PlannedOut
from server.render.json.rates import RowOut
from server.render.json.stands_and_soil import PlantingOut
from tests.server.support.service import Service
from tests.shared_models.reports.support.big_season import big_season
from tests.shared_models.reports.support.farmbook import FT, FarmBook, HandDay


@pytest.fixture
def hand_day(service: Service, farm: str) -> HandDay:
    service.open_office(farm)
    return HandDay(FarmBook(service.engine, id=farm))


def get(service: Service, path: str, **asked: str) -> Any:
    answer = service.client.get(f"/v1/{path}", params=asked)
    assert answer.status_code == 200, answer.text
    return answer.json()


def refusal(answer: httpx2.Response, status: int) -> str:
    assert answer.status_code == status, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    detail: str = answer.json()["detail"]
    return detail


@pytest.mark.usefixtures("hand_day")
def test_rates_carry_their_units_and_are_not_rounded(service: Service) -> None:
    told = get(service, "rates", by="hour", day="2026-05-04")

    # 8:00: 250 ft in 45 min of field time, 42 of them row and stop time
    first = told["lines"][0]
    assert first["label"] == "08:00"
    assert first["length_ft"] == pytest.approx(250)
    assert first["effective_ft_per_h"] == pytest.approx(250 / 0.75)
    assert first["effective_mm_per_h"] == pytest.approx(250 / 0.75 * FT)
    assert told["stops"] == [{"reason": "tray_change", "seconds": 180, "count": 1}]
    assert told["rows"] == []


def test_by_row_each_row_comes_with_what_was_logged(service: Service, hand_day: HandDay) -> None:
    hand_day.book.row(hand_day.leeks, 2, "9:20", None, [hand_day.cy])

    told = get(service, "rates", by="row")

    second = told["rows"][1]
    assert (second["id"], second["crew"], second["misses"]) == (hand_day.second, ["Ana", "Ben"], 6)
    assert (second["start"], second["end"]) == ("2026-05-04T12:15:00Z", "2026-05-04T12:30:00Z")
    assert (second["duration_s"], second["stop_time_s"], second["turn_time_s"]) == (900, 180, 180)
    assert [row["issues"] for row in told["not_counted"]] == [["It was started but not ended."]]


@pytest.mark.usefixtures("hand_day")
def test_what_cannot_be_told_is_null(service: Service) -> None:
    told = get(service, "rates", day="2026-05-05")

    assert told["lines"] == []
    assert told["total"]["effective_mm_per_h"] is None


@pytest.mark.usefixtures("hand_day")
def test_bed_and_planting_are_asked_for_by_name(service: Service) -> None:
    assert get(service, "rates", bed="Bed 2")["total"]["rows"] == 1
    assert get(service, "rates", planting="O1")["total"]["rows"] == 2


def test_stands_carry_their_interval(service: Service, hand_day: HandDay) -> None:
    book = hand_day.book
    at = hand_day.later(240).isoformat()
    book.add("stand_count", planting=hand_day.onions, at=at, row=1, sample_length_mm=3048, plants=57)

    told = get(service, "stands", planting=hand_day.onions)

    (onions,) = told["plantings"]
    assert onions["planted_stand"] == pytest.approx(1196 / 1200)
    assert onions["to_fill"] == [{"row": 2, "misses": 6, "filled": 2, "to_fill": 4}]
    assert onions["spares"] == 5
    (count,) = onions["counts"]
    assert count["proportion"] == pytest.approx(0.95)
    assert count["low"] < 0.95 < count["high"]
    assert [bed["label"] for bed in told["beds"]] == ["Bed 1 (North)"]


def test_soil_tells_the_verdict_the_limiting_factor_and_the_history(service: Service, hand_day: HandDay) -> None:
    at = hand_day.later(7).isoformat()
    hand_day.book.add("soil_check", bed=hand_day.north, at=at, feel="wet", note="west end")

    north, south = get(service, "soil")["beds"]

    assert (north["now"]["readiness"], north["now"]["limiting_factor"]) == ("wait", "moisture")
    assert [(check["feel"], check["note"]) for check in north["checks"]] == [("wet", "west end")]
    assert north["stale"]  # the service's day is 14 May
    assert south["now"] is None


def test_beds_and_plantings_are_listed(service: Service, hand_day: HandDay) -> None:
    hand_day.book.add("planting", bed=hand_day.south, sowing=hand_day.book.new_id())

    beds, plantings = get(service, "beds"), get(service, "plantings")

    assert [bed["name"] for bed in beds] == ["Bed 1", "Bed 2"]
    assert [each["crop"] for each in plantings] == ["Leek", "Onion", None]
    assert plantings[1]["spacing_mm"] == 50.8


@pytest.mark.parametrize(
    ("asked", "status", "told"),
    [
        ({"by": "moon"}, 422, "by:"),
        ({"day": "yesterday"}, 422, "day:"),
        ({"day": "9999-12-31"}, 422, "between the years"),
        ({"day": "2026-05-04", "since": "2026-05-01"}, 422, "without since and until"),
        ({"since": "2026-05-04", "until": "2026-05-01"}, 422, "2026-05-04 or later"),
        ({"bed": "Bed 77"}, 404, "no bed Bed 77"),
        ({"planting": "O9"}, 404, "no planting O9"),
    ],
)
@pytest.mark.usefixtures("hand_day")
def test_bad_questions_get_a_clear_problem(service: Service, asked: dict[str, str], status: int, told: str) -> None:
    assert told in refusal(service.client.get("/v1/rates", params=asked), status)


@pytest.mark.parametrize("path", ["rates", "stands", "soil", "beds", "plantings"])
def test_a_stranger_gets_no_report(service: Service, path: str) -> None:
    refusal(service.client.get(f"/v1/{path}"), 401)


@pytest.mark.parametrize("path", ["rates", "stands", "soil", "beds", "plantings"])
def test_one_farm_never_sees_another_farms_records(service: Service, hand_day: HandDay, path: str) -> None:
    other = service.make_farm("Alder Lane")
    service.open_office(other)

    assert hand_day.north not in service.client.get(f"/v1/{path}").text


def test_a_phone_may_ask_too(service: Service, hand_day: HandDay) -> None:
    phone = service.phone(hand_day.book.id)
    service.client.cookies.clear()

    answer = service.client.get("/v1/rates", headers={"Authorization": f"Bearer {phone.bearer}"})

    assert answer.json()["total"]["rows"] == 3


def test_postgresql_gives_the_same_answers(any_service: Service) -> None:
    """The hand day once more, on a database of each kind."""
    farm = any_service.make_farm()
    any_service.open_office(farm)
    day = HandDay(FarmBook(any_service.engine, id=farm))
    day.book.add("soil_check", bed=day.north, at=day.later(7).isoformat(), feel="wet")

    rates = get(any_service, "rates", by="person", day="2026-05-04")
    stands, soil = get(any_service, "stands", day="2026-05-04"), get(any_service, "soil")

    assert [line["ft_per_person_h"] for line in rates["lines"]] == pytest.approx([200, 200, 200])
    assert [stand["misses"] for stand in stands["plantings"]] == [6, 0]
    assert soil["beds"][0]["checks"][0]["verdict"]["limiting_factor"] == "moisture"
    assert any_service.client.get("/").status_code == 200


def test_every_figure_is_described_in_openapi(service: Service) -> None:
    schemas = service.app.openapi()["components"]["schemas"]

    rate, stand = schemas["RateOut"]["properties"], schemas["RoundOut"]["properties"]
    assert all("description" in figure for figure in rate.values())
    assert stand["low"]["description"].startswith("Lower end of the 95% interval")


def test_what_is_known_is_not_left_out(service: Service, farm: str) -> None:
    """A figure that may be missing is null where its record is; its path through the report must still be right."""
    book = FarmBook(service.engine, id=farm)
    book.farm(thresholds={"mix_l_per_tray": 3.0})
    big_season(book)
    ready = {"ready_from": "2026-06-15", "ready_until": "2026-06-30"}
    sown = {"crop": "Kale", "variety": "Red", "seed_lot": "K-1", "spacing_mm": 100, "sown_on": "2026-05-01"}
    book.add("planting", bed=book.bed("New"), sowing=book.add("sowing", **sown, **ready), planned_on="2026-06-20")
    service.open_office(farm)
    answers: list[tuple[type[BaseModel], Any]] = [
        (PlannedOut, get(service, "plan", since="2026-06-01", until="2026-07-01")["plantings"]),
        (RowOut, get(service, "rates", by="row")["rows"]),
        (PlantingOut, get(service, "plantings")),
    ]

    for model, found in answers:
        optional = {name for name, field in model.model_fields.items() if not field.is_required()}
        assert {name for name in optional if all(each[name] is None for each in found)} == set()
