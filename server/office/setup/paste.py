"""A pasted table: what each line would write, or what is wrong with it and what to do."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from server.exports.imports.reader import RecordToImport
from server.exports.spreadsheets.cells import unguarded
from server.exports.spreadsheets.records import flagged_records, records
from server.exports.spreadsheets.text import SheetLine, sheet_lines
from server.office.forms.fields import FIELDS, Field
from server.office.forms.names import RecordNames
from server.office.forms.parse_numbers import FieldError
from server.office.forms.record_form import RecordForm
from server.office.forms.titles import title
from server.office.setup.duplicates import same_key
from server.office.setup.paste_headings import Heading, column_name, heading
from server.office.setup.paste_text import is_text
from server.office.shell.context import OfficeContext
from shared_models.core.fold import whole
from shared_models.core.ids import is_id
from shared_models.log.projection import RecordKey, validate
from shared_models.records.models import UNITS
from shared_models.records.problems import field_beside, is_rule
from shared_models.reports.audit.entries import Entry

MOST_LINES = 2_000
_BETWEEN_CELLS = ("\t", ";", ",")


class PasteProblem(NamedTuple):
    """What is wrong with a line and what to do; without a column it is about all of it."""

    column: str
    reason: str


@dataclass(frozen=True, slots=True)
class PastedLine:
    """A line: the record's title, what saving would change, and what it writes (`found`; None for nothing)."""

    number: int
    title: str
    change: str
    wrong: tuple[PasteProblem, ...]
    found: RecordToImport | None


@dataclass(frozen=True, slots=True)
class Pasted:
    """The whole table. It is saved only when nothing is wrong with it."""

    lines: tuple[PastedLine, ...]

    @property
    def wrong(self) -> int:
        return sum(bool(line.wrong) for line in self.lines)

    @property
    def found(self) -> list[RecordToImport]:
        return [line.found for line in self.lines if line.found]


def read_pasted(context: OfficeContext, kind: str, text: str, names: RecordNames, new_ids: Iterator[str]) -> Pasted:
    """Read a table line by line."""
    t = context.localizer.t
    if not is_text(text):
        return _refused(1, "", t("This is not text. Save the table as CSV in the spreadsheet, and choose that file."))
    try:
        header, *lines = _even(sheet_lines(text.lstrip("\ufeff"), _comma(text)))
    except ValueError:
        return _refused(1, "", t("This is not a table: a quotation mark is not closed. Close it, or take it out."))
    if not lines:
        return _refused(1, "", t("Paste the headings in the first line, and below them a line for each record."))
    if len(lines) > MOST_LINES:
        return _refused(
            lines[MOST_LINES].number, "", t("Paste at most {n} lines at once.", n=names.localizer.number(MOST_LINES))
        )
    columns = [None if _is_id_column(cell) else heading(kind, cell, names) for cell in header.cells]
    wrong = list(_wrong_headings(kind, header.cells, columns, names))
    if wrong:
        return Pasted((PastedLine(header.number, "", "", tuple(wrong), None),))
    return Pasted(tuple(_Reader(context, kind, names, header.cells, columns, new_ids).lines(lines)))


def _even(lines: Sequence[SheetLine]) -> list[SheetLine]:
    """The lines without empty cells beyond the last heading, and with those that a spreadsheet left out."""
    if not lines:
        return [SheetLine(1, [])]
    headings = _trimmed(lines[0].cells)
    width = len(headings)
    cells = (line.cells + [""] * (width - len(line.cells)) for line in lines[1:])
    even = (each[:width] + _trimmed(each[width:]) for each in cells)
    return [
        lines[0]._replace(cells=headings),
        *(line._replace(cells=each) for line, each in zip(lines[1:], even, strict=True)),
    ]


def _trimmed(cells: Sequence[str]) -> list[str]:
    last = max((place for place, cell in enumerate(cells, 1) if cell.strip()), default=0)
    return list(cells[:last])


def _refused(number: int, column: str, reason: str) -> Pasted:
    return Pasted((PastedLine(number, "", "", (PasteProblem(column, reason),), None),))


def _comma(text: str) -> str:
    """What stands between the cells: spreadsheets paste tabs, and some write semicolons."""
    first = text.lstrip().partition("\n")[0]
    return next((comma for comma in _BETWEEN_CELLS if comma in first), ",")


def _is_id_column(heading: str) -> bool:
    return heading.strip().casefold() == "id"


def _wrong_headings(
    kind: str, cells: Sequence[str], columns: Sequence[Heading | None], names: RecordNames
) -> Iterable[PasteProblem]:
    t = names.localizer.t
    seen: set[str] = set()
    for place, (cell, column) in enumerate(zip(cells, columns, strict=True), 1):
        if column is None:
            if not _is_id_column(cell):
                yield PasteProblem(
                    cell.strip() or str(place), t("unknown column: pick one from the list, or remove it")
                )
        elif column.field.name in seen:
            yield PasteProblem(cell, t("this column is there twice; remove one"))
        else:
            seen.add(column.field.name)
    needed = [field for field in FIELDS[kind] if field.needed and field.name not in seen]
    if needed and not any(map(_is_id_column, cells)):
        missing = ", ".join(column_name(field, names) for field in needed)
        yield PasteProblem("", t("these columns are missing: {names}", names=missing))


class _Reader:
    def __init__(
        self,
        context: OfficeContext,
        kind: str,
        names: RecordNames,
        headings: Sequence[str],
        columns: Sequence[Heading | None],
        new_ids: Iterator[str],
    ) -> None:
        self._kind, self._names, self._headings, self._columns, self._new_ids = kind, names, headings, columns, new_ids
        saved = records(context.session.connection(), context.farm.id, kind, private=False)
        self._saved = {record["id"]: record for record in saved}
        for flagged in flagged_records(context.session.connection(), context.farm.id, private=False):
            if flagged["kind"] == kind and flagged["kept"]:  # it is corrected as the log has it
                self._saved[flagged["id"]] |= flagged["fields"]
        self._ids: dict[tuple[str, ...], str] = {
            key: record["id"] for record in saved if not record["voided"] and (key := same_key(kind, record))
        }
        self._seen: dict[str, int] = {}

    def lines(self, lines: Iterable[SheetLine]) -> Iterator[PastedLine]:
        for line in lines:
            if any(cell.strip() for cell in line.cells):
                yield self._line(line)

    def _line(self, line: SheetLine) -> PastedLine:
        t = self._names.localizer.t
        if len(line.cells) != len(self._headings):
            reason = t(
                "it has {n} cells under {of} headings; put quotation marks around a cell that holds a comma",
                n=len(line.cells),
                of=len(self._headings),
            )
            return PastedLine(line.number, line.cells[0][:60], "", (PasteProblem("", reason),), None)
        fields, wrong = self._cells(line)
        record = self._record(line, fields, wrong)
        was = self._saved.get(record)
        if record in self._seen:
            wrong.append(PasteProblem("", t("line {n} is the same record; remove one of them", n=self._seen[record])))
        self._seen[record] = line.number
        key = RecordKey(self._kind, record)
        changed = {name: value for name, value in fields.items() if was is None or was.get(name) != value}
        entry = Entry(key, {**(was or {}), **fields})
        if not wrong:
            wrong += self._rules(entry)
        change = "" if wrong else self._change(was, changed, entry)
        units = whole(changed, was or {}, UNITS.get(self._kind, {})) if was else changed
        found = RecordToImport(key, units) if changed and not wrong else None
        return PastedLine(line.number, title(entry, self._names), change, tuple(wrong), found)

    def _cells(self, line: SheetLine) -> tuple[dict[str, Any], list[PasteProblem]]:
        fields: dict[str, Any] = {}
        wrong: list[PasteProblem] = []
        for name, column, cell in zip(self._headings, self._columns, line.cells, strict=True):
            text = unguarded(cell.strip())
            if column is None or not text:
                continue
            try:
                fields[column.field.name] = column.kind.parse(text, self._names)
            except FieldError as unfit:
                wrong.append(PasteProblem(name, str(unfit)))
        return fields, wrong

    def _record(self, line: SheetLine, fields: Mapping[str, Any], wrong: list[PasteProblem]) -> str:
        ids = [cell.strip() for name, cell in zip(self._headings, line.cells, strict=True) if _is_id_column(name)]
        if ids and ids[0]:
            if not is_id(ids[0]):
                wrong.append(
                    PasteProblem(
                        "id", self._names.localizer.t("this is not an id; leave the cell empty to add a record")
                    )
                )
            return ids[0]
        key = same_key(self._kind, fields) or ("", str(line.number))
        if key not in self._ids:
            self._ids[key] = next(self._new_ids)
        return self._ids[key]

    def _rules(self, entry: Entry) -> Iterable[PasteProblem]:
        t = self._names.localizer.t
        by_name = {column.field.name: column.text for column in self._columns if column}
        for name, reason in validate(self._kind, entry.fields).problems.items():
            place = field_beside(name, reason)
            empty = entry.fields.get(place) in (None, "")
            text = t("this cannot be left empty" if empty else "this cannot be right")
            if is_rule(reason):
                text = self._names.localizer.t_lazy(reason)
            yield PasteProblem(by_name.get(place, place), text)

    def _change(self, was: Mapping[str, Any] | None, changed: Mapping[str, Any], entry: Entry) -> str:
        t = self._names.localizer.t
        if was is None:
            return t("new")
        if not changed:
            return t("no change")
        fields = [field for field in FIELDS[self._kind] if field.name in changed]
        return "; ".join(self._field_change(field, was, entry) for field in fields)

    def _field_change(self, field: Field, was: Mapping[str, Any], entry: Entry) -> str:
        forms = (RecordForm(each, (field,), self._names) for each in (Entry(entry.key, was), entry))
        before, after = (form.format(field) for form in forms)
        nothing = self._names.localizer.t("not entered")
        return f"{self._names.localizer.t(field.label)}: {before or nothing} → {after or nothing}"
