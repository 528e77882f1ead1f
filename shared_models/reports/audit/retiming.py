"""A row's times as somebody puts them right later: what has to be written so that both clocks agree with it. Pure."""

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from shared_models.core.moments import Moment
from shared_models.records.models import StopEntry, moment_fields, moment_json
from shared_models.reports.audit.entries import Entry
from shared_models.reports.rows.timelines import LONGEST_BOOT_MS

STARTED, ENDED = "started", "ended"


def set_to(entry: Entry, wanted: Mapping[str, datetime]) -> dict[str, Any]:
    """The fields of a row whose start or end (`wanted`) was at another time of the farm's clock.

    The boot clock moves along, so that the row is as long as it says, however the phone's clock was set. A moment
    that comes before its boot has no boot clock; then the row's other moments of that boot go by the wall clock too.
    """
    was = _moments(entry)
    known = next(iter(was.values()), None)
    corrected = {name: entry.timeline.at(moment) for name, moment in was.items()}
    now = dict(was)
    for name, at in wanted.items():
        moment = was.get(name, known)
        now[name] = Moment(at) if moment is None else _put(moment, entry.timeline.at(moment), at)
    left = {was[name].boot for name in wanted if name in was and not now[name].boot}
    for name, moment in was.items():
        if moment.boot in left and name not in wanted:
            now[name] = Moment(corrected[name])
    return _fields(entry, was, now)


def moved_by(entry: Entry, shift: timedelta) -> dict[str, Any]:
    """The fields of a row shifted later or earlier, stops and all."""
    return set_to(entry, {name: entry.timeline.at(moment) + shift for name, moment in _moments(entry).items()})


def moment_at(entry: Entry, near: Moment | None, at: datetime) -> Moment:
    """The moment of this row at a time of the farm's clock, on the boot clock of a moment near it."""
    return Moment(at) if near is None else _put(near, entry.timeline.at(near), at)


def _put(moment: Moment, corrected: datetime, at: datetime) -> Moment:
    boot_ms = moment.boot_ms + round((at - corrected) / timedelta(milliseconds=1))
    possible = moment.boot and 0 <= boot_ms < LONGEST_BOOT_MS
    return Moment(at, moment.boot, boot_ms) if possible else Moment(at)


def _moments(entry: Entry) -> dict[str, Moment]:
    """Every moment of the row that can be read, by name: its start and end, and "0 began" … for its stops."""
    found = {name: entry.moment(name) for name in (STARTED, ENDED)}
    for place, stop in enumerate(stops_of(entry)):
        found |= {f"{place} began": stop.began, f"{place} ended": stop.ended}
    return {name: moment for name, moment in found.items() if moment is not None}


def stops_of(entry: Entry) -> list[StopEntry]:
    """The row's stops; empty if they cannot be read."""
    try:
        return [StopEntry.model_validate(stop) for stop in entry.fields.get("stops") or []]
    except (ValueError, TypeError):
        return []


def _fields(entry: Entry, was: Mapping[str, Moment], now: Mapping[str, Moment]) -> dict[str, Any]:
    fields: dict[str, Any] = {}
    for name in (STARTED, ENDED):
        if name in now and now[name] != was.get(name):
            fields |= moment_fields(name, now[name])
    stops = stops_of(entry)
    if any(now[name] != moment for name, moment in was.items() if name not in (STARTED, ENDED)):
        fields["stops"] = [
            {"reason": stop.reason, "began": moment_json(now[f"{place} began"])}
            | ({"ended": moment_json(now[f"{place} ended"])} if stop.ended else {})
            for place, stop in enumerate(stops)
        ]
    return fields
