"""What became of a record, line by line of the logs: which field, before and after, by whom, where, and by when."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from typing import Any, NamedTuple

from shared_models.core.clock import is_wall_time, latest_wall_ms
from shared_models.core.fold import fold
from shared_models.core.revision import Revision
from shared_models.log.projection import RecordKey
from shared_models.records.models import UNITS

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
#: the boot clock beside a moment; it moves with the moment and says nothing to people
_NOT_FOR_PEOPLE = ("_boot", "_boot_ms")


class FieldChange(NamedTuple):
    """One field, before and after. It `corrects` where the field had been filled in already."""

    field: str
    before: Any
    after: Any
    corrects: bool


@dataclass(frozen=True, slots=True)
class Written:
    """What one line did to its record. `order` is its place among all edits, `first` says that it made the record.

    A line has no time, only a stamp that orders it. Its writer's own clock stood at `at` or earlier: at `at`, where
    it is `exact`. A clock that was wrong is wrong here too.
    """

    order: tuple[int, str, int]
    key: RecordKey
    at: datetime
    exact: bool
    by: str | None
    device: str
    seq: int
    first: bool
    changes: tuple[FieldChange, ...]


def repeats(revisions: Iterable[Revision]) -> list[list[Revision]]:
    """Revisions in the order of edits, those that are one entry together: the one of the lowest device id first."""
    found: dict[Any, list[Revision]] = defaultdict(list)
    for line in sorted(revisions, key=lambda each: each.order):
        found[line.entry].append(line)
    return list(found.values())


def without_repeats(revisions: Iterable[Revision]) -> list[Revision]:
    """Revisions in the order of edits, each entry once."""
    return [lines[0] for lines in repeats(revisions)]


def history_of(key: RecordKey, revisions: Iterable[Revision]) -> list[Written]:
    """Every line of one record, in the order of edits; one that stands in several logs once."""
    units, lines = UNITS.get(key.kind, {}), list[Written]()
    before: dict[str, Any] = {}
    for revision in without_repeats(revisions):
        after = before | fold([revision], units)
        lines.append(_written(key, revision, not lines, tuple(_changes(key.kind, before, after))))
        before = after
    return lines


def corrections(written: Iterable[Written]) -> Iterator[Written]:
    """The lines that correct something. Entries made while a row is still being planted do not."""
    for line in written:
        correcting = tuple(change for change in line.changes if change.corrects)
        if correcting:
            yield replace(line, changes=correcting)


def in_order(histories: Mapping[RecordKey, Sequence[Revision]]) -> list[Written]:
    """The lines of several records, in the order of edits."""
    return sorted(
        (line for key, revisions in histories.items() for line in history_of(key, revisions)),
        key=lambda line: line.order,
    )


def _written(key: RecordKey, revision: Revision, first: bool, changes: tuple[FieldChange, ...]) -> Written:
    return Written(
        order=revision.order,
        key=key,
        at=_EPOCH + timedelta(milliseconds=latest_wall_ms(revision.stamp)),
        exact=is_wall_time(revision.stamp),
        by=revision.by,
        device=revision.device,
        seq=revision.seq,
        first=first,
        changes=changes,
    )


def _changes(kind: str, before: Mapping[str, Any], after: Mapping[str, Any]) -> Iterator[FieldChange]:
    being_planted = kind == "row_pass" and before.get("ended_at") is None
    for name, value in after.items():
        was = before.get(name)
        if name == "voided":
            was, value = bool(was), bool(value)  # noqa: PLW2901 - never set is the same as no
        if was == value or name.endswith(_NOT_FOR_PEOPLE):
            continue
        yield FieldChange(name, was, value, name == "voided" or (was is not None and not being_planted))
