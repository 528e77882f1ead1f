"""Take in lines from a device or a bundle, in transactions so short that others can write in between."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from datetime import datetime, timedelta

from sqlalchemy import Connection, Engine, delete, insert, select

from server.db.tables import Arrival, Device, DeviceKind
from server.farms import sync_limits
from server.farms.devices import DeviceRow, last_seen, mark_seen, require_paired
from server.farms.edits import continue_in_new_log, office_device
from server.farms.keys import verify
from server.farms.refusals import TOLD, note_refusals, refusals_of
from server.runtime.providers import Providers, milliseconds
from shared_models.core import clock
from shared_models.errors import Fork, LineRefused, OverLimit, RemovedPhone
from shared_models.log.ingest import Enough, Ingested, ReadLine, ingest
from shared_models.log.line_reader import LineReader
from shared_models.log.log import Head, Run, farm_clock, find_all
from shared_models.log.store import reading, writing
from shared_models.records.tables import table_of

#: after this time in one transaction no more lines are begun; those that are under way take about as long again
SLICE_S = 0.12
#: a limit that a device reaches again and again is written down this often
_LIMIT_NOTED_EVERY = timedelta(minutes=1)

_DEVICE, _ARRIVAL = table_of(Device), table_of(Arrival)


def take_in(
    engine: Engine,
    farm: str,
    runs: Sequence[Run],
    providers: Providers,
    sender: DeviceRow | None = None,
    removed_too: Collection[str] = (),
) -> list[LineRefused]:
    """Take in the runs of one page; return what was refused. When this returns, the rest is on disk.

    Without a `sender` they come from a bundle that an owner chose, and no limits hold. Lines of removed phones are
    refused, but for those that are `removed_too`.

    Raises:
        OtherFarm: when a log is of another farm; nothing is stored.
        WrongSecret: when the sender was removed; nothing is stored from then on.
        OverLimit: when the sender has sent too much; nothing is stored.
    """
    read_line = LineReader()
    records = sync_limits.records_of(runs, read_line)  # before the database is locked, since it takes a while
    intake = _Intake(farm, providers, sender, removed_too, read_line)
    rest, load = list(runs), True
    try:
        while rest or load:
            with writing(engine, farm) as connection:
                if load:
                    intake.charge(connection, runs, records)
                rest, load = intake.take(connection, rest), False
    except OverLimit as limit:
        if sender is not None:
            _note_limit(engine, sender, limit.limit, providers.now())
        raise
    return intake.refused


def latest_stamp(connection: Connection, farm: str, now: datetime) -> int:
    """The latest stamp that is taken; also where this machine's clock was set back."""
    known_ms = max(milliseconds(now), milliseconds(last_seen(connection, farm) or now))
    return clock.limit(known_ms, farm_clock(connection, farm))


class _Intake:
    """The intake of one page, in several transactions."""

    def __init__(
        self,
        farm: str,
        providers: Providers,
        sender: DeviceRow | None,
        removed_too: Collection[str],
        read_line: ReadLine,
    ) -> None:
        self._farm, self._providers, self._sender, self._removed_too = farm, providers, sender, removed_too
        self._read_line = read_line
        self.refused: list[LineRefused] = []

    def charge(self, connection: Connection, runs: Sequence[Run], records: sync_limits.RecordsOfRuns) -> None:
        """Count the page against what its sender may send."""
        if self._sender is None:
            return
        require_paired(connection, self._sender)
        now = self._providers.now()
        sync_limits.charge(connection, self._sender.id, sync_limits.load_of(connection, runs, records), now)
        mark_seen(connection, self._sender.id, now)

    def take(self, connection: Connection, runs: Sequence[Run]) -> list[Run]:
        """Take in lines for as long as one transaction may last; return what is left."""
        begun, now, sender = self._providers.monotonic(), self._providers.now(), self._sender
        if sender is not None:
            require_paired(connection, sender)
        held = find_all(connection, (run.device for run in runs))
        refused: list[LineRefused] = [*self._of_removed(connection, held, runs)]
        of_removed = {refusal.device for refusal in refused}
        wanted = [run for run in runs if run.device not in of_removed]
        latest = latest_stamp(connection, self._farm, now)
        outcome = self._ingest(connection, wanted, latest, lambda: self._providers.monotonic() - begun > SLICE_S)
        refused += outcome.refused
        self.refused += refused
        _note_arrivals(connection, self._farm, held, wanted, sender.id if sender else "", now)
        if sender is not None:
            told = [(refusal.device, refusal.code) for refusal in refused if refusal.code in TOLD]
            note_refusals(connection, self._farm, sender.id, told, now)
            sync_limits.add_lock_time(connection, sender.id, self._providers.monotonic() - begun)
        return outcome.rest

    def _of_removed(
        self, connection: Connection, held: Mapping[str, Head], runs: Sequence[Run]
    ) -> Iterator[RemovedPhone]:
        """Refuse new lines of removed phones, whoever hands them on."""
        phones = select(_DEVICE.c.id).where(_DEVICE.c.farm_id == self._farm, _DEVICE.c.kind == DeviceKind.PHONE)
        removed = set(connection.execute(phones.where(_DEVICE.c.removed_at.is_not(None))).scalars())
        removed -= set(self._removed_too)
        for run in runs if removed else ():
            log = held.get(run.device)
            origin, seq = (log.origin, log.seq) if log else (run.origin, run.after)
            if origin in removed and run.end > seq:
                yield RemovedPhone(run.device, seq + 1)

    def _ingest(self, connection: Connection, runs: Sequence[Run], latest: int, enough: Enough) -> Ingested:
        outcome = ingest(connection, self._farm, runs, verify, latest, enough, self._read_line)
        for fork in (refusal for refusal in outcome.refused if isinstance(refusal, Fork)):
            if fork.device == office_device(connection, self._farm):
                # this service was restored from a backup and has written since
                continue_in_new_log(connection, self._farm, fork.common, self._providers)
                ours = [run for run in runs if run.device == fork.device]
                again = ingest(connection, self._farm, ours, verify, latest, read_line=self._read_line)
                others = [refusal for refusal in outcome.refused if refusal is not fork]
                return Ingested(outcome.stored + again.stored, [*others, *again.refused], outcome.rest)
        return outcome


def _note_arrivals(
    connection: Connection, farm: str, before: Mapping[str, Head], runs: Sequence[Run], sender: str, now: datetime
) -> None:
    for log in find_all(connection, (run.device for run in runs)).values():
        after = before[log.device].seq if log.device in before else log.base_seq
        if log.seq > after:
            row = {"log": log.device, "seq": log.seq, "after": after, "farm_id": farm, "sender": sender, "at": now}
            connection.execute(delete(_ARRIVAL).where(_ARRIVAL.c.log == log.device, _ARRIVAL.c.seq > after))
            connection.execute(insert(_ARRIVAL), row)


def _note_limit(engine: Engine, sender: DeviceRow, limit: str, now: datetime) -> None:
    """Write down that a device reached a limit: now and then, since that too keeps others from writing."""
    with reading(engine) as connection:
        lately = [each for each in refusals_of(connection, sender.farm, now) if each.last_at > now - _LIMIT_NOTED_EVERY]
    if not any((each.sender, each.code) == (sender.id, limit) for each in lately):
        with writing(engine, sender.farm) as connection:
            note_refusals(connection, sender.farm, sender.id, [("", limit)], now)
