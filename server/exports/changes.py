"""What was corrected in a record, read from its log: which field, before and after, by whom, when and where."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, datetime, timedelta
from typing import Any, NamedTuple

from shared_models.clock import COUNTER_BITS
from shared_models.fold import fold
from shared_models.projection import RecordKey
from shared_models.records import UNITS
from shared_models.revision import Revision

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_NOT_FOR_PEOPLE = ("_boot", "_boot_ms")


class Change(NamedTuple):
    """One field of a record that was changed after it had been filled in. `order` is the place among all edits.

    `at` is told by the log's clock: never before the device's own, and ahead of it where a phone's clock ran ahead.
    """

    order: tuple[int, str, int]
    at: datetime
    key: RecordKey
    field: str
    before: Any
    after: Any
    by: str | None
    device: str
    seq: int


def changes_of(key: RecordKey, revisions: Sequence[Revision]) -> Iterator[Change]:
    """The corrections of one record. What is entered while a row is still being planted is none."""
    units, seen = UNITS.get(key.kind, {}), list[Revision]()
    before: dict[str, Any] = {}
    for revision in sorted(revisions, key=lambda each: each.order):
        seen.append(revision)
        after = fold(seen, units)
        for name, value in after.items():
            if _corrected(key.kind, name, before, value):
                was = before.get(name)
                yield Change(
                    revision.order, _at(revision), key, name, was, value, revision.by, revision.device, revision.seq
                )
        before = after


def _corrected(kind: str, name: str, before: Mapping[str, Any], value: Any) -> bool:
    if name == "voided":
        return bool(value) != bool(before.get(name))
    being_planted = kind == "row_pass" and before.get("ended_at") is None
    return (
        before.get(name) is not None
        and before[name] != value
        and not being_planted
        and not name.endswith(_NOT_FOR_PEOPLE)
    )


def _at(revision: Revision) -> datetime:
    return _EPOCH + timedelta(milliseconds=revision.stamp >> COUNTER_BITS)
