"""The farm's calendar, read back as calendar programs read it."""

from datetime import date, timedelta
from pathlib import Path

import pytest
from icalendar import Calendar, Event

from server.cli import main as cli
from tests.server.support.service import Service
from tests.shared_models.reports.support.farmbook import FarmBook, HandDay


@pytest.fixture
def hand_day(service: Service, farm: str) -> HandDay:
    service.open_office(farm)
    return HandDay(FarmBook(service.engine, id=farm))


def events(service: Service, path: str = "/v1/calendar.ics") -> dict[str, Event]:
    answer = service.client.get(path)
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"] == "text/calendar; charset=utf-8"
    calendar = Calendar.from_ical(answer.content)
    assert isinstance(calendar, Calendar)
    assert not calendar.errors
    found = {str(event["uid"]): event for event in calendar.events}
    assert len(found) == len(calendar.events)
    assert not any(event.errors for event in calendar.events)
    return found


def days(event: Event) -> tuple[date, date]:
    """First and last day; the end stands for the day after."""
    begin, end = event.decoded("dtstart"), event.decoded("dtend")
    return begin, end - timedelta(days=1)


def test_a_sowing_stands_on_its_day(service: Service, hand_day: HandDay) -> None:
    fields = {"crop": "Leek", "variety": "Tadorna", "code": "L2", "spacing_mm": 152.4}
    sowing = hand_day.book.add("sowing", **fields, sown_on="2026-06-01", trays=12, seed_lot="7, west; \\ x\nlot")

    event = events(service)[f"sowing-{sowing}"]

    assert str(event["summary"]) == "Sow Leek Tadorna (L2)"
    assert days(event) == (date(2026, 6, 1), date(2026, 6, 1))
    assert str(event["description"]) == "12 trays of 264 cells. Seed lot 7, west; \\ x\nlot."


def test_a_planting_stands_where_it_is_planned_until_it_is_planted(service: Service, hand_day: HandDay) -> None:
    """It is the same event afterwards, moved: calendar programs go by the UID."""
    book = hand_day.book
    sowing = book.add("sowing", crop="Lettuce", spacing_mm=203.2)
    planting = book.add("planting", bed=hand_day.south, sowing=sowing, planned_on="2026-06-03")
    planned = events(service)[f"planting-{planting}"]

    book.row(planting, 1, book.moment("8:00", day=date(2026, 6, 5)), book.moment("8:10", day=date(2026, 6, 5)), [])
    planted = events(service)[f"planting-{planting}"]

    assert (str(planned["summary"]), days(planned)[0]) == ("Plant Lettuce, Bed 2", date(2026, 6, 3))
    assert (str(planted["summary"]), days(planted)[0]) == ("Planted: Lettuce, Bed 2", date(2026, 6, 5))
    assert str(planted["location"]) == "Bed 2"


def test_a_stand_count_is_due_7_to_14_days_after_planting_until_it_is_made(service: Service, hand_day: HandDay) -> None:
    uid = f"stand-count-{hand_day.onions}"

    assert days(events(service)[uid]) == (date(2026, 5, 11), date(2026, 5, 18))
    count = {"planting": hand_day.onions, "row": 1, "sample_length_mm": 3048, "plants": 57}
    hand_day.book.add("stand_count", at=hand_day.later(24).isoformat(), **count)
    assert uid in events(service)
    hand_day.book.add("stand_count", at=hand_day.later(240).isoformat(), **count)
    assert uid not in events(service)


@pytest.mark.parametrize(
    ("first", "last", "due"),
    [(10, 12, (14, 16)), (12, 10, (11, 18)), (-1, 5, (11, 18)), (3, 1e9, (11, 18))],
)
def test_the_farm_sets_when_stands_are_counted(
    service: Service, hand_day: HandDay, first: float, last: float, due: tuple[int, int]
) -> None:
    """Days that cannot be are passed over."""
    hand_day.book.farm(thresholds={"stand_count_from_days": first, "stand_count_until_days": last})

    found = days(events(service)[f"stand-count-{hand_day.onions}"])

    assert found == (date(2026, 5, due[0]), date(2026, 5, due[1]))


def test_what_was_deleted_is_gone(service: Service, hand_day: HandDay) -> None:
    sowing = hand_day.book.add("sowing", crop="Leek", spacing_mm=152.4, sown_on="2026-06-01")
    hand_day.book.change("sowing", sowing, voided=True)
    hand_day.book.change("planting", hand_day.onions, voided=True)

    assert events(service).keys() == {f"planting-{hand_day.leeks}", f"stand-count-{hand_day.leeks}"}


@pytest.mark.parametrize("year", ["1900", "2200"])
def test_days_at_the_ends_of_what_is_kept_keep_no_other_event_away(
    service: Service, hand_day: HandDay, year: str
) -> None:
    book = hand_day.book
    book.add("sowing", crop="Leek", spacing_mm=152.4, sown_on=f"{year}-12-31")
    sowing = book.add("sowing", crop="Leek", spacing_mm=152.4)
    planned = book.add("planting", bed=hand_day.south, sowing=sowing, planned_on=f"{year}-12-31")
    begun = book.add("planting", bed=hand_day.south, sowing=sowing)
    book.add("row_pass", planting=begun, row=1, started_at=f"{year}-12-31T12:00:00Z", length_mm=1000)

    found = events(service)

    assert f"planting-{hand_day.onions}" in found
    assert days(found[f"planting-{planned}"])[0] == date(int(year), 12, 31)


def test_a_name_is_one_line_of_the_calendar_whatever_stands_in_it(service: Service, hand_day: HandDay) -> None:
    """Nobody adds an event by naming a crop."""
    crop = "Leek\r\nEND:VEVENT\r\nBEGIN:VEVENT\r\nSUMMARY:Come at once;\\n,"
    before = events(service).keys()
    sowing = hand_day.book.add("sowing", crop=crop, spacing_mm=152.4, sown_on="2026-06-01", seed_lot="\nUID:other")

    found = events(service)

    assert found.keys() - before == {f"sowing-{sowing}"}
    assert "Come at once" in str(found[f"sowing-{sowing}"]["summary"])


def test_lines_are_folded_and_end_as_rfc_5545_says(service: Service, hand_day: HandDay) -> None:
    hand_day.book.change("planting", hand_day.onions, note="ñ" * 300)

    lines = service.client.get("/v1/calendar.ics").content.split(b"\r\n")

    assert max(len(line) for line in lines) <= 75
    assert b"\n" not in b"".join(lines)
    assert str(events(service)[f"planting-{hand_day.onions}"]["description"]) == "ñ" * 300


def test_the_printed_address_opens_the_calendar_and_nothing_else(
    service: Service, hand_day: HandDay, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Calendar programs cannot sign in; a fresh address ends the one before."""
    service.client.cookies.clear()
    addresses = []
    for _ in range(2):
        assert cli.run(["calendar", "--data", str(tmp_path)]) == 0
        addresses.append(capsys.readouterr().out.strip())
    old, fresh = (address[address.index("/v1") :] for address in addresses)

    assert len(events(service, fresh)) == 4
    assert service.client.get(old).status_code == 401
    assert service.client.get(fresh.replace("calendar.ics", "export.json")).status_code == 401
    stranger = service.make_farm("Oak Hollow")
    assert service.client.get(fresh.replace(hand_day.book.id, stranger)).status_code == 401
    assert service.client.get("/v1/calendar.ics").status_code == 401


def test_an_empty_farm_has_an_empty_calendar(service: Service, farm: str) -> None:
    service.open_office(farm)

    assert events(service) == {}
