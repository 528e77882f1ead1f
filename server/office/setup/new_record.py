"""What the form of a new record asks for: a record under an id of its own, once, however often the form is sent."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from starlette.datastructures import FormData

from server.office.forms.record_form import RecordForm
from server.office.setup.duplicates import SAME_BY, is_here
from server.office.shell.context import OfficeContext
from shared_models.core.ids import is_id
from shared_models.errors import UnknownRecord
from shared_models.log.projection import RecordKey
from shared_models.reports.audit.entries import Entry, entry_of

ALREADY_ENTERED = "this is here already: change it on its own page, from the list below, or write another"


@dataclass(frozen=True, slots=True)
class Added:
    """A record to write: its fields, or why it cannot be, by field. `is_written` when the form was sent before."""

    record: str
    fields: Mapping[str, Any]
    problems: Mapping[str, str]
    is_written: bool = False


def added(context: OfficeContext, form: RecordForm, typed: FormData, new_id: str) -> Added:
    """What was typed into the form of a new record.

    The form brings the id that it was made with. Where that is taken, the same form was sent once more; or somebody
    went back to it and filled it in anew, and that is another record.
    """
    kind, changes, sent = form.entry.key.kind, form.changes(typed), typed.get("record")
    record = sent if isinstance(sent, str) and is_id(sent) else new_id
    stands = entry_of_record(context, RecordKey(kind, record))
    if stands is not None and not changes.problems:
        if not stands.voided and _says(stands, changes.fields):
            return Added(record, {}, {}, is_written=True)
        record = new_id
    problems = dict(changes.problems) or form.missing(typed)
    if not problems and is_here(context.session.connection(), context.farm.id, kind, changes.fields):
        problems = {SAME_BY[kind][0]: context.localizer.t(ALREADY_ENTERED)}
    return Added(record, changes.fields, problems)


def entry_of_record(context: OfficeContext, key: RecordKey) -> Entry | None:
    """The current record; None if it has no line."""
    try:
        return entry_of(context.session, context.farm.id, key)
    except UnknownRecord:
        return None


def _says(entry: Entry, fields: Mapping[str, Any]) -> bool:
    return all(str(entry.fields.get(name)) == str(value) for name, value in fields.items())
