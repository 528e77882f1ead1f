"""The farm's calendar (iCalendar, RFC 5545): sowings, plantings, and stand counts that are due."""

import math
from collections.abc import Iterator, Mapping
from datetime import date, datetime, timedelta

from icalendar import Calendar, Event, vText
from sqlmodel import Session

from shared_models.records.tables import Sowing
from shared_models.reports.common.context import ReportContext
from shared_models.reports.common.farm import SETTINGS, FarmFacts
from shared_models.reports.common.find import ListedPlanting, plantings
from shared_models.reports.common.references import References
from shared_models.reports.stand.stands import PlantingStand, stands_of

MEDIA_TYPE = "text/calendar; charset=utf-8"
#: A stand is counted when lost plants show and before others fill their room: 7 to 14 days after planting. Common
#: practice, no source; the farm's settings.
_COUNT_DAYS = ("stand_count_from_days", "stand_count_until_days")
_REFRESH = "PT4H"


def calendar_feed(session: Session, farm: str, now: datetime) -> bytes:
    """The calendar. Events keep their UIDs, so that calendar programs do not double them."""
    reports = ReportContext.of(session, farm)
    facts, names = reports.farm, reports.references
    listed = plantings(reports)
    stands = {each.planting_id: each for each in stands_of(reports, {p.planting.id for p in listed}).plantings}
    calendar = Calendar()
    calendar.add("prodid", "-//Rowend//Farm calendar//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", vText(facts.name or "Farm"))
    calendar.add("x-published-ttl", vText(_REFRESH))
    for event in _events(facts, names, listed, stands):
        event.add("dtstamp", now)
        event.add("transp", "TRANSPARENT")
        calendar.add_component(event)
    content: bytes = calendar.to_ical()
    return content


def _events(
    farm: FarmFacts, names: References, listed: list[ListedPlanting], stands: Mapping[str, PlantingStand]
) -> Iterator[Event]:
    for sowing in sorted(names.sowings.values(), key=lambda each: each.id):
        if sowing.sown_on and not sowing.voided:
            description, on = f"Sow {_sown(sowing)}", sowing.sown_on
            yield _event(f"sowing-{sowing.id}", description, on, on, _trays(sowing))
    for each in listed:
        stand = stands[each.planting.id]
        yield from _planting(each, stand)
        yield from _count_due(farm, each, stand)


def _sown(sowing: Sowing) -> str:
    code = f"({sowing.code})" if sowing.code else ""
    return " ".join(part for part in (sowing.crop, sowing.variety, code) if part)


def _trays(sowing: Sowing) -> str:
    lot = f"Seed lot {sowing.seed_lot}." if sowing.seed_lot else ""
    trays = f"{sowing.trays} trays of {sowing.cells_per_tray} cells." if sowing.trays else ""
    return " ".join(part for part in (trays, lot) if part)


def _planting(each: ListedPlanting, stand: PlantingStand) -> Iterator[Event]:
    """As planned; once rows were planted, on the days they were."""
    uid, description, planned = f"planting-{each.planting.id}", each.place.label, each.planting.planned_on
    note, bed = each.planting.note, each.place.bed
    if stand.planted_from and stand.planted_until:
        yield _event(uid, f"Planted: {description}", stand.planted_from, stand.planted_until, note, bed)
    elif planned:
        yield _event(uid, f"Plant {description}", planned, planned, note, bed)


def _count_due(farm: FarmFacts, each: ListedPlanting, stand: PlantingStand) -> Iterator[Event]:
    first, last = count_days(farm)
    counted = any(done.days_after_planting is not None and done.days_after_planting >= first for done in stand.rounds)
    if stand.planted_from is None or counted:
        return
    begin, end = stand.planted_from + timedelta(days=first), stand.planted_from + timedelta(days=last)
    why = f"Planted on {stand.planted_from}; count the stand {first} to {last} days after planting."
    yield _event(
        f"stand-count-{each.planting.id}", f"Count the stand: {each.place.label}", begin, end, why, each.place.bed
    )


def count_days(farm: FarmFacts) -> tuple[int, int]:
    """From how many until how many days after planting a stand is counted; settings that cannot be are passed over."""
    first, last = (farm.thresholds.get(name, SETTINGS[name]) for name in _COUNT_DAYS)
    if not (math.isfinite(last) and 0 <= first <= last <= 366):  # noqa: PLR2004 - a year
        first, last = (SETTINGS[name] for name in _COUNT_DAYS)
    return round(first), round(last)


def _event(uid: str, summary: str, begin: date, end: date, description: str = "", place: str = "") -> Event:
    event = Event()
    event.add("uid", uid)
    event.add("summary", summary)
    event.add("dtstart", begin)
    event.add("dtend", end + timedelta(days=1))  # the end of an all-day event is the day after
    if description:
        event.add("description", description)
    if place:
        event.add("location", place)
    return event
