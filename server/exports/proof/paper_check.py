"""Do the records here still hold what a paper was printed from, and what was added since?"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from sqlalchemy import Connection, select

from server.exports.feeds.planting_record import bed_histories
from server.exports.proof.paper import PaperHead, wrong_groups
from shared_models.core.clock import latest_wall_ms
from shared_models.core.revision import Revision, digest, read
from shared_models.errors import LineRefused
from shared_models.lazy_message import LazyMessage
from shared_models.log.log import Head, digest_at
from shared_models.records.tables import Line, table_of
from shared_models.reports.audit.history import repeats
from shared_models.reports.common.context import ReportContext

#: lines added since that are listed
MOST_LISTED = 50

UNCHANGED = "Unchanged up to line {line} ({date})."
OTHER_DIGEST = (
    "Line {line} of this log has another digest. This paper does not come from these records, or they were changed."
)
MISTYPED = "All digits but group {group} fit. Check that group on the paper and type it again."
UNKNOWN = (
    "No log here begins with {device}. Check these letters and digits on the paper. If they are right, the paper is "
    "from another farm, or that phone never synced here."
)
BEYOND = (
    "Line {line} is not here: this log ends at line {last}. Sync that phone and check again. If it has nothing to "
    "sync, these records lack what is on the paper."
)
DAMAGED = "Line {line} of this log is damaged here. Run rowend verify, and check the paper again when it is OK."

_LINE = table_of(Line).c
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Answer:
    """What became of one log of a paper: the log that was found, and when the line was written if it is unchanged."""

    head: PaperHead
    sentence: LazyMessage
    log: Head | None = None
    at: datetime | None = None

    @property
    def is_good(self) -> bool:
        return self.at is not None


def check_head(connection: Connection, logs: Sequence[Head], head: PaperHead) -> Answer:
    """Check one end of a log on a paper against these logs."""
    named = [log for log in logs if _begins(log.device, head.device) or _begins(log.origin, head.device)]
    if not named:
        return Answer(head, LazyMessage(UNKNOWN, device=head.device[:8]))
    held = {log: own for log in named if head.line > log.base_seq and (own := digest_at(connection, log, head.line))}
    if not held:
        last = max(named, key=lambda log: log.seq)
        return Answer(head, LazyMessage(BEYOND, line=head.line, last=last.seq), last)
    log = next((each for each, own in held.items() if own.hex().startswith(head.digest)), None)
    if log is None:
        log, own = next(iter(held.items()))
        wrong = wrong_groups(head.digest, own.hex())
        if len(wrong) == 1:
            return Answer(head, LazyMessage(MISTYPED, group=wrong[0]), log)
        return Answer(head, LazyMessage(OTHER_DIGEST, line=head.line), log)
    broken, last_line = _chain(connection, log, head.line)
    if last_line is None:
        return Answer(head, LazyMessage(DAMAGED, line=broken), log)
    at = _EPOCH + timedelta(milliseconds=latest_wall_ms(last_line.stamp))
    return Answer(head, LazyMessage(UNCHANGED, line=head.line, date=at.date()), log, at)


def _begins(device: str, typed: str) -> bool:
    return device.replace("-", "").startswith(typed)


def _chain(connection: Connection, log: Head, upto: int) -> tuple[int, Revision | None]:
    """Work out the chain anew as far as a line: the first line that is broken, or 0 and the last line."""
    lines = select(_LINE.seq, _LINE.text, _LINE.digest).where(_LINE.log_id == log.id, _LINE.seq <= upto)
    before, expected, line = log.base_digest, log.base_seq, None
    for seq, text, own_digest in connection.execute(lines.order_by(_LINE.seq)):
        expected += 1
        before = digest(before, text)
        line = _readable(log.device, seq, text)
        if seq != expected or before != own_digest or line is None:
            return expected, None
    return (0, line) if expected == upto else (expected + 1, None)


def _readable(device: str, seq: int, text: str) -> Revision | None:
    try:
        return read(device, seq, text)
    except LineRefused:
        return None


def added_since(
    reports: ReportContext, logs: Sequence[Head], answers: Iterable[Answer], bed: str | None, *, every_log: bool
) -> list[Revision]:
    """The entries that a paper does not have yet, the newest first: to the records of a bed, where that is given.

    `every_log` says that the paper names every log it was made from, so that all of another log is new.
    """
    covered = _covered(logs, answers)
    visible = {log.device for log in logs}
    if bed is None:
        found = _after(reports.session.connection(), logs, covered)
    else:
        touched = bed_histories(reports, bed).values()
        found = [line for same in touched for line in _new_to(same, covered, visible, every_log=every_log)]
    return sorted(found, key=lambda line: line.order, reverse=True)


def _covered(logs: Sequence[Head], answers: Iterable[Answer]) -> dict[str, int]:
    """How far a paper goes in each log: the branch it names, and before that the log which the branch left."""
    covered: dict[str, int] = {}
    for answer in answers:
        if answer.log is not None and answer.is_good:
            upto = ((answer.log.device, answer.head.line), (answer.log.origin, answer.log.base_seq))
            for device, line in upto if answer.log.base_seq else upto[:1]:
                covered[device] = max(covered.get(device, 0), line)
    return {log.device: covered[log.device] for log in logs if log.device in covered}


def _new_to(
    revisions: Sequence[Revision], covered: Mapping[str, int], visible: Collection[str], *, every_log: bool
) -> Iterable[Revision]:
    for same in repeats(line for line in revisions if line.device in visible):
        on_paper = any(line.seq <= covered.get(line.device, 0) for line in same)
        if not on_paper and (every_log or any(line.device in covered for line in same)):
            yield same[0]


def _after(connection: Connection, logs: Iterable[Head], covered: Mapping[str, int]) -> list[Revision]:
    found: list[Revision] = []
    for log in logs:
        if log.device in covered:
            later = (_LINE.log_id == log.id) & (_LINE.seq > covered[log.device])
            lines = select(_LINE.seq, _LINE.text).where(later).order_by(_LINE.seq.desc()).limit(MOST_LISTED + 1)
            some = (_readable(log.device, seq, text) for seq, text in connection.execute(lines))
            found += [line for line in some if line is not None]
    return [same[0] for same in repeats(found)]
