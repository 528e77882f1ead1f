"""A device of a farm with its own store, and lines as any program could write them. All figures are inventions."""

from __future__ import annotations

import json
from base64 import urlsafe_b64encode
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import Connection, Engine, insert, select
from sqlmodel import SQLModel

from shared_models.core import p256
from shared_models.core.clock import to_text
from shared_models.core.ids import device_id
from shared_models.core.revision import Revision, digest, read, root
from shared_models.log import log
from shared_models.log.append import append
from shared_models.log.fork import branch_off
from shared_models.log.ingest import Ingested, ingest
from shared_models.log.log import Holds, Run
from shared_models.log.projection import RecordKey
from shared_models.log.signatures import head_message, pairing_message, sign_log
from shared_models.log.store import reading, writing
from shared_models.log.verify import verify
from shared_models.records.tables import Line, Log, SignedHead, table_of

PLENTY = 10**6


def an_id(number: int) -> str:
    """Identifiers that sort as their numbers do."""
    return f"00000000-0000-7000-8000-{number:012x}"


#: private keys by the device whose log they sign
PRIVATE_KEYS: dict[str, bytes] = {}


def new_device(number: int) -> str:
    """The id of a device that can sign."""
    private = p256.private_key(number.to_bytes(32))
    device = device_id(p256.public_key(private))
    PRIVATE_KEYS[device] = private
    return device


def public_key(device: str) -> bytes:
    """The public key of a device; empty where it has none."""
    return p256.public_key(PRIVATE_KEYS[device]) if device in PRIVATE_KEYS else b""


def sign(key: bytes, message: bytes) -> bytes | None:
    private = PRIVATE_KEYS.get(device_id(key))
    return None if private is None else p256.sign(private, message)


def identity(device: str, by: str) -> dict[str, str]:
    """The key of a device and the proof that it has it, as it sends them to pair."""
    key, proof = public_key(device), sign(public_key(device), pairing_message(device, by)) or b""
    return {"device": device, "key": urlsafe_b64encode(key).decode(), "proof": urlsafe_b64encode(proof).decode()}


def sign_last_line(connection: Connection, device: str) -> None:
    """Sign a log at its last line, and keep what was signed before it, so that its lines travel one by one."""
    head = log.find(connection, device)
    if head is not None and head.key:
        signature = sign(head.key, head_message(head.origin, head.seq, head.digest.hex()))
        signed = {"log_id": head.id, "seq": head.seq, "signature": signature}
        connection.execute(insert(table_of(SignedHead)), signed)


FARM, OTHER_FARM = an_id(0xFA), an_id(0xFB)
PHONE, TABLET, OFFICE = sorted(map(new_device, (1, 2, 3)))
BED, SOWING, PLANTING, ROW, ANA = an_id(0xB1), an_id(0xB2), an_id(0xB3), an_id(0xB4), an_id(0xB5)

A_BED: dict[str, Any] = {"name": "Bed 1", "length_mm": 30_480, "rows": 5}
A_ROW: dict[str, Any] = {"planting": PLANTING, "row": 1, "started_at": "2026-05-04T12:00:00+00:00", "length_mm": 30_480}


@dataclass(frozen=True)
class Device:
    """The device `id` and its store."""

    engine: Engine
    id: str = PHONE
    farm: str = FARM

    def write(self, kind: str, record: str, now_ms: int = 1_000, by: str | None = None, **changed: Any) -> Revision:
        with writing(self.engine, self.farm) as connection:
            log.get_or_create(connection, self.farm, self.id, key=public_key(self.id))
            written = append(connection, self.farm, self.id, now_ms, RecordKey(kind, record), changed, by).line
            sign_last_line(connection, self.id)
            return written

    def take(self, *runs: Run) -> Ingested:
        with writing(self.engine, self.farm) as connection:
            return ingest(connection, self.farm, runs, p256.verify)

    def holds(self) -> Holds:
        with reading(self.engine) as connection:
            return log.holds(connection, self.farm)

    def lacking(self, theirs: Holds, max_bytes: int = PLENTY) -> list[Run]:
        with reading(self.engine) as connection:
            return log.lacking(connection, self.farm, theirs, max_bytes)

    def run(self, after: int = 0, device: str | None = None, max_bytes: int = PLENTY) -> Run:
        """The lines held of a log, this device's own unless another is named."""
        with reading(self.engine) as connection:
            head = log.find(connection, device or self.id)
            assert head is not None
            run = log.run_from(connection, head, max(after, head.base_seq), max_bytes)
            assert run is not None
            return run

    def meet(self, other: Device) -> None:
        """Both give the other what it lacks."""
        other.take(*self.lacking(other.holds()))
        self.take(*other.lacking(self.holds()))

    def branch_off(self, common: int, device: str | None = None) -> str | None:
        """Branch off, and sign what lost its signature; the last branch."""
        with writing(self.engine, self.farm) as connection:
            branches = branch_off(connection, self.farm, device or self.id, common)
            for head in log.heads(connection, self.farm):
                sign_log(connection, head, sign)
            return branches[-1] if branches else None

    def rows(self, model: type[SQLModel]) -> list[dict[str, Any]]:
        """All rows of a table, of whatever farm."""
        table = table_of(model)
        with reading(self.engine) as connection:
            found = connection.execute(select(table).order_by(*table.primary_key.columns)).mappings()
            return [dict(row) for row in found]

    def texts(self) -> list[str]:
        """Every line held, device by device."""
        heads, lines = table_of(Log).c, table_of(Line).c
        with reading(self.engine) as connection:
            held = select(lines.text).where(heads.id == lines.log_id).order_by(heads.device, lines.seq)
            return list(connection.execute(held).scalars())

    def contents(self, device: str) -> list[tuple[Any, ...]]:
        """What the lines of one log say, whatever their numbers."""
        run = self.run(device=device)
        revisions = [read(device, seq, text) for seq, text in enumerate(run.texts, run.after + 1)]
        return [(each.stamp, each.kind, each.record, each.set, each.by, each.more) for each in revisions]

    def complaints(self) -> list[str]:
        """What `verify` says of this device's farm."""
        with reading(self.engine) as connection:
            return list(verify(connection, self.farm))


DeviceMaker = Callable[..., Device]


def line(seq: Any = 1, *, stamp: int = 1, **more: Any) -> str:
    """The text of a line: of a sound bed, unless `more` says otherwise."""
    wording = {"seq": seq, "stamp": to_text(stamp), "kind": "bed", "record": BED, "by": None, "set": A_BED}
    return json.dumps(wording | more)


def run_of(device: str, *texts: str, after: int = 0, before: bytes | None = None, at_each: bool = False) -> Run:
    """A run of these lines with its right digest, signed at its end, or `at_each` line.

    `before` is the digest of line `after`, unless that is 0.
    """
    last = root(device) if before is None else before
    heads = []
    for seq, text in enumerate(texts, after + 1):
        last = digest(last, text)
        if at_each:
            heads.append((seq, sign(public_key(device), head_message(device, seq, last.hex())) or b""))
    return signed(Run(device, after, texts, last.hex(), public_key(device), signed_before=tuple(heads[:-1])))


def signed(run: Run) -> Run:
    """A run with a new signature of its device, where it has a key."""
    return replace(run, signature=sign(run.key, head_message(run.origin, run.end, run.digest)) or b"")


#: Two histories of one bed that part after their second line.
COMMON = (line(1), line(2, set={"rows": 2}))
OURS = (line(3, stamp=2, set={"rows": 3}), line(4, stamp=3, set={"name": "Ours"}))
THEIRS = (line(3, stamp=2, set={"rows": 4}),)
