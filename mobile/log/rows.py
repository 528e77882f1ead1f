"""How a bed's rows stand: what is open, what comes next, what is taken over from the row before."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Any, NamedTuple

from sqlalchemy import Connection
from sqlmodel import Session, col, func, select

from shared_models.core.fold import fold
from shared_models.core.moments import Moment, elapsed_s
from shared_models.core.revision import Revision, read
from shared_models.errors import UnknownRecord
from shared_models.log.log import get_or_create
from shared_models.log.projection import RecordKey, histories
from shared_models.records.models import UNITS, moment_json
from shared_models.records.tables import Bed, Line, Log, Planting, RowPass, Sowing

#: a glove that bounces on the button is not a second row (common practice, no source)
DOUBLE_TAP_S = 1.5
#: a crew stays together, and the depth stays set, for a working day (common practice, no source)
SAME_DAY_S = 12 * 3600.0


#: what the line that begins a row says, and no later one: a row that is only corrected on a phone is none of its own
_BEGINS = tuple(col(Line.text).contains(f'"{name}":', autoescape=True) for name in ("planting", "started_at"))


class Change(NamedTuple):
    """What one line will say: these fields of this record."""

    kind: str
    record: str
    fields: dict[str, Any]


class RowTap(Enum):
    """What a tap on the row button did."""

    STARTED = "started"
    ENDED = "ended"
    IGNORED = "ignored"


@dataclass(frozen=True, slots=True)
class RowState:
    """A planting as the row screen shows it."""

    planting: str
    bed_id: str
    bed: str
    crop: str
    spacing_mm: float
    rows: int
    length_mm: int
    #: every row pass of the planting
    passes: tuple[RowPass, ...]
    #: the open row of this phone, None between rows
    open: RowPass | None
    #: the rows that this phone began, in the order of its log
    own: tuple[RowPass, ...]

    @property
    def last(self) -> RowPass | None:
        """The last row this phone began."""
        return self.own[-1] if self.own else None

    @property
    def next_row(self) -> int | None:
        """The lowest row number not begun yet, None when every row has been."""
        begun = {row.row for row in self.passes}
        return next((number for number in range(1, self.rows + 1) if number not in begun), None)

    @property
    def rows_left(self) -> int:
        """How many row numbers are not begun yet."""
        begun = {row.row for row in self.passes}
        return sum(number not in begun for number in range(1, self.rows + 1))

    @property
    def finished(self) -> bool:
        """Whether every row of the bed is planted."""
        return self.next_row is None and all(row.ended is not None for row in self.passes)

    @property
    def last_moment(self) -> Moment | None:
        """When the row button last did something here."""
        return None if self.last is None else self.last.ended or self.last.started


def row_state(session: Session, farm: str, planting: str, devices: Sequence[str]) -> RowState:
    """How the rows of a planting stand, seen from the phone that writes as `devices`.

    Raises:
        UnknownRecord: when the planting, its bed or its sowing is not held here.
    """
    found = session.get(Planting, (farm, planting))
    if found is None:
        raise UnknownRecord("planting", planting)
    bed = session.get(Bed, (farm, found.bed))
    sowing = session.get(Sowing, (farm, found.sowing))
    if bed is None or sowing is None:
        raise UnknownRecord("bed" if bed is None else "sowing", found.bed if bed is None else found.sowing)
    of_planting = select(RowPass).where(RowPass.farm_id == farm, RowPass.planting == planting)
    passes = session.exec(of_planting.where(col(RowPass.voided).is_(False)).order_by(col(RowPass.id))).all()
    mine = _in_order_written(session, devices, passes)
    return RowState(
        planting=planting,
        bed_id=bed.id,
        bed=bed.name,
        crop=sowing.crop,
        spacing_mm=sowing.spacing_mm,
        rows=bed.rows,
        length_mm=bed.length_mm,
        passes=tuple(passes),
        open=next((row for row in mine if row.ended is None), None),
        own=tuple(mine),
    )


def _in_order_written(session: Session, devices: Sequence[str], passes: Sequence[RowPass]) -> list[RowPass]:
    """The passes that this phone began, in the order of its own log: no clock has a say in it."""
    own = select(Log.device, Line.record, Line.seq).join(Line, col(Line.log_id) == col(Log.id)).where(*_BEGINS)
    lines = session.exec(own.where(col(Log.device).in_(devices), col(Line.record).in_([row.id for row in passes])))
    place: dict[str, tuple[int, int]] = {}
    for device, record, seq in lines:
        written = (devices.index(device), seq)
        place[record] = min(place.get(record, written), written)
    return sorted((row for row in passes if row.id in place), key=lambda row: place[row.id])


def last_row(session: Session, farm: str, devices: Sequence[str]) -> RowPass | None:
    """The row that the phone began last, in whichever bed."""
    for device in reversed(devices):
        own = select(Line.record).join(Log).where(Log.device == device, *_BEGINS).order_by(col(Line.seq).desc())
        for record in session.exec(own):
            row = session.get(RowPass, (farm, record))
            if row is not None and not row.voided:
                return row
    return None


def _open_row(session: Session, farm: str, devices: Sequence[str]) -> RowPass | None:
    """The row that is open on this phone, in whichever bed; of several the one begun last."""
    every = select(RowPass).where(RowPass.farm_id == farm, col(RowPass.ended_at).is_(None))
    still = session.exec(every.where(col(RowPass.voided).is_(False))).all()
    return next(reversed(_in_order_written(session, devices, still)), None)


def current_planting(session: Session, farm: str, devices: Sequence[str]) -> str | None:
    """The planting that the phone's open row belongs to; else its last row's, while rows are left to plant in it."""
    row = _open_row(session, farm, devices) or last_row(session, farm, devices)
    if row is None or row_state(session, farm, row.planting, devices).finished:
        return None
    return row.planting


def carried(session: Session, farm: str, planting: str, devices: Sequence[str], now: Moment) -> dict[str, Any]:
    """What a new row takes over: crew and depth of the planting's last row, else of the day's last row elsewhere."""
    state = row_state(session, farm, planting, devices)
    before = state.last or next(reversed(state.passes), None)
    if before is not None:
        kept = {"crew": before.crew, "depth_notch": before.depth_notch, "depth_mm": before.depth_mm}
    else:
        before = last_row(session, farm, devices)
        if before is None or not 0 <= elapsed_s(before.ended or before.started, now) < SAME_DAY_S:
            return {}
        kept = {"crew": before.crew, "depth_notch": before.depth_notch}  # measured in another bed says little here
    return {name: value for name, value in kept.items() if value}


def begun_rows(session: Session, farm: str) -> dict[str, tuple[int, int]]:
    """Of each planting, how many of its rows were begun, and how many of those are still open."""
    count, opened = func.count(col(RowPass.row).distinct()), func.count().filter(col(RowPass.ended_at).is_(None))
    rows = select(RowPass.planting, count, opened).where(RowPass.farm_id == farm, col(RowPass.voided).is_(False))
    return {planting: (begun, still) for planting, begun, still in session.exec(rows.group_by(RowPass.planting))}


def is_double_tap(last: Moment, now: Moment) -> bool:
    """Whether a tap now is the bounce of the one at `last`."""
    return 0 <= elapsed_s(last, now) < DOUBLE_TAP_S


def open_stop(row: RowPass) -> bool:
    """Whether the row stands still."""
    return bool(row.stops) and row.stop_entries[-1].ended is None


def stops_closed(row: RowPass, now: Moment) -> list[dict[str, Any]]:
    """The row's stops, the last of them ended now."""
    *earlier, last = (dict(stop) for stop in row.stops)
    return [*earlier, {**last, "ended": moment_json(now)}]


def last_own_line(connection: Connection, farm: str, device: str) -> Revision | None:
    """The last line of a device's own log."""
    log = get_or_create(connection, farm, device)
    text = Session(connection).exec(select(Line.text).where(Line.log_id == log.id, Line.seq == log.seq)).one_or_none()
    return None if text is None else read(device, log.seq, text)


def own_lines(connection: Connection, farm: str, device: str, first: int) -> list[Revision]:
    """The lines of a device's own log from number `first` on."""
    log = get_or_create(connection, farm, device)
    later = select(Line.seq, Line.text).where(Line.log_id == log.id, Line.seq >= first).order_by(col(Line.seq))
    return [read(device, seq, text) for seq, text in Session(connection).exec(later)]


def together(told: dict[str, Any] | None, last: Revision) -> tuple[int, str]:
    """The number of the first line of the action that ends with `last`, and what the action is called.

    `told` is what was kept of the last action of several lines.
    """
    if told is None or (told["device"], told["last"]) != (last.device, last.seq):
        return last.seq, ""
    return told["first"], told["what"]


def before(connection: Connection, farm: str, last: Revision) -> dict[str, Any]:
    """The fields that put a record back to what it was before its revision `last`; a new record is voided."""
    every = histories(connection, farm, [last.record])[RecordKey(last.kind, last.record)]
    earlier = [revision for revision in every if revision != last]
    if not earlier:
        return {"voided": True}
    units = UNITS.get(last.kind, {})
    was = fold(earlier, units)
    touched = {member for name in last.set for member in units.get(name, (name,))}
    return {name: was.get(name) for name in sorted(touched)}
