"""Every record of a farm with the logs that prove it, as one JSON document; and the check of such a document."""

import json
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from pydantic import BaseModel, ValidationError
from sqlalchemy import Connection

from server.exports.proof.file_signature import FileSignature, is_file_signed, sign_file
from server.exports.proof.log_check import Findings, check_log
from server.exports.proof.log_proof import LogProof, lines_of, whole_logs
from server.exports.spreadsheets.records import FLAGGED, everything, flagged_json, json_text, record_json
from shared_models.core.revision import Revision, read
from shared_models.errors import BadBody, LineRefused
from shared_models.fields.catalog import OFFICE_ONLY
from shared_models.log.projection import Histories, RecordKey, rows_of
from shared_models.records.field_types import Id
from shared_models.records.models import KINDS

_SIGNED, _END = ',\n "signed": ', "\n}"
_MOST_NAMED = 20


class Document(BaseModel):
    """What of the document is checked."""

    farm: Id
    records: dict[str, list[dict[str, Any]]]
    flagged: list[dict[str, Any]] = []
    logs: list[LogProof] = []
    signed: tuple[str, str, str] | None = None


def export_text(connection: Connection, farm: str, *, private: bool) -> str:
    """Everything in one JSON document, signed by the office; `private` with wages and prices."""
    logs = [log.model_dump(mode="json", exclude_defaults=True) for log in whole_logs(connection, farm, private=private)]
    content = json_text(everything(connection, farm, private=private) | {"logs": logs}).removesuffix(_END)
    signature = sign_file(connection, farm, content)
    return content + (_SIGNED + json.dumps(signature) if signature else "") + _END


def check_export(text: str) -> Findings:
    """Check a document: chains, signatures, and that its records are what its lines say.

    Raises:
        BadBody: when it is not such a document.
    """
    document, found = _parsed(text), Findings()
    if not document.logs:
        found.not_proven.append("No logs are in this file, so nothing shows who wrote its records.")
        return found
    for log in document.logs:
        found.add(check_log(log))
    if found.wrong:
        return found
    differences = list(_differences(document))
    found.wrong += differences[:_MOST_NAMED]
    if len(differences) > _MOST_NAMED:
        found.wrong.append(f"… and {len(differences) - _MOST_NAMED:,} more records.")
    if not differences:
        found.proven.append("The records are what these lines say.")
    found.add(check_signature(text.rpartition(_SIGNED)[0], document.signed))
    return found


def check_signature(content: str, signed: Sequence[str] | None) -> Findings:
    """Check the office's signature under a file."""
    found = Findings()
    if signed is None:
        found.not_proven.append("The office did not sign this file as a whole.")
    elif is_file_signed(content, FileSignature(*signed)):
        found.proven.append(f"The file is as the office {signed[0]} wrote it.")
    else:
        found.wrong.append("The file is not as the office wrote it: something in it was changed.")
    return found


def _parsed(text: str) -> Document:
    try:
        return Document.model_validate_json(text)
    except ValidationError as problem:
        first = problem.errors(include_url=False, include_input=False)[0]
        where = ".".join(map(str, first["loc"]))
        raise BadBody(f"it is not an export of records ({where}: {first['msg']})") from problem


def _differences(document: Document) -> Iterator[str]:
    """A sentence for each record that is not what the lines say."""
    rows = rows_of(document.farm, _histories(document.logs))
    for kind in KINDS:
        good, _ = rows.get(kind, ([], []))
        listed = (row for row in good if kind != "farm" or row["id"] == document.farm)
        wanted = {row["id"]: _plain(record_json(kind, row)) for row in listed}
        yield from _compare(kind, wanted, {str(each.get("id")): each for each in document.records.get(kind, [])})
    bad = [_plain(flagged_json(row)) for _, some in rows.values() for row in some]
    wanted = {f"{each['kind']} {each['id']}": each for each in bad}
    yield from _compare(FLAGGED, wanted, {f"{each.get('kind')} {each.get('id')}": each for each in document.flagged})


def _compare(kind: str, wanted: Mapping[str, Any], held: Mapping[str, Any]) -> Iterator[str]:
    for record, fields in held.items():
        expected = wanted.get(record)
        if expected is None:
            yield f"{_called(kind, record, fields)}: no line in this file says so."
            continue
        missing = expected.keys() - fields.keys() - OFFICE_ONLY.get(kind, frozenset())
        differing = [name for name, value in fields.items() if name not in expected or expected[name] != value]
        differing += sorted(missing)
        if differing:
            yield f"{_called(kind, record, fields)}: not what the lines say: {', '.join(differing)}."
    yield from (f"{_called(kind, each, wanted[each])}: it was taken out." for each in wanted.keys() - held.keys())


def _called(kind: str, record: str, fields: Mapping[str, Any]) -> str:
    name = fields.get("name") or fields.get("code")
    return f"{kind.replace('_', ' ')} {name} ({record})" if name else f"{kind.replace('_', ' ')} {record}"


def _plain(value: Any) -> Any:
    return json.loads(json_text(value))


def _histories(logs: Sequence[LogProof]) -> Histories:
    found: dict[RecordKey, list[Revision]] = defaultdict(list)
    for device, seq, text in lines_of(logs):
        try:
            line = read(device, seq, text)
        except LineRefused:  # named by the check of its log
            continue
        found[RecordKey(line.kind, line.record)].append(line)
    return found
