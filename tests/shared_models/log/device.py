"""A device of a farm with its own store, and lines as any program could write them. All figures are inventions."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Engine, select
from sqlmodel import SQLModel

from shared_models.core.clock import to_text
from shared_models.core.revision import Revision, digest, read, root
from shared_models.log import log
from shared_models.log.fork import reassign_tail
from shared_models.log.log import Holds, Ingested, Run
from shared_models.log.projection import RecordKey
from shared_models.log.store import reading, writing
from shared_models.log.verify import verify
from shared_models.records.tables import Line, Log, table_of

PLENTY = 10**6


def an_id(number: int) -> str:
    """Identifiers that sort as their numbers do."""
    return f"00000000-0000-7000-8000-{number:012x}"


FARM, OTHER_FARM = an_id(0xFA), an_id(0xFB)
PHONE, TABLET, OFFICE = an_id(1), an_id(2), an_id(3)
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
            return log.append(connection, self.farm, self.id, now_ms, RecordKey(kind, record), changed, by).line

    def take(self, *runs: Run) -> Ingested:
        with writing(self.engine, self.farm) as connection:
            return log.ingest(connection, self.farm, runs)

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
            return log.run_from(connection, head, after, max_bytes)

    def meet(self, other: Device) -> None:
        """Both give the other what it lacks."""
        other.take(*self.lacking(other.holds()))
        self.take(*other.lacking(self.holds()))

    def reassign_tail(self, common: int, device: str | None = None) -> str | None:
        with writing(self.engine, self.farm) as connection:
            return reassign_tail(connection, self.farm, device or self.id, common)

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
        revisions = [read(device, seq, text) for seq, text in enumerate(self.run(device=device).texts, 1)]
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


def run_of(device: str, *texts: str, after: int = 0, before: bytes | None = None) -> Run:
    """A run of these lines with its right digest; `before` is the digest of line `after`, unless that is 0."""
    last = root(device) if before is None else before
    for text in texts:
        last = digest(last, text)
    return Run(device, after, texts, last.hex())


#: Two histories of one bed that part after their second line.
COMMON = (line(1), line(2, set={"rows": 2}))
OURS = (line(3, stamp=2, set={"rows": 3}), line(4, stamp=3, set={"name": "Ours"}))
THEIRS = (line(3, stamp=2, set={"rows": 4}),)
