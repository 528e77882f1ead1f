"""The log of one phone: whose it is, and how lines get into it and back out of effect. No Kivy here."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from functools import partial
from itertools import count
from pathlib import Path
from typing import Any

from sqlalchemy import Connection
from sqlmodel import Session

from mobile.log import undo
from mobile.log.rows import Change
from mobile.log.rwlock import ReadWriteLock
from mobile.log.settings import Setting, read_settings, write_settings
from shared_models.core import clock
from shared_models.core.fold import fold, whole
from shared_models.core.ids import device_id, time_ordered_id
from shared_models.core.keystore import KeyStore
from shared_models.core.moments import Moment
from shared_models.core.revision import Revision
from shared_models.errors import StorageError, WrongMoment
from shared_models.log import log
from shared_models.log.append import FromHistory, Written, append
from shared_models.log.fork import branch_off
from shared_models.log.log import Head
from shared_models.log.projection import RecordKey
from shared_models.log.rewrite import write_again
from shared_models.log.signatures import Outcome, is_signed_whole, last_signed, pairing_message, sign_log, stays_signed
from shared_models.log.store import open_store, reading, sqlite_url, writing
from shared_models.records.models import UNITS
from shared_models.records.tables import table_of

FILE_NAME = "rowend-phone.db"


class PhoneLog:
    """The log of one phone, in the folder `folder`.

    `now` gives the moment (wall and boot clock), `random_bits` a fresh random number of 74 bits or more; `keystore`
    holds the keys with which this phone signs its log.

    Raises:
        StorageError: from any method, when the disk is full, read-only or damaged. What was saved before stays.
        BadEntry: from any action, when an entry breaks a rule; nothing is written.
    """

    def __init__(
        self, folder: Path, *, now: Callable[[], Moment], random_bits: Callable[[], int], keystore: KeyStore
    ) -> None:
        folder.mkdir(parents=True, exist_ok=True)
        self.folder = folder
        self.now = now
        self._random_bits = random_bits
        self.keystore = keystore
        self._lock = ReadWriteLock()
        self.engine = open_store(sqlite_url(folder / FILE_NAME))
        with writing(self.engine, "") as connection:
            table_of(Setting).create(connection, checkfirst=True)
            settings = read_settings(connection)
            if "device" not in settings:
                farm = self.new_id()
                device = self.begin_log(connection, farm)
                write_settings(connection, {"device": device, "own_devices": [device], "farm": farm})
                settings = read_settings(connection)
        self._settings = settings

    def begin_log(self, connection: Connection, farm: str) -> str:
        """Begin a log under a new key of this phone; return its device id."""
        key = self.keystore.create()
        return log.get_or_create(connection, farm, device_id(key), key=key).device

    def prove(self, by: str) -> tuple[bytes, bytes]:
        """This device's public key, and its signature to pair `by` a code or as the successor of a device.

        Raises:
            StorageError: when the key is no longer on this phone.
        """
        with self.reading() as session:
            own = log.find(session.connection(), self.device)
        key = own.key if own and own.key else b""
        proof = self.keystore.sign(key, pairing_message(self.device, by))
        if proof is None:
            raise StorageError("this phone has lost the key to its log")
        return key, proof

    def sign(self) -> None:
        """Sign what this phone wrote, so that others take it in."""
        with self.reading() as session:
            connection = session.connection()
            unsigned = [each for each in self._own_logs(connection) if not is_signed_whole(connection, each)]
        if unsigned:
            with self.exclusive() as connection:
                for each in self._own_logs(connection):
                    self._sign(connection, each)

    def _own_logs(self, connection: Connection) -> Iterator[Head]:
        logs = (log.find(connection, device) for device in self.setting("own_devices"))
        return (each for each in logs if each)

    def _sign(self, connection: Connection, own: Head) -> None:
        """Sign a log. What cannot be signed there goes on in another log."""
        outcome = sign_log(connection, own, self.keystore.sign)
        if outcome is Outcome.DONE or (outcome is Outcome.NO_KEY and own.device != self.device):
            return  # of a log left at a fork without its key, the other side holds what is unsigned here
        current = self._next_log(connection, own.device)
        signed, moved = last_signed(connection, own), []
        if outcome is Outcome.DAMAGED:
            moved = branch_off(connection, self.farm, own.device, signed)
            for branch in moved:
                sign_log(connection, log.get_or_create(connection, self.farm, branch), self.keystore.sign)
        else:  # the phone was moved to other hardware, and the key stayed behind
            into = write_again(connection, own, signed, log.get_or_create(connection, self.farm, current))
            sign_log(connection, into, self.keystore.sign)
        _write_on(connection, current, moved)

    def _next_log(self, connection: Connection, left: str) -> str:
        """The log for what is written next: another one when the phone leaves its own."""
        return self.begin_log(connection, self.farm) if left == self.device else self.device

    def branch_off(self, device: str, common: int) -> list[str]:
        """Move the lines of a log after line `common` to branches; return their ids, none when nothing lies after it.

        What this phone writes next goes to a new log: a clone of it makes the same branches of the same lines.
        """
        with self.exclusive() as connection:
            branches = branch_off(connection, self.farm, device, common)
            if branches and device in self.setting("own_devices"):
                _write_on(connection, self._next_log(connection, device), branches)
        if branches:
            self.sign()
        return branches

    def set_clock_by(self, latest: int) -> None:
        """Learn from the latest stamp that a service takes how far this phone's clock is ahead, if it is by a day.

        A clock that is behind does no harm: stamps run on from what was read.
        """
        off_ms = clock.latest_wall_ms(latest) - clock.LEAD_MS - _milliseconds(self.now())
        known = int(self.setting("clock_off_ms") or 0)
        if off_ms >= -clock.LEAD_MS:
            off_ms = 0
        if abs(off_ms - known) > clock.LEAD_MS or (known and not off_ms):
            self.change_settings(clock_off_ms=off_ms or None)

    def stamp_again(self, device: str, after: int, latest: int) -> None:
        """Write the lines of a log after line `after` again in this phone's own, with stamps that a service takes.

        Those before it that nobody would take without them go with them, as they are.
        """
        with self.exclusive() as connection:
            old = log.find(connection, device)
            if old is None or old.seq <= after:
                return
            current = self._next_log(connection, device)
            held = [each.stamp for each in log.heads(connection, self.farm) if each.stamp <= latest]
            stamps = count(max(latest - (clock.LEAD_MS << clock.COUNTER_BITS), *held) + 1)
            into = log.get_or_create(connection, self.farm, current)
            kept = stays_signed(connection, old, after, self.keystore.sign)
            write_again(
                connection,
                old,
                kept,
                into,
                lambda line: line._replace(stamp=next(stamps)) if line.stamp > latest else line,
            )
            _write_on(connection, current)
        self.sign()

    def close(self) -> None:
        self.engine.dispose()

    def new_id(self) -> str:
        return time_ordered_id(_milliseconds(self.now()), self._random_bits())

    # ------------------------------------------------------------------ who this phone is

    @property
    def device(self) -> str:
        return str(self._settings["device"])

    @property
    def farm(self) -> str:
        """The farm this phone logs for; until it is paired, a farm of its own."""
        return str(self._settings["farm"])

    def setting(self, name: str) -> Any:
        return self._settings.get(name)

    def change_settings(self, **changed: Any) -> None:
        with self._lock.shared():
            with self.writing() as connection:
                write_settings(connection, changed)
            self._settings.update(changed)

    def join_farm(self, farm: str) -> None:
        """Log for this farm from now on; what is in the notebook goes with it."""
        if farm == self.farm:
            return
        with self.exclusive() as connection:
            log.change_farm(connection, self.farm, farm)
            write_settings(connection, {"farm": farm})

    @property
    def only_here(self) -> int:
        """Entries that this phone alone holds, as far as it knows: counted from the logs.

        Not those of a removed phone that the service did not take from this one.
        """
        handed_over, not_wanted = self.setting("handed_over") or {}, self.setting("not_wanted") or []
        with self.reading() as session:
            logs = log.heads(session.connection(), self.farm)
        wanted = (each for each in logs if each.device not in not_wanted)
        return sum(max(0, each.seq - max(handed_over.get(each.device, 0), each.base_seq)) for each in wanted)

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """One transaction as the log's only writer."""
        with self._lock.shared(), writing(self.engine, self.farm) as connection:
            yield connection

    @contextmanager
    def exclusive(self) -> Iterator[Connection]:
        """One transaction that changes the farm or the device id.

        A tap meanwhile, in another thread, waits: it never sees the new rows under the old farm. Must not be called
        while reading or writing.
        """
        with self._lock.exclusive():
            with writing(self.engine, self.farm) as connection:
                yield connection
                settings = read_settings(connection)
            self._settings = settings

    @contextmanager
    def reading(self) -> Iterator[Session]:
        with self._lock.shared(), reading(self.engine) as connection, Session(connection) as session:
            yield session

    # ------------------------------------------------------------------ any record

    def write(self, kind: str, record: str, changed: Mapping[str, Any]) -> Revision:
        with self.writing() as connection:
            return self._append(connection, kind, record, changed).line

    def write_together(self, what: str, changes: Sequence[Change]) -> None:
        """Several lines as one action, which one undo takes back. No record comes twice; `what` names it for people."""
        with self.writing() as connection:
            _, together = self._append_together(connection, what, changes)
        self._settings.update(together)

    def _append_together(
        self,
        connection: Connection,
        what: str,
        changes: Iterable[tuple[str, str, Mapping[str, Any] | FromHistory]],
        *,
        tapped: bool = False,
    ) -> tuple[list[Written], dict[str, Any]]:
        """The lines, and the setting that makes them one action, to be kept here once they are on the disk."""
        written = [self._append(connection, *each, tapped=tapped) for each in changes]
        if not what and len(written) == 1:
            return written, {}
        first, last = written[0].line.seq, written[-1].line.seq
        together = {"together": {"device": self.device, "first": first, "last": last, "what": what}}
        write_settings(connection, together)
        return written, together

    def _append(
        self,
        connection: Connection,
        kind: str,
        record: str,
        changed: Mapping[str, Any] | FromHistory,
        *,
        new: bool = False,
        tapped: bool = False,
    ) -> Written:
        # the clock as the service knew it, where this phone's was far off
        now_ms = _milliseconds(self.now()) + int(self.setting("clock_off_ms") or 0)
        by, key = self.setting("person"), RecordKey(kind, record)
        return append(connection, self.farm, self.device, now_ms, key, changed, by, new=new, tapped=tapped)

    def correct(self, kind: str, record: str, changed: Mapping[str, Any]) -> Revision:
        """Like `write`, to a record that may have been written elsewhere: a unit keeps what it holds besides."""
        units = UNITS.get(kind, {})
        with self.writing() as connection:
            return self._append(connection, kind, record, lambda known: whole(changed, fold(known, units), units)).line

    def add(self, kind: str, **fields: Any) -> str:
        record = self.new_id()
        with self.writing() as connection:
            self._append(connection, kind, record, fields, new=True)
        return record

    def void(self, kind: str, record: str) -> None:
        """Take a record out of every list and report. Its lines stay."""
        self.write(kind, record, {"voided": True})

    def last_line(self) -> Revision | None:
        """The last line this phone wrote, which `undo` would take back."""
        with self.reading() as session:
            return undo.last_line(session.connection(), self.device)

    def action_name(self, last: Revision | None) -> str:
        """The name of the action of several lines that ends with the line `last`; empty where it stands alone."""
        return undo.action(self.setting("together"), last)[1] if last else ""

    def undo(self) -> Revision:
        """Take back the last action written here; a second time, put it back. Return the last line written.

        Raises:
            WrongMoment: when nothing has been written yet.
        """
        with self.writing() as connection:
            written, together = self._undo(connection, undo.last_line(connection, self.device))
        self._settings.update(together)
        return written[-1].line

    def _undo(self, connection: Connection, last: Revision | None) -> tuple[list[Written], dict[str, Any]]:
        if last is None:
            raise WrongMoment("Nothing has been written on this phone yet.", "There is nothing to undo.")
        first, what = undo.action(self.setting("together"), last)
        lines = [last] if first == last.seq else undo.lines_from(connection, self.device, first)
        back = [(each.kind, each.record, partial(undo.fields_before, each)) for each in reversed(lines)]
        return self._append_together(connection, what, back, tapped=True)


def _milliseconds(moment: Moment) -> int:
    return int(moment.at.timestamp() * 1000)


def _write_on(connection: Connection, current: str, branches: Sequence[str] = ()) -> None:
    """Note the log that is written from now on, the last of the phone's own, and branches of those before it."""
    own = [device for device in read_settings(connection)["own_devices"] if device != current]
    own += [branch for branch in branches if branch not in own]
    write_settings(connection, {"device": current, "own_devices": [*own, current]})
