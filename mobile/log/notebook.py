"""What a person writes into the phone's log: one method an action, one line an action.

Every method returns after its line is on the disk. No Kivy here; the screens, the scripted day and the tests all
write through this.
"""

from collections.abc import Collection, Iterator, Sequence
from contextlib import contextmanager
from datetime import date, datetime
from typing import Any

from sqlmodel import Session

from mobile.log import moving, rows
from mobile.log.phone_log import PhoneLog
from mobile.log.rows import Change, RowState, RowTap
from mobile.log.settings import write_settings
from shared_models.core.vocabulary import StopReason
from shared_models.errors import UnknownRecord, WrongMoment
from shared_models.lazy_message import LazyMessage
from shared_models.records.models import moment_fields, moment_json
from shared_models.records.tables import Bed, RowPass


class Notebook(PhoneLog):
    """Every action of a person, written into the log.

    Raises:
        StorageError: from any method, when the disk is full, read-only or damaged. What was saved before stays.
        BadEntry: from any action, when an entry breaks a rule; nothing is written.
    """

    # ------------------------------------------------------------------ the row

    def row_state(self, planting: str) -> RowState:
        with self.reading() as session:
            return self._row_state(session, planting)

    def _row_state(self, session: Session, planting: str) -> RowState:
        return rows.row_state(session, self.farm, planting, self._own_devices())

    def current_planting(self) -> str | None:
        """The planting this phone is in the middle of: with an open row, or the last one while rows are left."""
        with self.reading() as session:
            return rows.current_planting(session, self.farm, self._own_devices())

    def last_row(self) -> RowPass | None:
        """The row this phone began last, in whichever bed."""
        with self.reading() as session:
            return rows.last_row(session, self.farm, self._own_devices())

    def next_setting(self, state: RowState, elsewhere: RowPass | None) -> dict[str, Any]:
        """Crew and depth with which the next row starts: as set for it, else as in the row before.

        In a bed without rows that is the row begun last `elsewhere`.
        """
        return rows.carried(state, elsewhere, self.now()) | (self.setting("next_row") or {})

    def _own_devices(self) -> Sequence[str]:
        return list(self._settings["own_devices"])

    @contextmanager
    def _tap(self, planting: str) -> Iterator[tuple[Session, RowState]]:
        """One write transaction, and the rows of a planting as they are in it."""
        with self.writing() as connection, Session(connection) as session:
            yield session, self._row_state(session, planting)

    def _write_row(self, session: Session, state: RowState, row: str, changed: dict[str, Any]) -> RowState:
        return state.after(self._append(session.connection(), "row_pass", row, changed, tapped=True))

    def start_row(self, planting: str, row: int | None = None) -> str:
        """Start a row, the next one of the planting unless `row` is given; return its id.

        Raises:
            WrongMoment: when a row is open on this phone already, or all rows of the bed are planted.
        """
        with self._tap(planting) as (session, state):
            if state.open is not None:
                raise WrongMoment(LazyMessage("Row {row} is still open.", row=state.open.row), "End it first.")
            begun = self._start(session, state, row)
        self._settings["next_row"] = None
        return begun.begun_here[-1]

    def _start(
        self, session: Session, state: RowState, number: int | None = None, setting: dict[str, Any] | None = None
    ) -> RowState:
        number = number or state.next_row
        if number is None:
            planted = LazyMessage("All {rows} rows of this bed are planted.", rows=state.rows)
            raise WrongMoment(planted, "Choose the next bed.")
        if setting is None:
            elsewhere = None if state.passes else rows.last_row(session, self.farm, self._own_devices())
            setting = self.next_setting(state, elsewhere)
        fields = {"planting": state.planting, "row": number, "length_mm": state.length_mm, **setting}
        fields |= moment_fields("started", self.now())
        if self.setting("next_row"):
            write_settings(session.connection(), {"next_row": None})
        return state.after(self._append(session.connection(), "row_pass", self.new_id(), fields, new=True))

    def end_row(self, planting: str) -> None:
        """End the open row now, and with it a stop that still goes on.

        Raises:
            WrongMoment: when no row is open on this phone.
        """
        with self._tap(planting) as (session, state):
            self._end(session, state)

    def _end(self, session: Session, state: RowState) -> RowState:
        row, now = state.require_open(), self.now()
        stops = {"stops": rows.stops_closed(row, now)} if rows.open_stop(row) else {}
        return self._write_row(session, state, row.id, moment_fields("ended", now) | stops)

    def tap_row(self, planting: str, setting: dict[str, Any] | None = None) -> tuple[RowTap, RowState]:
        """The one big button: ends the open row or starts the next, with this crew and depth (see `next_setting`).

        A second tap at once is no tap.
        """
        with self._tap(planting) as (session, state):
            if state.last_moment is not None and rows.is_double_tap(state.last_moment, self.now()):
                return RowTap.IGNORED, state
            if state.open is not None:
                return RowTap.ENDED, self._end(session, state)
            begun = self._start(session, state, setting=setting)
        self._settings["next_row"] = None
        return RowTap.STARTED, begun

    def miss(self, planting: str, count: int = 1) -> RowState:
        """Add a miss to the row at hand (the open one, else the last)."""
        with self._tap(planting) as (session, state):
            row = state.require_at_hand()
            return self._write_row(session, state, row.id, {"misses": row.misses + count})

    def double(self, planting: str) -> RowState:
        """Add a cell with two plants to the row at hand."""
        with self._tap(planting) as (session, state):
            row = state.require_at_hand()
            return self._write_row(session, state, row.id, {"doubles": row.doubles + 1})

    def fill(self, row_pass: str, filled: int) -> None:
        self.write("row_pass", row_pass, {"filled": filled})

    def stop(self, planting: str, reason: StopReason) -> RowState:
        """Stop the open row, and say why.

        Raises:
            WrongMoment: when no row is open, or it is stopped already.
        """
        with self._tap(planting) as (session, state):
            row = state.require_open()
            if rows.open_stop(row):
                raise WrongMoment("The row is stopped already.", "Go on first.")
            stop = {"reason": reason.value, "began": moment_json(self.now())}
            return self._write_row(session, state, row.id, {"stops": [*row.stops, stop]})

    def go_on(self, planting: str) -> RowState:
        """End the stop of the open row.

        Raises:
            WrongMoment: when no row is open, or it is not stopped.
        """
        with self._tap(planting) as (session, state):
            row = state.require_open()
            if not rows.open_stop(row):
                raise WrongMoment("The row is not stopped.", "Go on planting.")
            return self._write_row(session, state, row.id, {"stops": rows.stops_closed(row, self.now())})

    def undo_in(self, planting: str) -> RowState:
        with self._tap(planting) as (session, state):
            written, together = self._undo(session.connection(), state.last_line)
            if len(written) == 1 and state.knows(written[0].line.record):
                undone = state.after(written[0])
            else:
                session.expire_all()
                undone = self._row_state(session, planting)
        self._settings.update(together)
        return undone

    def set_depth(self, planting: str, *, notch: int | None = None, depth_mm: int | None = None) -> None:
        """The depth of the open row, else of the next one: a notch, measured, or both; later rows take it over."""
        depth = {"depth_notch": notch, "depth_mm": depth_mm}
        self._set_row(planting, {name: value for name, value in depth.items() if value is not None})

    def set_crew(self, planting: str, people: Sequence[str], *, from_next: bool = False) -> None:
        """Who works in the open row (`from_next`, or none open: in the next one); later rows take it over."""
        self._set_row(planting, {"crew": list(people)}, from_next=from_next)

    def _set_row(self, planting: str, changed: dict[str, Any], *, from_next: bool = False) -> None:
        waiting: dict[str, Any] = self.setting("next_row") or {}
        with self._tap(planting) as (session, state):
            if state.open is None or from_next:
                still = waiting | changed
            else:
                self._write_row(session, state, state.open.id, changed)
                still = {name: value for name, value in waiting.items() if name not in changed}
            if still != waiting:
                write_settings(session.connection(), {"next_row": still})
        self._settings["next_row"] = still

    def note_row(self, planting: str, note: str) -> None:
        with self._tap(planting) as (session, state):
            self._write_row(session, state, state.require_at_hand().id, {"note": note})

    # ------------------------------------------------------------------ corrections of the planting

    def move_rows(self, planting: str, to: str, only: Collection[str] | None = None) -> None:
        """Move the rows of a planting (`only` these), the open row too, to another one: one action, a line a row.

        For their numbers there see `moving.numbers`.

        Raises:
            WrongMoment: when there is nothing to move, or a row is open on this phone on both sides.
            UnknownRecord: when one of the plantings, or its bed or sowing, is not held here.
        """
        target = self.row_state(to)
        taken = {row.row for row in target.passes}
        self.write_together(moving.MOVE, self._moves(planting, only, to, taken, target.length_mm, target.open))

    def move_rows_to_new(self, planting: str, only: Collection[str] | None = None, **fields: str) -> str:
        """Like `move_rows`, to a new planting with these fields (bed, sowing, planned_on); its id."""
        to, length_mm = self.new_id(), self._bed_length_mm(fields["bed"])
        moves = self._moves(planting, only, to, (), length_mm)
        self.write_together(moving.MOVE, [Change("planting", to, dict(fields)), *moves])
        return to

    def _moves(
        self,
        planting: str,
        only: Collection[str] | None,
        to: str,
        taken: Collection[int],
        length_mm: int,
        still_open: RowPass | None = None,
    ) -> list[Change]:
        source = self.row_state(planting)
        picked = [row for row in source.passes if only is None or row.id in only]
        if not picked:
            raise WrongMoment("There is no row to move here.", "Start the row first.")
        if still_open is not None and source.open in picked:
            raise WrongMoment(LazyMessage("Row {row} is still open there.", row=still_open.row), "End it first.")
        return moving.moves(source, picked, to, taken, length_mm)

    def replant(self, planting: str, **changed: str) -> None:
        """Change the bed or sowing of the planting itself; its rows stay with it.

        Raises:
            UnknownRecord: when the planting, or a bed, is not held here.
        """
        state = self.row_state(planting)
        length_mm = self._bed_length_mm(changed.get("bed", state.bed_id))
        self.write_together(moving.REPLANT, moving.replanted(state, changed, length_mm))

    def _bed_length_mm(self, bed: str) -> int:
        with self.reading() as session:
            found = session.get(Bed, (self.farm, bed))
        if found is None:
            raise UnknownRecord("bed", bed)
        return found.length_mm

    # ------------------------------------------------------------------ checks of beds, trays and plants

    def check_soil(self, bed: str, *, tilled_at: datetime | None = None, **seen: Any) -> str:
        """A soil check now: feel, residue_pct, stones, clods, soil_c, photo, note."""
        tilled = {} if tilled_at is None else {"tilled_at": tilled_at.isoformat()}
        return self.add("soil_check", bed=bed, at=self.now().at.isoformat(), **tilled, **seen)

    def count_stand(self, planting: str, row: int, sample_length_mm: int, plants: int, **seen: Any) -> str:
        """A count of living plants along a measured length of one row; positions_mm when each was measured."""
        counted = {"row": row, "sample_length_mm": sample_length_mm, "plants": plants, "positions_mm": []}
        return self.add("stand_count", planting=planting, at=self.now().at.isoformat(), **counted | seen)

    def check_trays(self, sowing: str, on: date, cells_seen: int, cells_empty: int, **seen: Any) -> str:
        """A tray check of a sowing: empty cells, leaves, whether roots hold the cell."""
        counted = {"cells_seen": cells_seen, "cells_empty": cells_empty}
        return self.add("tray_check", sowing=sowing, on=on.isoformat(), **counted, **seen)
