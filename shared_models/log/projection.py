"""Folded records in their typed tables: written with each line, and rebuilt from the lines at any time."""

import json
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache, partial
from itertools import groupby, islice
from typing import Any, NamedTuple

from pydantic import TypeAdapter, ValidationError
from sqlalchemy import JSON, Connection, Table, bindparam, delete, exists, insert, select, update

from shared_models.core.fold import fold
from shared_models.core.revision import Revision, read
from shared_models.errors import LineRefused
from shared_models.lazy_message import LazyMessage
from shared_models.log.chain import lost_lines
from shared_models.log.last_good import last_good
from shared_models.log.prepared_statements import AT_ONCE, Prepared, PreparedForIds
from shared_models.records.models import KINDS, UNITS
from shared_models.records.problems import problems_of
from shared_models.records.tables import DERIVED, PROJECTIONS, DamagedLine, Flagged, Line, Log, table_of

_MODELS: dict[str, TypeAdapter[Any]] = {kind: TypeAdapter(model) for kind, model in KINDS.items()}
_LOG, _LINE, _FLAGGED, _DAMAGED = table_of(Log), table_of(Line), table_of(Flagged), table_of(DamagedLine)


class RecordKey(NamedTuple):
    """A record: its kind and its id."""

    kind: str
    id: str


Histories = Mapping[RecordKey, Sequence[Revision]]
Row = dict[str, Any]


class Validated(NamedTuple):
    """Folded fields as their model sees them: a row for the table, or the problems by field."""

    row: Row | None
    problems: dict[str, LazyMessage]


def validate(kind: str, fields: Mapping[str, Any]) -> Validated:
    """Validate folded `fields`; a field that is None counts as never set."""
    given = {name: value for name, value in fields.items() if value is not None}
    try:
        row = vars(_MODELS[kind].validator.validate_python(given))
    except ValidationError as problem:
        return Validated(None, problems_of(problem.errors(include_url=False, include_input=False)))
    for name in _json_columns(kind):
        if name in given:
            row[name] = given[name]
    return Validated(row, {})


@cache
def _json_columns(kind: str) -> frozenset[str]:
    columns = table_of(PROJECTIONS[kind]).columns
    return frozenset(column.name for column in columns if isinstance(column.type, JSON))


_LINES_OF_FARM = (
    select(_LOG.c.id, _LOG.c.device, _LINE.c.seq, _LINE.c.text)
    .join_from(_LINE, _LOG, _LINE.c.log_id == _LOG.c.id)
    .where(_LOG.c.farm_id == bindparam("farm"))
)
_DEVICES = Prepared(select(_LOG.c.id, _LOG.c.device).where(_LOG.c.farm_id == bindparam("farm")))
_NOTED_DAMAGE = Prepared(
    select(_LOG.c.device, _DAMAGED.c.seq)
    .join_from(_DAMAGED, _LOG, _DAMAGED.c.log_id == _LOG.c.id)
    .where(_LOG.c.farm_id == bindparam("farm"))
)
#: not joined with the logs: SQLite would rather read whole logs than look up two hundred records
_LINES_OF_RECORDS = PreparedForIds(select(_LINE.c.log_id, _LINE.c.seq, _LINE.c.text), _LINE.c.record)


def histories(connection: Connection, farm: str, records: Iterable[str]) -> dict[RecordKey, list[Revision]]:
    """All revisions held of these records, by kind and id. A line known to be damaged is left out, or unreadable."""
    found: dict[RecordKey, list[Revision]] = defaultdict(list)
    damaged = set(_NOTED_DAMAGE.run(connection, {"farm": farm}))
    lines = _lines_of(connection, farm, records)
    for revision in _readable(line for line in lines if not damaged or line[:2] not in damaged):
        found[RecordKey(revision.kind, revision.record)].append(revision)
    return found


def history(
    connection: Connection, farm: str, key: RecordKey, devices: Mapping[int, str] | None = None
) -> list[Revision]:
    """All revisions held of one record. `devices` are the farm's, by the ids of their logs, where they are known."""
    lines = _lines_of(connection, farm, [key.id], devices)
    return [revision for revision in _readable(lines) if revision.kind == key.kind]


def _lines_of(
    connection: Connection, farm: str, records: Iterable[str], devices: Mapping[int, str] | None = None
) -> Iterator[tuple[str, int, str]]:
    lines = _LINES_OF_RECORDS.run(connection, {}, records)
    if devices is None:
        devices = dict(_DEVICES.run(connection, {"farm": farm})) if lines else {}
    return ((devices[log], seq, text) for log, seq, text in lines if log in devices)


def _readable(lines: Iterable[Any]) -> Iterable[Revision]:
    for device, seq, text in lines:
        try:
            yield read(device, seq, text)
        except LineRefused:
            continue


def project(connection: Connection, farm: str, touched: Histories) -> None:
    """Fold each record and store it: in its table when valid, else in `flagged` with the reasons.

    Of a flagged record that was valid before, the table keeps the last good form.
    """
    for kind, (good, bad) in rows_of(farm, touched).items():
        table = table_of(PROJECTIONS[kind])
        records = list(dict.fromkeys(row["id"] for row in (*good, *bad)))
        for held in (table, _FLAGGED):
            _delete_rows(held).run(connection, {"farm_id": farm, "kind": kind}, records)
        for into, rows in ((table, good), (_FLAGGED, bad)):
            _insert_row(into).run_many(connection, rows)


def project_one(
    connection: Connection, farm: str, key: RecordKey, revisions: Sequence[Revision], *, new: bool
) -> Row | None:
    """Like `project`, for one record that got one line more; its row, None where it never was valid.

    A record that is valid before and after takes one statement, which changes no row of a record that was flagged.
    """
    good, bad = rows_of(farm, {key: revisions})[key.kind]
    row = next(iter(good), None)
    if row is not None and new and not bad:
        _insert_row(table_of(PROJECTIONS[key.kind])).run(connection, row)
    elif row is None or bad or not _change(key.kind).run_counting(connection, row | {"flagged_kind": key.kind}):
        project(connection, farm, {key: revisions})
    return row


@cache
def _change(kind: str) -> Prepared:
    table = table_of(PROJECTIONS[kind])
    others = {name: bindparam(name, type_=column.type) for name, column in table.c.items() if not column.primary_key}
    same = [column == bindparam(column.name) for column in table.primary_key]
    flags = [_FLAGGED.c[column.name] == bindparam(column.name) for column in table.primary_key]
    flagged = exists().where(_FLAGGED.c.kind == bindparam("flagged_kind"), *flags)
    return Prepared(update(table).where(*same, ~flagged).values(others))


@cache
def _delete_rows(table: Table) -> PreparedForIds:
    named = [table.c[name] == bindparam(name) for name in ("farm_id", "kind") if name in table.c]
    return PreparedForIds(delete(table).where(*named), table.c.id)


@cache
def _insert_row(table: Table) -> Prepared:
    return Prepared(insert(table))


def rows_of(farm: str, touched: Histories) -> dict[str, tuple[list[Row], list[Row]]]:
    """The rows that stand for these records, by kind: those for its table, and those for `flagged`.

    A record that broke a rule by merging has a row in both.
    """
    rows: dict[str, tuple[list[Row], list[Row]]] = defaultdict(lambda: ([], []))
    for key, revisions in touched.items():
        if key.kind not in KINDS:
            continue
        fields = fold(revisions, UNITS.get(key.kind, {}))
        row, problems = validate(key.kind, fields)
        good, bad = rows[key.kind]
        name = {"farm_id": farm, "id": key.id}
        if problems:
            row = last_good_row(key.kind, revisions)
            reasons = json.dumps({field: problem.to_json() for field, problem in problems.items()})
            flag = {"problems": reasons, "fields": json.dumps(fields), "kept": row is not None}
            bad.append(name | {"kind": key.kind} | flag)
        if row is not None:
            good.append(name | row)
    return rows


@cache
def _defaults(kind: str) -> frozenset[str]:
    """The fields that have a value when they were never set."""
    fields = ((name, each) for name, each in KINDS[kind].model_fields.items() if not each.is_required())
    return frozenset(name for name, each in fields if each.get_default(call_default_factory=True) is not None)


def last_good_fields(kind: str, revisions: Iterable[Revision]) -> dict[str, Any] | None:
    """The last good form of a flagged record; None where it never was valid."""
    return last_good(revisions, UNITS.get(kind, {}), _defaults(kind), partial(_problems, kind))


def last_good_row(kind: str, revisions: Iterable[Revision]) -> Row | None:
    """The same as a row of its table."""
    fields = last_good_fields(kind, revisions)
    return None if fields is None else validate(kind, fields).row


def _problems(kind: str, fields: Mapping[str, Any]) -> Mapping[str, LazyMessage]:
    return validate(kind, fields).problems


def rebuild(connection: Connection, farm: str) -> None:
    """Drop the farm's projections and fold them again from its logs, without lines that fail the chain of their log.

    Lines are not changed.
    """
    for model in DERIVED:
        table = table_of(model)
        connection.execute(delete(table).where(table.c.farm_id == farm))
    for chunk in all_histories(connection, farm):
        project(connection, farm, chunk)


def all_histories(connection: Connection, farm: str) -> Iterable[dict[RecordKey, list[Revision]]]:
    """Every record of the farm with its revisions, some records at a time. A line that fails its chain is left out."""
    logs = connection.execute(select(_LOG).where(_LOG.c.farm_id == farm)).all()
    damaged = {(log.id, seq) for log in logs for seq in lost_lines(connection, log)}
    rows = connection.execute(_LINES_OF_FARM.order_by(_LINE.c.record), {"farm": farm})
    sound = (line for log, *line in rows if (log, line[1]) not in damaged)
    by_record = groupby(_readable(sound), key=lambda revision: revision.record)
    while chunk := [list(revisions) for _, revisions in islice(by_record, AT_ONCE)]:
        grouped: dict[RecordKey, list[Revision]] = defaultdict(list)
        for revision in (revision for revisions in chunk for revision in revisions):
            grouped[RecordKey(revision.kind, revision.record)].append(revision)
        yield grouped
