"""The times of a row as its form has them, and what has to be written so that both of its clocks agree with them."""

import json
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any

from server.office.forms.field_kinds_dates import local_time
from server.office.forms.field_kinds_refs import StopTyped
from server.render.localizer import Localizer
from shared_models.core.moments import Moment
from shared_models.records.models import moment_fields, moment_json
from shared_models.reports.audit.entries import Entry
from shared_models.reports.audit.retiming import ENDED, STARTED, moment_at, moved_by, set_to, stops_of

#: a form has times to the second
_SAME = timedelta(seconds=1)


def stops_shown(entry: Entry, localizer: Localizer) -> list[StopTyped]:
    """The stops of a row on the farm's clock."""
    return [
        StopTyped(str(stop.reason), _text(entry, stop.began, localizer), _text(entry, stop.ended, localizer))
        for stop in stops_of(entry)
    ]


def stops_text(stops: Sequence[StopTyped]) -> str:
    """Stops as one text; lines without a reason at the end say nothing."""
    kept = list(stops)
    while kept and not any(kept[-1]):
        kept.pop()
    return json.dumps([list(stop) for stop in kept], ensure_ascii=False) if kept else ""


def _text(entry: Entry, moment: Moment | None, localizer: Localizer) -> str:
    if moment is None:
        return ""
    return localizer.local(entry.timeline.at(moment)).replace(tzinfo=None).isoformat(timespec="seconds")


def row_changes(
    entry: Entry, times: Mapping[str, str | None], stops: Sequence[StopTyped] | None, localizer: Localizer
) -> dict[str, Any]:
    """The fields to set for a row whose start or end (`times`, in UTC), or whose stops, are others now.

    A row that is moved as a whole takes its stops along. A row without an end is open again.
    """
    wanted = {which: datetime.fromisoformat(at) for which, at in times.items() if at}
    kept = _retimed(entry, wanted)
    if times.get(ENDED, "") is None:
        kept |= {"ended_at": None, "ended_boot": None, "ended_boot_ms": None}
    if stops is not None:
        kept["stops"] = _stops(entry, kept, stops, localizer)
    return kept


def _retimed(entry: Entry, wanted: Mapping[str, datetime]) -> dict[str, Any]:
    if not wanted:
        return {}
    if not any(entry.moment(which) for which in (STARTED, ENDED)):  # a row that is written down here
        return {name: value for which, at in wanted.items() for name, value in moment_fields(which, Moment(at)).items()}
    shifts = [at - was for which, at in wanted.items() if (was := entry.corrected(which))]
    whole = entry.corrected(ENDED) is None or len(shifts) == len((STARTED, ENDED))
    if shifts and whole and max(shifts) - min(shifts) <= _SAME:
        return moved_by(entry, shifts[0])
    return set_to(entry, wanted)


def _stops(
    entry: Entry, kept: Mapping[str, Any], typed: Sequence[StopTyped], localizer: Localizer
) -> list[dict[str, Any]]:
    """The stops as they are from now on. What is left as it was keeps its moments."""
    had, shown = stops_of(entry), stops_shown(entry, localizer)
    raw = kept.get("stops") or entry.fields.get("stops") or []
    near = None if "stops" in kept else entry.moment(STARTED)  # moved to the wall clock, or along with the row
    stops: list[dict[str, Any]] = []
    for place, stop in enumerate(typed):
        if not stop.reason:
            continue
        was = shown[place] if place < len(shown) else None
        if was == stop:
            stops.append(dict(raw[place]))
            continue
        began = had[place].began if was and was.began == stop.began else _moment(entry, near, stop.began, localizer)
        moments = {"began": moment_json(began)}
        if stop.ended:
            old = had[place].ended if was and was.ended == stop.ended else None
            moments["ended"] = moment_json(old or _moment(entry, near, stop.ended, localizer))
        stops.append({"reason": stop.reason} | moments)
    return stops


def _moment(entry: Entry, near: Moment | None, typed: str, localizer: Localizer) -> Moment:
    return moment_at(entry, near, local_time(typed, localizer))
