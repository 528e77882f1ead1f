"""The rules of docs/sync.md once more, written from that page alone: chain, signatures, fold.

Nothing here comes from the product; its tables are read by plain SQL.
"""

import hashlib
import json
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any, NamedTuple
from uuid import UUID

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ec import ECDSA, SECP256R1, EllipticCurvePublicKey
from cryptography.hazmat.primitives.hashes import SHA256

Sql = Callable[[str], list[dict[str, Any]]]
"""Runs one statement in a database and returns its rows, column by column."""

Record = tuple[str, str]
"""Kind and id."""

Fields = dict[str, Any]

#: section 5: fields that are only ever set together
UNITS: dict[str, list[list[str]]] = {
    "farm": [["latitude", "longitude"]],
    "bed": [["latitude", "longitude"]],
    "row_pass": [
        ["started_at", "started_boot", "started_boot_ms"],
        ["ended_at", "ended_boot", "ended_boot_ms"],
        ["start_latitude", "start_longitude", "start_accuracy_m"],
        ["end_latitude", "end_longitude", "end_accuracy_m"],
    ],
    "sowing": [["ready_from", "ready_until"]],
    "stand_count": [["sample_length_mm", "plants", "positions_mm"]],
    "tray_check": [["cells_seen", "cells_empty"]],
    "weather": [["t_min_c", "t_max_c"]],
}
TABLES = [*UNITS, "person", "planting", "soil_check"]


class Content(NamedTuple):
    """What a line says, whichever log it stands in."""

    stamp: int
    kind: str
    record: str
    by: str | None
    set: str


class LogLine(NamedTuple):
    """A line of a log as a database holds it."""

    seq: int
    text: str
    digest: bytes


@dataclass(frozen=True)
class HeldLog:
    """A log as a database holds it."""

    device: str
    origin: str
    key: bytes | None
    base_seq: int
    base_digest: bytes
    private: bool
    seq: int
    digest: bytes
    lines: list[LogLine] = field(default_factory=list)
    signed: dict[int, bytes] = field(default_factory=dict)


def root(device: str) -> bytes:
    return hashlib.sha256(device.encode("ascii")).digest()


def chained(before: bytes, text: str) -> bytes:
    return hashlib.sha256(before + text.encode()).digest()


def device_of(key: bytes) -> str:
    """The id that belongs to a public key (section 1)."""
    raw = bytearray(hashlib.sha256(b"rowend device\n" + key).digest()[:16])
    raw[6] = raw[6] & 0x0F | 0x80
    raw[8] = raw[8] & 0x3F | 0x80
    return str(UUID(bytes=bytes(raw)))


def head_text(device: str, seq: int, digest: bytes) -> bytes:
    """What a device signs (section 4)."""
    return f"rowend head\n{device}\n{seq}\n{digest.hex()}".encode()


def branch_of(origin: str, digest: bytes) -> str:
    """The id of the branch that begins with the line of this digest (section 9)."""
    name = f"{origin} {digest.hex()}".encode()
    raw = bytearray(hashlib.sha1(UUID("6c1f1d1e-6f0c-5d53-9d0f-2f7f3a0f8a55").bytes + name).digest()[:16])  # noqa: S324 - RFC 9562 says so
    raw[6] = raw[6] & 0x0F | 0x50
    raw[8] = raw[8] & 0x3F | 0x80
    return str(UUID(bytes=bytes(raw)))


def is_signed(log: HeldLog, seq: int, digest: bytes, signature: bytes) -> bool:
    if log.key is None or device_of(log.key) != log.origin:
        return False
    try:
        key = EllipticCurvePublicKey.from_encoded_point(SECP256R1(), log.key)
        key.verify(signature, head_text(log.origin, seq, digest), ECDSA(SHA256()))
    except (InvalidSignature, ValueError):
        return False
    return True


@lru_cache(maxsize=100_000)
def content_of(text: str) -> Content:
    line = json.loads(text)
    changed = json.dumps(line["set"], sort_keys=True)
    return Content(int(line["stamp"], 16), line["kind"], line["record"], line.get("by"), changed)


def logs_in(sql: Sql, farm: str) -> dict[str, HeldLog]:
    """All logs of a farm, by device."""
    logs: dict[int, HeldLog] = {}
    for row in sql(f"SELECT * FROM log WHERE farm_id = '{farm}'"):  # noqa: S608 - our own id
        key = None if row["key"] is None else bytes(row["key"])
        base, private = (row["base_seq"], bytes(row["base_digest"])), bool(row["private"])
        logs[row["id"]] = HeldLog(row["device"], row["origin"], key, *base, private, row["seq"], bytes(row["digest"]))
    for row in sql("SELECT * FROM line ORDER BY log_id, seq"):
        if row["log_id"] in logs:
            logs[row["log_id"]].lines.append(LogLine(row["seq"], row["text"], bytes(row["digest"])))
    for row in sql("SELECT * FROM signed_head"):
        if row["log_id"] in logs:
            logs[row["log_id"]].signed[row["seq"]] = bytes(row["signature"])
    return {log.device: log for log in logs.values()}


def chain_faults(log: HeldLog) -> list[str]:
    """What is wrong with the chain and the signatures of a log."""
    faults = []
    if log.device == log.origin and (log.base_seq, log.base_digest) != (0, root(log.device)):
        faults.append("begins with a wrong digest")
    digest, seq, digests = log.base_digest, log.base_seq, {log.base_seq: log.base_digest}
    for line in log.lines:
        seq += 1
        digest = chained(digest, line.text)
        digests[seq] = digest
        if (line.seq, line.digest) != (seq, digest) or json.loads(line.text)["seq"] != seq:
            return [*faults, f"breaks its chain at line {seq}"]
    if (log.seq, log.digest) != (seq, digest):
        faults.append("ends elsewhere than its lines")
    if log.device != log.origin and log.lines and branch_of(log.origin, log.lines[0].digest) != log.device:
        faults.append("is a branch with a wrong id")
    for at, signature in log.signed.items():
        if at not in digests or not is_signed(log, at, digests[at], signature):
            faults.append(f"has a wrong signature at line {at}")
    return faults


def unsigned(log: HeldLog) -> int:
    """How many lines its device did not sign."""
    return log.seq - max(log.signed, default=log.base_seq)


def fold(logs: Iterable[HeldLog], only: str = "") -> dict[Record, Fields]:
    """Every record that these logs make (section 5), or one of them."""
    lines: dict[Record, list[tuple[int, str, int, Fields]]] = defaultdict(list)
    for log in logs:
        for line in log.lines:
            if only not in line.text:
                continue
            told = json.loads(line.text)
            lines[told["kind"], told["record"]].append((int(told["stamp"], 16), log.device, line.seq, told["set"]))
    records: dict[Record, Fields] = {}
    for record, found in lines.items():
        fields = records[record] = {}
        for *_, changed in sorted(found, key=lambda each: each[:3]):
            for unit in UNITS.get(record[0], []):
                if any(name in changed for name in unit):
                    fields.update({name: changed.get(name) for name in unit})
            fields.update(changed)
    return records


def rows_in(sql: Sql, farm: str, kind: str) -> dict[str, Fields]:
    """The rows of one kind's table, by id."""
    rows = sql(f"SELECT * FROM {kind} WHERE farm_id = '{farm}'")  # noqa: S608 - our own names
    return {row["id"]: {name: value for name, value in row.items() if name not in ("farm_id", "id")} for row in rows}


def flagged_in(sql: Sql, farm: str) -> dict[Record, tuple[Fields, bool]]:
    """The flagged records: their fields, and whether their table has them still."""
    rows = sql(f"SELECT * FROM flagged WHERE farm_id = '{farm}'")  # noqa: S608 - our own id
    return {(row["kind"], row["id"]): (json.loads(row["fields"]), bool(row["kept"])) for row in rows}


def is_same(shown: Any, folded: Any) -> bool:
    """Whether a column shows the value that the lines say, each database in its own form."""
    if folded is None:
        return shown in (None, "", 0, 1, 264, "[]", "{}", "crew", "feet", "UTC") or shown in ([], {})
    if isinstance(folded, list | dict):
        return bool((json.loads(shown) if isinstance(shown, str) else shown) == folded)
    if isinstance(folded, bool):
        return bool(shown) == folded
    if isinstance(folded, str) and "T" in folded[10:11]:
        return str(shown).replace(" ", "T")[:19] == folded[:19]
    return bool(shown == folded or str(shown) == str(folded))


def broken_rules(kind: str, fields: Mapping[str, Any]) -> list[str]:
    """The rules of a kind that these fields break, of those that a history here can break."""
    found = []
    if kind == "bed" and not (isinstance(fields.get("rows"), int) and fields["rows"] > 0 and fields.get("name")):
        found.append("rows or name")
    if kind == "row_pass" and (fields.get("filled") or 0) > (fields.get("misses") or 0):
        found.append("filled")
    return found
