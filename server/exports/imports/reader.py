"""Reading exported records back: what is good, and of what is not, where it stands and why."""

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, NamedTuple

from server.exports.spreadsheets.cells import value_in
from server.exports.spreadsheets.columns import Column, columns_of
from server.exports.spreadsheets.records import FLAGGED, FORMAT, VERSION, as_json
from server.exports.spreadsheets.text import SheetLine, sheet_lines
from shared_models.core.ids import is_id
from shared_models.errors import UsageError
from shared_models.fields.catalog import FieldType
from shared_models.log.projection import RecordKey, validate
from shared_models.records.models import KINDS

#: what else `rowend export` writes into a directory
_NO_RECORDS = {f"{FLAGGED}.csv", "rates.csv", "stands.csv", "soil.csv"}


class Problem(NamedTuple):
    """Something that cannot be imported: where it stands, in which column, and why."""

    where: str
    column: str
    reason: str

    def __str__(self) -> str:
        return f"{self.where}, {self.column}: {self.reason}" if self.column else f"{self.where}: {self.reason}"


class RecordToImport(NamedTuple):
    """A record to import: its fields as JSON values, without those that were never filled in."""

    key: RecordKey
    fields: dict[str, Any]


@dataclass(slots=True)
class ImportedRecords:
    """What was read: good records in the order of their kinds, problems, and what was passed over."""

    good: list[RecordToImport] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    passed_over: list[str] = field(default_factory=list)
    #: the farm they were exported from, if known
    farm: str | None = None


class _Entry(NamedTuple):
    where: str
    values: Mapping[str, Any]
    problems: Sequence[Problem] = ()


def read_records(source: Path) -> ImportedRecords:
    """What stands in a directory of tables, or in a JSON document.

    Raises:
        UsageError: when it is neither, or cannot be read.
    """
    if source.is_dir():
        return _from_directory(source)
    document = _document(source)
    result = ImportedRecords(farm=document["farm"])
    result.passed_over += [f"kind {kind}: this program does not know it" for kind in document["records"].keys() - KINDS]
    flagged = document.get(FLAGGED)
    left_out = [each for each in flagged if not _is_kept(each)] if isinstance(flagged, list) else []
    if left_out:
        result.passed_over.append(f"{len(left_out)} flagged records: they break a rule")
    for kind in (kind for kind in KINDS if kind in document["records"]):
        _add_entries(result, kind, _from_json(kind, document["records"][kind]))
    return result


def _is_kept(flagged: Any) -> bool:
    """Whether a flagged record stands among the good ones too, as it last was good."""
    return isinstance(flagged, dict) and flagged.get("kept") is True


def _from_directory(source: Path) -> ImportedRecords:
    result = ImportedRecords()
    tables = sorted(path.name for path in source.glob("*.csv"))
    known = [f"{kind}.csv" for kind in KINDS if f"{kind}.csv" in tables]
    if not known:
        raise UsageError(
            f"There is no table of records in {source}.", "Name a directory that rowend export has written."
        )
    strange = [name for name in tables if name not in known and name not in _NO_RECORDS]
    result.passed_over += [f"{name}: unknown kind of record" for name in strange]
    for name in known:
        kind = name.removesuffix(".csv")
        _add_entries(result, kind, _from_table(kind, name, _text(source / name)))
    farms = [found.key.id for found in result.good if found.key.kind == "farm"]
    result.farm = farms[0] if farms else None
    return result


def _text(path: Path) -> str:
    try:
        return path.read_bytes().decode("utf-8-sig")  # spreadsheets put a mark before it
    except OSError as problem:
        raise UsageError(f"{path} cannot be read ({problem.strerror}).", "Check its name.") from problem
    except UnicodeDecodeError as problem:
        raise UsageError(f"{path} is not UTF-8 text.", "Save it as CSV in UTF-8.") from problem


def _document(source: Path) -> dict[str, Any]:
    wrong = UsageError(f"{source} is not a file of records.", "Name the records.json that rowend export has written.")
    try:
        document: dict[str, Any] = json.loads(_text(source))
    except (ValueError, RecursionError) as problem:
        raise wrong from problem
    is_ours = isinstance(document, dict) and document.get("format") == FORMAT
    if not is_ours or not isinstance(document.get("records"), dict):
        raise wrong
    if document.get("version") != VERSION:
        raise UsageError(f"{source} was written by a newer program.", "Update Rowend, then import it.")
    if not is_id(document.get("farm")):
        raise wrong
    return document


def _from_json(kind: str, entries: Any) -> Iterator[_Entry]:
    if not isinstance(entries, list):
        yield _Entry(kind, {}, [Problem(kind, "", "it is not a list")])
        return
    for number, entry in enumerate(entries, 1):
        where = f"{kind} {number}"
        if isinstance(entry, dict):
            unknown = _unknown_columns(kind, where, entry)
            yield _Entry(where, entry, unknown)
        else:
            yield _Entry(where, {}, [Problem(where, "", "it is not a record")])


def _from_table(kind: str, name: str, text: str) -> Iterator[_Entry]:
    try:
        header, *lines = sheet_lines(text) or [SheetLine(1, [])]
    except ValueError as problem:
        yield _Entry(name, {}, [Problem(name, "", f"it is not CSV ({problem})")])
        return
    columns = {column.name: column for column in columns_of(kind)}
    problems = _unknown_columns(kind, f"{name} line {header.number}", header.cells)
    problems += [
        Problem(f"{name} line {header.number}", twice, "this column appears twice")
        for twice in sorted({each for each in header.cells if header.cells.count(each) > 1})
    ]
    if problems:
        yield _Entry(name, {}, problems)
    for line in lines:
        yield _line(f"{name} line {line.number}", columns, header.cells, line.cells)


def _unknown_columns(kind: str, where: str, names: Iterable[str]) -> list[Problem]:
    known = {column.name for column in columns_of(kind)}
    return [Problem(where, name, "unknown column") for name in names if name not in known]


def _line(where: str, columns: Mapping[str, Column], header: Sequence[str], cells: Sequence[str]) -> _Entry:
    if len(cells) != len(header):
        return _Entry(where, {}, [Problem(where, "", f"it has {len(cells)} cells under {len(header)} headings")])
    values, problems = {}, []
    for name, cell in zip(header, cells, strict=True):
        try:
            values[name] = value_in(cell, columns[name].type if name in columns else FieldType.TEXT)
        except ValueError as problem:
            problems.append(Problem(where, name, str(problem)))
    return _Entry(where, values, problems)


def _add_entries(result: ImportedRecords, kind: str, entries: Iterable[_Entry]) -> None:
    seen: set[str] = set()
    for where, values, problems in entries:
        result.problems += problems
        if not values or any(each.where == where for each in problems):
            continue
        record = values.get("id")
        if not isinstance(record, str) or not is_id(record):
            result.problems.append(Problem(where, "id", "it is not an id (a UUID in lower case)"))
        elif record in seen:
            result.problems.append(Problem(where, "id", "another record has the same id"))
        elif kind == "farm" and seen:
            result.problems.append(Problem(where, "id", "there is already a farm, and only one is imported"))
        else:
            seen.add(record)
            _validate(result, where, RecordKey(kind, record), values)


def _validate(result: ImportedRecords, where: str, key: RecordKey, values: Mapping[str, Any]) -> None:
    columns = {column.name: column for column in columns_of(key.kind)}
    given = {name: value for name, value in values.items() if value is not None and name in columns and name != "id"}
    row, problems = validate(key.kind, given)
    result.problems += [Problem(where, "" if name == "entry" else name, reason) for name, reason in problems.items()]
    if row is not None:
        as_kept = as_json(key.kind, row)
        result.good.append(
            RecordToImport(
                key, {name: as_kept[name] for name in given if _differs_from_default(columns[name], as_kept[name])}
            )
        )


def _differs_from_default(column: Column, value: Any) -> bool:
    """Whether a field must be written: that a record is not voided, or has no note, goes without saying."""
    return bool(column.default) or value != column.default
