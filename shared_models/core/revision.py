"""One immutable line of a device's log, its text and its place in the hash chain."""

import hashlib
import json
import re
from collections.abc import Mapping
from math import isfinite
from types import MappingProxyType
from typing import Any, NamedTuple, NoReturn

from shared_models.core import clock
from shared_models.core.ids import is_id
from shared_models.errors import LineRefused
from shared_models.lazy_message import LazyMessage

MAX_LINE_BYTES = 16 * 1024
#: lists and objects within each other; a parser's own limit would differ between programs and even between calls
MAX_DEPTH = 32
_KIND = re.compile(r"[a-z][a-z0-9_]{0,63}")


def _no_constant(name: str) -> NoReturn:
    raise ValueError(name)


def _finite(digits: str) -> float:
    number = float(digits)
    if not isfinite(number):  # 1e999 is JSON, but no number that could be written again
        raise ValueError(digits)
    return number


def no_key_twice(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """Make an object of a parser's pairs; ValueError when a key stands twice, since programs read that differently."""
    found = dict(pairs)
    if len(found) != len(pairs):
        raise ValueError("a key stands twice")
    return found


_JSON = json.JSONDecoder(
    parse_constant=_no_constant,  # NaN and Infinity are no JSON
    parse_float=_finite,
    object_pairs_hook=no_key_twice,
)


NOTHING_MORE: Mapping[str, Any] = MappingProxyType({})


class Revision(NamedTuple):
    """The content of one line: at `stamp`, `by` (a person, or nobody) set these fields of the record.

    `set` holds just the fields that changed; a unit of fields is always set whole.
    """

    device: str
    seq: int
    stamp: int
    kind: str
    record: str
    set: Mapping[str, Any]
    by: str | None = None
    #: keys of the line that this program does not know
    more: Mapping[str, Any] = NOTHING_MORE

    @property
    def order(self) -> tuple[int, str, int]:
        """The total order of edits: stamp, then device, then seq."""
        return (self.stamp, self.device, self.seq)

    @property
    def entry(self) -> tuple[int, str, str, str | None, str]:
        """What was entered: equal for lines of two logs that are one entry.

        A phone or a service that was restored from a copy can write an entry once more in another log.
        """
        # the fields as JSON, for in Python True and 1 are equal
        return (self.stamp, self.kind, self.record, self.by, json.dumps(self.set, sort_keys=True))


def text_of(revision: Revision) -> str:
    """Serialize a line as it is stored. ValueError when a value is not JSON (NaN, infinity).

    The device is not in the text: it seeds the chain, so a line cannot be moved to another log unnoticed.
    """
    return json.dumps(
        {
            "seq": revision.seq,
            "stamp": clock.to_text(revision.stamp),
            "kind": revision.kind,
            "record": revision.record,
            "by": revision.by,
            "set": revision.set,
            **revision.more,
        },
        separators=(",", ":"),
        allow_nan=False,
    )


def read(device: str, seq: int, text: str) -> Revision:
    """Parse a line of `device`'s log.

    Raises:
        LineRefused: when the text is too long or not JSON of the right shape.
    """
    try:
        size = len(text.encode())
    except UnicodeEncodeError as problem:
        raise LineRefused(device, seq, "it is not UTF-8 text") from problem
    if size > MAX_LINE_BYTES:
        raise LineRefused(device, seq, LazyMessage("it is longer than {n} bytes", n=MAX_LINE_BYTES))
    try:
        line = _JSON.decode(text)
        stamp = clock.from_text(line.pop("stamp"))
        number, kind, record, changed = line.pop("seq"), line.pop("kind"), line.pop("record"), line.pop("set")
        by = line.pop("by", None)
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as problem:
        raise LineRefused(device, seq, "it is not a log line") from problem
    if "\n" in text or _too_deep(text, changed, *line.values()):
        raise LineRefused(device, seq, "it is not one line, or nested too deeply")
    if number != seq or type(number) is not int:
        raise LineRefused(device, seq, "its line number is wrong")
    if not (isinstance(kind, str) and _KIND.fullmatch(kind) and isinstance(changed, dict)):
        raise LineRefused(device, seq, "it does not name a kind of record, or has no fields")
    if not is_id(record) or not (by is None or is_id(by)):
        raise LineRefused(device, seq, "it does not name a record, or its author is not a person")
    return Revision(device, seq, stamp, kind, record, changed, by, line)


def _too_deep(text: str, *values: Any) -> bool:
    could_be = text.count("[") + text.count("{") > MAX_DEPTH
    return could_be and any(_deeper_than(MAX_DEPTH, value) for value in values)


def _deeper_than(depth: int, value: Any) -> bool:
    if not isinstance(value, dict | list):
        return False
    inner = value.values() if isinstance(value, dict) else value
    return depth == 0 or any(_deeper_than(depth - 1, each) for each in inner)


def root(device: str) -> bytes:
    """The digest before the first line of a device's log."""
    return hashlib.sha256(device.encode()).digest()


def digest(previous: bytes, text: str) -> bytes:
    """Hash a line: 32 bytes from the digest before it and its text."""
    return hashlib.sha256(previous + text.encode()).digest()
