"""What a person writes into the phone's log: one method an action, one line an action.

Every method returns after its line is on the disk. No Kivy here; the screens, the scripted day and the tests all
write through this.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import date, datetime
from typing import Any

from mobile.log import moving, rows
from mobile.log.phone_log import PhoneLog
from mobile.log.rows import Change, RowState
from shared_models.core.vocabulary import StopReason
from shared_models.errors import UnknownRecord, WrongMoment
from shared_models.records.models import moment_fields, moment_json
from shared_models.records.tables import Bed, RowPass


class Notebook(PhoneLog):
    """Every thing that a person can do with the phone, written into its log.

    Raises:
        StoreTrouble: from any method, when the disk is full, read-only or damaged. What was saved before stays.
        BadEntry: from any action, when an entry breaks a rule; nothing is written.
    """

    # ------------------------------------------------------------------ the row

    def row_state(self, planting: str) -> RowState:
        """What the row screen shows of a planting."""
        with self.reading() as session:
            return rows.row_state(session, self.farm, planting, self._own_devices())

    def current_planting(self) -> str | None:
        """The planting this phone is in the middle of: with an open row, or the last one while rows are left."""
        with self.reading() as session:
            return rows.current_planting(session, self.farm, self._own_devices())

    def _own_devices(self) -> Sequence[str]:
        return list(self._settings["own_devices"])

    def start_row(self, planting: str, row: int | None = None) -> str:
        """A row begins: the next one of the planting unless `row` says otherwise. Crew and depth: see `next_setting`.

        Raises:
            WrongMoment: when a row is open on this phone already, or all rows of the bed are planted.
        """
        state = self.row_state(planting)
        if state.open is not None:
            raise WrongMoment(f"Row {state.open.row} is still open.", "End it first.")
        number = row or state.next_row
        if number is None:
            raise WrongMoment(f"All {state.rows} rows of this bed are planted.", "Choose the next bed.")
        told = moment_fields("started", self.now()) | self.next_setting(planting)
        begun = self.add("row_pass", planting=planting, row=number, length_mm=state.length_mm, **told)
        if self.setting("next_row"):
            self.change_settings(next_row={})
        return begun

    def end_row(self, planting: str) -> str:
        """The open row ends now; a stop that still goes on ends with it.

        Raises:
            WrongMoment: when no row is open on this phone.
        """
        row = self._open_row(planting)
        now = self.now()
        changed = moment_fields("ended", now)
        stops: dict[str, Any] = {"stops": rows.stops_closed(row, now)} if rows.open_stop(row) else {}
        self.write("row_pass", row.id, {**changed, **stops})
        return row.id

    def tap_row(self, planting: str) -> rows.RowTap:
        """The one big button: ends the open row or starts the next. A second tap at once is no tap."""
        state = self.row_state(planting)
        if state.last_moment is not None and rows.is_double_tap(state.last_moment, self.now()):
            return rows.RowTap.IGNORED
        if state.open is None:
            self.start_row(planting)
            return rows.RowTap.STARTED
        self.end_row(planting)
        return rows.RowTap.ENDED

    def _open_row(self, planting: str) -> RowPass:
        state = self.row_state(planting)
        if state.open is None:
            raise WrongMoment("No row is open.", "Start the row first.")
        return state.open

    def _row_at_hand(self, planting: str) -> RowPass:
        state = self.row_state(planting)
        row = state.open or state.last
        if row is None:
            raise WrongMoment("No row has been started in this bed.", "Start the row first.")
        return row

    def miss(self, planting: str, count: int = 1) -> int:
        """One more miss in the row at hand (the open one, else the last); the new count."""
        row = self._row_at_hand(planting)
        self.write("row_pass", row.id, {"misses": row.misses + count})
        return row.misses + count

    def double(self, planting: str) -> int:
        """One more cell with two plants in the row at hand; the new count."""
        row = self._row_at_hand(planting)
        self.write("row_pass", row.id, {"doubles": row.doubles + 1})
        return row.doubles + 1

    def fill(self, row_pass: str, filled: int) -> None:
        """So many misses of a row are filled with spare plants now."""
        self.write("row_pass", row_pass, {"filled": filled})

    def stop(self, planting: str, reason: StopReason) -> None:
        """The open row stands still, and why.

        Raises:
            WrongMoment: when no row is open, or it is stopped already.
        """
        row = self._open_row(planting)
        if rows.open_stop(row):
            raise WrongMoment("The row is stopped already.", "Go on first.")
        stop = {"reason": reason.value, "began": moment_json(self.now())}
        self.write("row_pass", row.id, {"stops": [*row.stops, stop]})

    def go_on(self, planting: str) -> None:
        """The open row moves again.

        Raises:
            WrongMoment: when no row is open, or it is not stopped.
        """
        row = self._open_row(planting)
        if not rows.open_stop(row):
            raise WrongMoment("The row is not stopped.", "Go on planting.")
        self.write("row_pass", row.id, {"stops": rows.stops_closed(row, self.now())})

    def set_depth(self, planting: str, *, notch: int | None = None, depth_mm: int | None = None) -> None:
        """The depth of the open row, else of the next one: a notch, measured, or both; later rows take it over."""
        told = {"depth_notch": notch, "depth_mm": depth_mm}
        self._set_row(planting, {name: value for name, value in told.items() if value is not None})

    def set_crew(self, planting: str, people: Sequence[str], *, from_next: bool = False) -> None:
        """Who works in the open row (`from_next`, or none open: in the next one); later rows take it over."""
        self._set_row(planting, {"crew": list(people)}, from_next=from_next)

    def _set_row(self, planting: str, changed: dict[str, Any], *, from_next: bool = False) -> None:
        row, waiting = self.row_state(planting).open, self.setting("next_row") or {}
        if row is None or from_next:
            self.change_settings(next_row=waiting | changed)
            return
        self.write("row_pass", row.id, changed)
        if waiting.keys() & changed.keys():
            self.change_settings(next_row={name: told for name, told in waiting.items() if name not in changed})

    def next_setting(self, planting: str) -> dict[str, Any]:
        """Crew and depth with which the next row of a planting starts: as in the row before, or as set since."""
        with self.reading() as session:
            kept = rows.carried(session, self.farm, planting, self._own_devices(), self.now())
        return kept | (self.setting("next_row") or {})

    def note_row(self, planting: str, note: str) -> None:
        """A note on the row at hand."""
        self.write("row_pass", self._row_at_hand(planting).id, {"note": note})

    # ------------------------------------------------------------------ what was chosen wrongly

    def move_rows(self, planting: str, to: str, only: Collection[str] | None = None) -> None:
        """The rows of a planting (`only` these) belong to another one, the open row too: one action, a line a row.

        Under which numbers they go on there: see `moving.numbers`.

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
            raise WrongMoment(f"Row {still_open.row} is still open there.", "End it first.")
        return moving.moves(source, picked, to, taken, length_mm)

    def replant(self, planting: str, **changed: str) -> None:
        """The planting itself was made with the wrong bed or sowing: change it, and its rows stay with it.

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

    # ------------------------------------------------------------------ looking at beds, trays and plants

    def check_soil(self, bed: str, *, tilled_at: datetime | None = None, **seen: Any) -> str:
        """A look at a bed's soil now: feel, residue_pct, stones, clods, soil_c, photo, note."""
        tilled = {} if tilled_at is None else {"tilled_at": tilled_at.isoformat()}
        return self.add("soil_check", bed=bed, at=self.now().at.isoformat(), **tilled, **seen)

    def count_stand(self, planting: str, row: int, sample_length_mm: int, plants: int, **seen: Any) -> str:
        """A count of living plants along a measured length of one row; positions_mm when each was measured."""
        counted = {"row": row, "sample_length_mm": sample_length_mm, "plants": plants, "positions_mm": []}
        return self.add("stand_count", planting=planting, at=self.now().at.isoformat(), **counted | seen)

    def check_trays(self, sowing: str, on: date, cells_seen: int, cells_empty: int, **seen: Any) -> str:
        """A look at the trays of a sowing: empty cells, leaves, whether roots hold the cell."""
        counted = {"cells_seen": cells_seen, "cells_empty": cells_empty}
        return self.add("tray_check", sowing=sowing, on=on.isoformat(), **counted, **seen)
