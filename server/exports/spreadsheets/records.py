"""Every record of a farm, as CSV (one table for each kind) and as one JSON document."""

import json
from collections.abc import Mapping, Sequence
from typing import Any

from pydantic_core import to_jsonable_python
from sqlalchemy import JSON, Connection, select

from server.exports.spreadsheets.cells import text_of
from server.exports.spreadsheets.columns import shown_columns
from server.exports.spreadsheets.text import sheet_text
from shared_models.fields.catalog import OFFICE_ONLY
from shared_models.records.models import KINDS
from shared_models.records.tables import PROJECTIONS, Flagged, table_of
from shared_models.reports.audit.entries import problems_in

FORMAT = "rowend records"
VERSION = 1
#: the table of records that break a rule
FLAGGED = "flagged"
FLAGGED_COLUMNS = ("kind", "id", "problems", "fields", "kept")

Record = dict[str, Any]


def records(connection: Connection, farm: str, kind: str, *, private: bool) -> list[Record]:
    """All records of a kind as JSON values, by id: deleted ones too, flagged ones as they last were good."""
    table = table_of(PROJECTIONS[kind])
    names = [column.name for column in shown_columns(kind, private=private)]
    query = select(table).where(table.c.farm_id == farm).order_by(table.c.id)
    if kind == "farm":
        query = query.where(table.c.id == farm)
    return [_picked(as_json(kind, dict(row)), names) for row in connection.execute(query).mappings()]


def as_json(kind: str, row: Mapping[str, Any]) -> Record:
    """A row of a kind's table as JSON values; times end with Z, lists stay as the log holds them."""
    columns = table_of(PROJECTIONS[kind]).columns
    raw = {name: value for name, value in row.items() if isinstance(columns[name].type, JSON)}
    plain = {name: value for name, value in row.items() if name not in raw}
    values: Record = to_jsonable_python(plain)
    return values | raw


def record_json(kind: str, row: Mapping[str, Any]) -> Record:
    """A row of a kind's table as an exported record, with wages and prices."""
    return _picked(as_json(kind, row), [column.name for column in shown_columns(kind, private=True)])


def _picked(record: Record, names: Sequence[str]) -> Record:
    return {name: record[name] for name in names}


def flagged_records(connection: Connection, farm: str, *, private: bool) -> list[Record]:
    """The records that break a rule, with the reasons and their fields as they are."""
    table = table_of(Flagged)
    query = select(table).where(table.c.farm_id == farm).order_by(table.c.kind, table.c.id)
    return [flagged_json(dict(row), private=private) for row in connection.execute(query).mappings()]


def flagged_json(row: Mapping[str, Any], *, private: bool = True) -> Record:
    """A row of the flagged table as JSON values."""
    hidden = frozenset() if private else OFFICE_ONLY.get(row["kind"], frozenset())
    fields = {name: value for name, value in json.loads(row["fields"]).items() if name not in hidden}
    problems = problems_in(row["problems"])
    return {"kind": row["kind"], "id": row["id"], "problems": problems, "fields": fields, "kept": row["kept"]}


def kind_csv(connection: Connection, farm: str, kind: str, *, private: bool) -> str:
    """The table of one kind."""
    header = [column.name for column in shown_columns(kind, private=private)]
    return sheet_text(header, (_cells(record) for record in records(connection, farm, kind, private=private)))


def flagged_csv(connection: Connection, farm: str, *, private: bool) -> str:
    """The table of the records that break a rule."""
    return sheet_text(FLAGGED_COLUMNS, (_cells(each) for each in flagged_records(connection, farm, private=private)))


def _cells(record: Record) -> list[str]:
    return [text_of(value) for value in record.values()]


def everything(connection: Connection, farm: str, *, private: bool) -> Record:
    """All records of all kinds in one JSON document."""
    return {
        "format": FORMAT,
        "version": VERSION,
        "farm": farm,
        "records": {kind: records(connection, farm, kind, private=private) for kind in KINDS},
        FLAGGED: flagged_records(connection, farm, private=private),
    }


def json_text(value: Any) -> str:
    """A JSON document, readable by people too."""
    return json.dumps(value, ensure_ascii=False, indent=1)
