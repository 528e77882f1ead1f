"""Take in runs of lines from elsewhere: signed by their device, fitting the chain, stored with their projections."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

from sqlalchemy import Connection, select

from shared_models.core import clock
from shared_models.core.keystore import Verify
from shared_models.core.revision import Revision, digest, read
from shared_models.errors import Fork, LineRefused, NotSigned, OtherFarm, StampAhead
from shared_models.log.line_store import LineStore, NewLine
from shared_models.log.log import Head, Run, digest_at, find_all, get_or_create, move_head
from shared_models.log.prepared_statements import AT_ONCE
from shared_models.log.repair import heal
from shared_models.log.signatures import SIGNED_LINES, add_signed_head, head_message, is_signed
from shared_models.records.tables import Line, table_of

_LINE = table_of(Line)

Enough = Callable[[], bool]
"""Whether this transaction has lasted long enough."""

ReadLine = Callable[[str, int, str], Revision]
"""Parse a line of a device's log, by its number; LineRefused when it is none."""


@dataclass(slots=True)
class Ingested:
    """What became of the runs taken in: lines stored now, and the refusals (a Fork names the last common line).

    `rest` is what is left for another transaction, when this one lasted long enough.
    """

    stored: int = 0
    refused: list[LineRefused] = field(default_factory=list)
    rest: list[Run] = field(default_factory=list)


def ingest(
    connection: Connection,
    farm: str,
    runs: Sequence[Run],
    verify: Verify,
    latest: int = clock.LATEST,
    enough: Enough = lambda: False,
    read_line: ReadLine = read,
) -> Ingested:
    """Take in runs of lines from elsewhere, at most one of each log, with their projections.

    Only lines below a head that their device signed. Lines held already are passed over. A run that starts beyond what
    is held is left for the next sync, which will start where it must. Refusals name device and line; what comes
    before them is kept as far as a signed head covers it. No line stamped after `latest` is taken, since nobody could
    correct what it sets. Once there is `enough`, it stops after a few more lines; what is stored then is whole.
    `read_line` parses a line; whoever takes a page in by several transactions gives one that reads each line once.

    Raises:
        OtherFarm: when a log belongs to another farm; nothing is stored.
    """
    known = find_all(connection, (run.device for run in runs))
    if any(log.farm_id != farm for log in known.values()):
        raise OtherFarm
    taking = _Ingest(connection, farm, verify, latest, enough, read_line)
    for index, run in enumerate(runs):
        if index and enough():
            taking.outcome.rest += runs[index:]
            break
        taking.take(known.get(run.device), run)
    taking.store.project()
    return taking.outcome


class _Ingest:
    def __init__(
        self, connection: Connection, farm: str, verify: Verify, latest: int, enough: Enough, read_line: ReadLine
    ) -> None:
        self._connection, self._farm, self._verify = connection, farm, verify
        self._latest, self._enough, self._read = latest, enough, read_line
        self.store = LineStore(connection, farm)
        self.outcome = Ingested()

    def take(self, held: Head | None, run: Run) -> None:
        try:
            if not is_signed(run, held, self._verify):
                raise NotSigned(run.device, (held.seq if held else run.after) + 1)
            self._take(held, run)
        except LineRefused as refusal:
            self.outcome.refused.append(refusal)

    def _take(self, held: Head | None, run: Run) -> None:
        if held is None:
            if run.after != (run.branch.seq if run.branch else 0):
                return  # it begins beyond what is held
            held = get_or_create(self._connection, self._farm, run.device, run.branch)
        if run.after < held.seq:
            self.store.project()  # a damaged line may come back, and what was read before would lack it
        log, end = held, min(held.seq, run.end)
        lines, refusal = self._readable(log, run, _verified(self._connection, log, run))
        for portion in self._portions(lines):
            log = self.store.add(log, portion)
            end = log.seq
            if end < run.end and self._enough():
                break
        if log != held:
            move_head(self._connection, log)
        self.outcome.stored += log.seq - held.seq
        refused = refusal is not None and log.seq == held.seq + len(lines)
        if log.seq >= run.after:
            self._keep_signatures(log, run, end, wait=not refused)
        if refused and refusal is not None:
            raise refusal

    def _portions(self, lines: list[NewLine]) -> Iterator[list[NewLine]]:
        for start in range(0, len(lines), AT_ONCE):
            yield from self.store.portions(lines[start : start + AT_ONCE])

    def _readable(
        self, log: Head, run: Run, verified: Iterable[tuple[str, bytes]]
    ) -> tuple[list[NewLine], LineRefused | None]:
        """The lines after those of `log`, and the refusal of one of them.

        Of those before a refused line only as many as a signed head covers: nobody would take the others from here.
        """
        lines: list[NewLine] = []
        try:
            for seq, (text, own_digest) in enumerate(verified, log.seq + 1):
                revision = self._read(log.device, seq, text)
                if revision.stamp > self._latest:
                    raise StampAhead(log.device, seq)
                lines.append(NewLine(revision, text, own_digest))
        except LineRefused as refusal:
            digests = {line.revision.seq: line.digest.hex() for line in lines}
            for seq, signature in sorted(run.signed_before, reverse=True):
                if seq in digests and self._verify(run.key, head_message(log.origin, seq, digests[seq]), signature):
                    return lines[: seq - log.seq], refusal
            return [], refusal
        return lines, None

    def _keep_signatures(self, log: Head, run: Run, end: int, *, wait: bool) -> None:
        """Keep the signatures up to line `end`; what was not taken in yet is left for later, if it may `wait`."""
        waiting = sorted((seq, signature) for seq, signature in dict(run.signed_before).items() if seq < run.end)
        for seq, signature in _spread(run.after, [(seq, signature) for seq, signature in waiting if seq <= end]):
            own_digest = digest_at(self._connection, log, seq)
            if own_digest and self._verify(run.key, head_message(log.origin, seq, own_digest.hex()), signature):
                add_signed_head(self._connection, log, run.key, seq, signature)
        if end < run.end and wait:
            texts = run.texts[end - run.after :]
            later = tuple(each for each in waiting if each[0] > end)
            self.outcome.rest.append(replace(run, after=end, texts=texts, signed_before=later))
        elif end >= run.end:
            add_signed_head(self._connection, log, run.key, run.end, run.signature)


def _spread(after: int, signed: Sequence[tuple[int, bytes]]) -> Iterator[tuple[int, bytes]]:
    """Of signed heads in their order, those that others would not make needless: each costs a check."""
    for one, following in pairwise([*signed, None]):
        if one is not None and (following is None or following[0] > after + SIGNED_LINES):
            yield one
            after = one[0]


def _verified(connection: Connection, log: Head, run: Run) -> list[tuple[str, bytes]]:
    """The new lines of `run` with their digests, once the whole run fits the chain."""
    if log.private:
        raise LineRefused(run.device, log.seq + 1, "this log is kept in the office only")
    if run.after > log.seq:
        return []
    own_digest = digest_at(connection, log, run.after)
    if own_digest is None:
        raise LineRefused(run.device, log.seq + 1, "its log is damaged here")
    digests = [own_digest := digest(own_digest, text) for text in run.texts]
    fits = own_digest.hex() == run.digest
    if fits:
        heal(connection, log, run, digests)
    held = _held_digests(connection, log, run)
    for seq, sent in enumerate(digests[: max(0, log.seq - run.after)], run.after + 1):
        if held.get(seq) != sent:
            raise Fork(run.device, seq - 1)
    if not fits:
        raise LineRefused(run.device, log.seq + 1, "it does not continue the log that is held here")
    new = slice(max(0, log.seq - run.after), None)
    return list(zip(run.texts[new], digests[new], strict=True))


def _held_digests(connection: Connection, log: Head, run: Run) -> dict[int, bytes]:
    if run.after >= log.seq:
        return {}
    held = select(_LINE.c.seq, _LINE.c.digest).where(_LINE.c.log_id == log.id, _LINE.c.seq > run.after)
    rows = connection.execute(held.where(_LINE.c.seq <= run.end))
    return {row.seq: row.digest for row in rows}
