"""The rows of a planting: what is open, what comes next, what the next row takes over from the one before."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from enum import Enum
from typing import Any, NamedTuple

from sqlalchemy import and_, literal
from sqlalchemy import select as select_columns
from sqlalchemy.orm import aliased
from sqlmodel import Session, col, func, select

from shared_models.core.moments import Moment, elapsed_s, runs_backwards
from shared_models.core.revision import Revision, read
from shared_models.errors import LineRefused, UnknownRecord, WrongMoment
from shared_models.log.append import Written
from shared_models.records.models import moment_json
from shared_models.records.tables import Bed, Line, Log, Planting, RowPass, Sowing
from shared_models.reports.common.references import UNKNOWN_BED, UNKNOWN_CROP

#: a glove that bounces on the button is not a second row (common practice, no source)
DOUBLE_TAP_S = 1.5
#: a crew stays together, and the depth stays set, for a working day (common practice, no source)
SAME_DAY_S = 12 * 3600.0

#: what the line that begins a row sets, and no later one: a row that is only corrected on a phone is none of its own
BEGINS = frozenset({"planting", "started_at"})
_BEGINS = tuple(col(Line.text).contains(f'"{name}":', autoescape=True) for name in sorted(BEGINS))


class Change(NamedTuple):
    """What one line will set: these fields of this record."""

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
    """The rows of a planting as one transaction sees them.

    Its bed or sowing may never have been valid, or not have arrived yet: rows that were begun go on all the same.
    """

    planting: str
    #: empty where the planting itself is not known
    bed_id: str
    bed: str
    crop: str
    #: None where the sowing is not known
    spacing_mm: float | None
    #: None where the bed is not known
    rows: int | None
    length_mm: int
    #: every row pass of the planting
    passes: tuple[RowPass, ...]
    #: the ids of the rows that this phone began, in the order of its log; deleted ones too, since undo may restore them
    begun_here: tuple[str, ...]
    #: the last line of this phone's log, which undo would take back
    last_line: Revision | None

    @property
    def own(self) -> tuple[RowPass, ...]:
        """The rows that this phone began, in the order of its log: no clock has a say in it."""
        passes = {row.id: row for row in self.passes}
        return tuple(passes[each] for each in self.begun_here if each in passes)

    @property
    def open(self) -> RowPass | None:
        return next((row for row in self.own if row.ended is None), None)

    @property
    def last(self) -> RowPass | None:
        return next(reversed(self.own), None)

    @property
    def at_hand(self) -> RowPass | None:
        """The open row, else the last one: where a miss counts."""
        return self.open or self.last

    @property
    def next_row(self) -> int | None:
        """The lowest row number not begun yet, None when every row has been."""
        return next(iter(self._not_begun), None)

    @property
    def rows_left(self) -> int:
        """How many rows are to begin; 0 where the bed is not known."""
        return 0 if self.rows is None else len(self._not_begun)

    @property
    def _not_begun(self) -> list[int]:
        begun = {row.row for row in self.passes}
        rows = max(begun, default=0) + 1 if self.rows is None else self.rows
        return [number for number in range(1, rows + 1) if number not in begun]

    @property
    def finished(self) -> bool:
        return self.next_row is None and all(row.ended is not None for row in self.passes)

    @property
    def last_moment(self) -> Moment | None:
        return None if self.last is None else self.last.ended or self.last.started

    def require_spacing_mm(self) -> float:
        """The spacing of the sowing.

        Raises:
            UnknownRecord: when the sowing is not known.
        """
        if self.spacing_mm is None:
            raise UnknownRecord("sowing", self.planting)
        return self.spacing_mm

    def require_open(self) -> RowPass:
        """The open row.

        Raises:
            WrongMoment: when no row is open on this phone.
        """
        if self.open is None:
            raise WrongMoment("No row is open.", "Start the row first.")
        return self.open

    def require_at_hand(self) -> RowPass:
        """The row at hand.

        Raises:
            WrongMoment: when this phone has begun no row of the planting.
        """
        if self.at_hand is None:
            raise WrongMoment("No row has been started in this bed.", "Start the row first.")
        return self.at_hand

    def knows(self, row_pass: str) -> bool:
        """Whether a row pass is one of these, or was deleted from among those this phone began."""
        return row_pass in self.begun_here or any(row.id == row_pass for row in self.passes)

    def after(self, written: Written) -> RowState:
        """The rows after a line about one of them, or a new one, in the same transaction."""
        line, row = written
        others = [each for each in self.passes if each.id != line.record]
        stays = row is not None and not row["voided"] and row["planting"] == self.planting
        kept = [RowPass(**row)] if row is not None and stays else []
        new = (line.record,) if line.record not in self.begun_here and line.set.keys() >= BEGINS else ()
        passes = tuple(sorted([*others, *kept], key=lambda each: each.id))
        return replace(self, passes=passes, begun_here=self.begun_here + new, last_line=line)


def row_state(session: Session, farm: str, planting: str, devices: Sequence[str]) -> RowState:
    """The rows of a planting, seen from the phone that writes as the last of `devices`: one statement.

    Raises:
        UnknownRecord: when there are neither rows nor a planting whose bed is held here.
    """
    own_log, own_line = aliased(Log), aliased(Line)
    asked = select_columns(literal(planting).label("id")).subquery()
    query: Any = (
        select_columns(Planting, Bed, Sowing, RowPass, Log.device, Line.seq, own_line.seq, own_line.text)  # type: ignore[call-overload]  # SQLModel types columns as their values
        .select_from(asked)
        .outerjoin(Planting, and_(col(Planting.farm_id) == farm, col(Planting.id) == asked.c.id))
        .outerjoin(Bed, and_(col(Bed.farm_id) == farm, col(Bed.id) == Planting.bed))
        .outerjoin(Sowing, and_(col(Sowing.farm_id) == farm, col(Sowing.id) == Planting.sowing))
        .outerjoin(RowPass, and_(col(RowPass.farm_id) == farm, col(RowPass.planting) == planting))
        .outerjoin(Line, and_(col(Line.record) == RowPass.id, *_BEGINS))
        .outerjoin(Log, and_(col(Log.id) == Line.log_id, col(Log.device).in_(devices)))
        .outerjoin(own_log, own_log.device == devices[-1])
        .outerjoin(own_line, and_(col(own_line.log_id) == own_log.id, col(own_line.seq) == own_log.seq))
        .order_by(RowPass.id)
    )
    found = session.exec(query).all()
    made, bed, sowing, *_, last_seq, last_text = found[0]
    passes = {row.id: row for row in (each[3] for each in found) if row is not None}
    if not passes and made is None:
        raise UnknownRecord("planting", planting)
    if not passes and bed is None:
        raise UnknownRecord("bed", made.bed)
    begun = ((row.id, device, seq) for *_, row, device, seq, _, _ in found if device is not None)
    return RowState(
        planting=planting,
        bed_id="" if made is None else made.bed,
        bed=UNKNOWN_BED if bed is None else bed.name,
        crop=UNKNOWN_CROP if sowing is None else sowing.crop,
        spacing_mm=None if sowing is None else sowing.spacing_mm,
        rows=None if bed is None else bed.rows,
        length_mm=next(reversed(passes.values())).length_mm if bed is None else bed.length_mm,
        passes=tuple(row for row in passes.values() if not row.voided),
        begun_here=_in_order_written(devices, begun),
        last_line=_readable(devices[-1], last_seq, last_text),
    )


def _readable(device: str, seq: int | None, text: str | None) -> Revision | None:
    """The last line, None where there is none, or it is damaged on the disk: then there is nothing to undo."""
    with suppress(LineRefused):
        return None if seq is None or text is None else read(device, seq, text)
    return None


def _in_order_written(devices: Sequence[str], begun: Iterable[tuple[str, str, int]]) -> tuple[str, ...]:
    """The rows that these devices began (row, device, line), in the order of their logs."""
    place: dict[str, tuple[int, int]] = {}
    for row, device, seq in begun:
        written = (devices.index(device), seq)
        place[row] = min(place.get(row, written), written)
    return tuple(sorted(place, key=lambda row: place[row]))


def last_row(session: Session, farm: str, devices: Sequence[str]) -> RowPass | None:
    """The row that the phone began last, in whichever bed."""
    for device in reversed(devices):
        own = select(RowPass).join(Line, and_(col(Line.record) == RowPass.id, *_BEGINS)).join(Log)
        own = own.where(RowPass.farm_id == farm, col(RowPass.voided).is_(False), Log.device == device)
        row = session.exec(own.order_by(col(Line.seq).desc()).limit(1)).first()
        if row is not None:
            return row
    return None


def _open_row(session: Session, farm: str, devices: Sequence[str]) -> RowPass | None:
    """The row that is open on this phone, in whichever bed; of several the one begun last."""
    query = select(RowPass, Log.device, Line.seq).join(Line, and_(col(Line.record) == RowPass.id, *_BEGINS)).join(Log)
    query = query.where(RowPass.farm_id == farm, col(RowPass.ended_at).is_(None), col(RowPass.voided).is_(False))
    found = session.exec(query.where(col(Log.device).in_(devices))).all()
    rows = {row.id: row for row, _, _ in found}
    last = next(reversed(_in_order_written(devices, ((row.id, device, seq) for row, device, seq in found))), None)
    return None if last is None else rows[last]


def current_planting(session: Session, farm: str, devices: Sequence[str]) -> str | None:
    """The planting that the phone's open row belongs to; else its last row's, while rows are left to plant in it."""
    row = _open_row(session, farm, devices) or last_row(session, farm, devices)
    if row is None or row_state(session, farm, row.planting, devices).finished:
        return None
    return row.planting


def carried(state: RowState, elsewhere: RowPass | None, now: Moment) -> dict[str, Any]:
    """What a new row takes over: crew and depth of the planting's last row, else of the day's last row `elsewhere`."""
    before = state.last or next(reversed(state.passes), None)
    if before is not None:
        kept = {"crew": before.crew, "depth_notch": before.depth_notch, "depth_mm": before.depth_mm}
    elif elsewhere is None or not 0 <= elapsed_s(elsewhere.ended or elsewhere.started, now) < SAME_DAY_S:
        return {}
    else:
        kept = {"crew": elsewhere.crew, "depth_notch": elsewhere.depth_notch}  # measured there, it says little here
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
    """The row's stops, the last of them ended now; one that was corrected to begin later than now ends as it begins."""
    *earlier, last = (dict(stop) for stop in row.stops)
    began = row.stop_entries[-1].began
    ended = last["began"] if runs_backwards(began, now) else moment_json(now)
    return [*earlier, {**last, "ended": ended}]
