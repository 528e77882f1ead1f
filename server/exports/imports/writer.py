"""Imported records become lines of the office's logs."""

import json
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, select

from server.exports.imports.reader import Problem, RecordToImport
from server.farms.edits import write
from shared_models.core.revision import MAX_LINE_BYTES
from shared_models.errors import BadEntry
from shared_models.log.projection import RecordKey
from shared_models.records.models import KINDS, UNITS
from shared_models.records.tables import Line, Log, table_of

#: of fields in one line; what else a line holds is far below the rest
MOST_BYTES = MAX_LINE_BYTES - 512

Fields = Mapping[str, Any]


def is_empty(connection: Connection, farm: str) -> bool:
    """Whether nothing was logged yet but the farm itself."""
    log, line = table_of(Log).c, table_of(Line).c
    others = select(line.seq).join_from(table_of(Line), table_of(Log), line.log_id == log.id)
    return connection.execute(others.where(log.farm_id == farm, line.record != farm).limit(1)).first() is None


def write_in(
    connection: Connection, farm: str, found: Sequence[RecordToImport], now: datetime, by: str | None = None
) -> list[Problem]:
    """Write the records into the office's logs under their own ids (the farm's own under the farm's); what did not fit.

    A record that does not fit is left out whole. The caller's transaction decides whether the rest stays.
    """
    problems = []
    for key, fields in found:
        record = farm if key.kind == "farm" else key.id
        try:
            with connection.begin_nested():
                for part in parts_of(key.kind, fields):
                    write(connection, farm, RecordKey(key.kind, record), part, by=by, now=now)
        except BadEntry as refusal:
            problems += [Problem(f"{key.kind} {key.id}", name, reason) for name, reason in refusal.problems.items()]
    return problems


def parts_of(kind: str, fields: Fields) -> Iterator[Fields]:
    """The fields in parts that each fit into a line: what a record must have first, and units of fields whole."""
    part: dict[str, Any] = {}
    for unit in sorted(_units(kind, fields), key=lambda names: not _required(kind, names)):
        more = {name: fields[name] for name in unit}
        if part and _size(part | more) > MOST_BYTES:
            yield part
            part = {}
        part |= more
    if part:
        yield part


def _units(kind: str, fields: Fields) -> list[tuple[str, ...]]:
    units = UNITS.get(kind, {})
    whole = dict.fromkeys(units.get(name, (name,)) for name in fields)
    return [tuple(name for name in unit if name in fields) for unit in whole]


def _required(kind: str, names: Sequence[str]) -> bool:
    return any(KINDS[kind].model_fields[name].is_required() for name in names)


def _size(fields: Fields) -> int:
    return len(json.dumps(fields, separators=(",", ":")))
