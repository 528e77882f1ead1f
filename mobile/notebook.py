"""The phone's log and what a person writes into it: one method an action, one line an action.

Every method returns after its line is on the disk. No Kivy here; the screens, the scripted day and the tests all
write through this.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import date, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Connection
from sqlmodel import Session

from mobile import rows
from mobile.rows import RowState
from mobile.settings import Setting, read_settings, write_settings
from shared_models import log
from shared_models.errors import WrongMoment
from shared_models.ids import time_ordered_id
from shared_models.moments import Moment
from shared_models.projection import RecordKey
from shared_models.records import moment_fields, moment_json
from shared_models.revision import Revision
from shared_models.store import open_store, reading, sqlite_url, writing
from shared_models.tables import RowPass, table_of
from shared_models.words import StopReason

FILE_NAME = "rowend-phone.db"


class Notebook:
    """The log of one phone, in the folder `folder`.

    `now` gives the moment (wall and boot clock) and `random_bits` a fresh random number of 74 bits or more.

    Raises:
        StoreTrouble: from any method, when the disk is full, read-only or damaged. What was saved before stays.
        BadEntry: from any action, when an entry breaks a rule; nothing is written.
    """

    def __init__(self, folder: Path, *, now: Callable[[], Moment], random_bits: Callable[[], int]) -> None:
        folder.mkdir(parents=True, exist_ok=True)
        self.now = now
        self._random_bits = random_bits
        self.engine = open_store(sqlite_url(folder / FILE_NAME))
        with writing(self.engine, "") as connection:
            table_of(Setting).create(connection, checkfirst=True)
            settings = read_settings(connection)
            if "device" not in settings:
                device, farm = self.new_id(), self.new_id()
                write_settings(connection, {"device": device, "own_devices": [device], "farm": farm})
                settings = read_settings(connection)
        self._settings = settings

    def close(self) -> None:
        """Let go of the database."""
        self.engine.dispose()

    def new_id(self) -> str:
        """A new record's id."""
        return time_ordered_id(_milliseconds(self.now()), self._random_bits())

    # ------------------------------------------------------------------ who this phone is

    @property
    def device(self) -> str:
        """The id under which this phone writes its log."""
        return str(self._settings["device"])

    @property
    def farm(self) -> str:
        """The farm this phone logs for; until it is paired, a farm of its own."""
        return str(self._settings["farm"])

    def setting(self, name: str) -> Any:
        """A setting of this phone, None when it was never set."""
        return self._settings.get(name)

    def change_settings(self, **changed: Any) -> None:
        """Change settings of this phone, on disk and here."""
        with self.writing() as connection:
            write_settings(connection, changed)
        self._settings.update(changed)

    def reload_settings(self) -> None:
        """Read the settings again after somebody wrote them in a transaction of their own."""
        with reading(self.engine) as connection:
            self._settings = read_settings(connection)

    def join_farm(self, farm: str) -> None:
        """Log for this farm from now on; what is in the notebook goes with it."""
        if farm == self.farm:
            return
        with writing(self.engine, farm) as connection:
            log.change_farm(connection, self.farm, farm)
            write_settings(connection, {"farm": farm})
        self.reload_settings()

    @property
    def only_here(self) -> int:
        """Entries that this phone alone holds, as far as it knows: counted from the logs."""
        handed_over = self.setting("handed_over") or {}
        with reading(self.engine) as connection:
            mine = log.holds(connection, self.farm)
        return sum(max(0, seq - handed_over.get(device, 0)) for device, (seq, _) in mine.items())

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """One transaction as the log's only writer."""
        with writing(self.engine, self.farm) as connection:
            yield connection

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """A session for questions to the tables."""
        with reading(self.engine) as connection, Session(connection) as session:
            yield session

    # ------------------------------------------------------------------ any record

    def write(self, kind: str, record: str, changed: dict[str, Any]) -> Revision:
        """Write one line: these fields of this record."""
        with self.writing() as connection:
            return self._append(connection, kind, record, changed)

    def _append(self, connection: Connection, kind: str, record: str, changed: dict[str, Any]) -> Revision:
        now_ms, by = _milliseconds(self.now()), self.setting("person")
        return log.append(connection, self.farm, self.device, now_ms, RecordKey(kind, record), changed, by)

    def add(self, kind: str, **fields: Any) -> str:
        """A new record; its id."""
        record = self.new_id()
        self.write(kind, record, fields)
        return record

    def void(self, kind: str, record: str) -> None:
        """Take a record out of every list and report. Its lines stay."""
        self.write(kind, record, {"voided": True})

    def last_line(self) -> Revision | None:
        """The last line this phone wrote, which `undo` would take back."""
        with self.reading() as session:
            return rows.last_own_line(session.connection(), self.farm, self.device)

    def undo(self) -> Revision:
        """Take back the last thing that was written here; done twice, it stands again.

        Raises:
            WrongMoment: when nothing has been written yet.
        """
        with self.writing() as connection:
            last = rows.last_own_line(connection, self.farm, self.device)
            if last is None:
                raise WrongMoment("Nothing has been written on this phone yet.", "There is nothing to undo.")
            return self._append(connection, last.kind, last.record, rows.before(connection, self.farm, last))

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

    def set_crew(self, planting: str, people: Sequence[str]) -> None:
        """Who works in the open row, else in the next one; later rows take it over."""
        self._set_row(planting, {"crew": list(people)})

    def _set_row(self, planting: str, changed: dict[str, Any]) -> None:
        row = self.row_state(planting).open
        if row is not None:
            self.write("row_pass", row.id, changed)
        else:
            self.change_settings(next_row={**(self.setting("next_row") or {}), **changed})

    def next_setting(self, planting: str) -> dict[str, Any]:
        """Crew and depth with which the next row of a planting starts: as in the row before, or as set since."""
        with self.reading() as session:
            kept = rows.carried(session, self.farm, planting, self._own_devices(), self.now())
        return kept | (self.setting("next_row") or {})

    def note_row(self, planting: str, note: str) -> None:
        """A note on the row at hand."""
        self.write("row_pass", self._row_at_hand(planting).id, {"note": note})

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


def _milliseconds(moment: Moment) -> int:
    return int(moment.at.timestamp() * 1000)
