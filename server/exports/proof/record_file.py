"""The logs that a planting record stands on, inside its page; and the check of such a page."""

from collections.abc import Sequence

from pydantic import BaseModel, ValidationError
from sqlalchemy import Connection

from server.exports.feeds.planting_record import BedRecord
from server.exports.proof.export_file import check_signature
from server.exports.proof.file_signature import sign_file
from server.exports.proof.log_check import Findings, check_log
from server.exports.proof.log_proof import LogProof, logs_with
from shared_models.errors import BadBody

#: around the logs in the page, as its template has it
_BEGIN, _END = '<script type="application/json" id="rowend-logs">', "</script>"
_SIGNED, _SIGNED_END = "<!-- signed by the office: ", " -->\n"


class _Logs(BaseModel):
    farm: str
    logs: list[LogProof]


def logs_json(connection: Connection, farm: str, record: BedRecord) -> str:
    """The logs of a record with its lines, as JSON that can stand in a page."""
    logs = logs_with(connection, farm, record.logs, record.lines)
    text = _Logs(farm=farm, logs=logs).model_dump_json(exclude_defaults=True)
    return text.replace("&", "\\u0026").replace("<", "\\u003c").replace(">", "\\u003e")


def signed_page(connection: Connection, farm: str, page: str) -> str:
    """A page with the office's signature below it."""
    signature = sign_file(connection, farm, page)
    return page if signature is None else f"{page}{_SIGNED}{' '.join(signature)}{_SIGNED_END}"


def check_record(text: str) -> Findings:
    """Check a page that `signed_page` made.

    Raises:
        BadBody: when it is not such a page.
    """
    _, begin, rest = text.partition(_BEGIN)
    try:
        held = _Logs.model_validate_json(rest.partition(_END)[0])
    except ValidationError as problem:
        reason = "its logs cannot be read" if begin else "it is not a planting record with its logs"
        raise BadBody(reason) from problem
    found = Findings()
    for log in held.logs:
        found.add(check_log(log))
    page, signed = _split(text)
    found.add(check_signature(page, signed))
    return found


def _split(text: str) -> tuple[str, Sequence[str] | None]:
    """The page and what stands in its signature."""
    page, found, rest = text.rpartition(_SIGNED)
    signed = rest.removesuffix(_SIGNED_END).split(" ")
    if not found or len(signed) != len(("device", "key", "signature")) or not rest.endswith(_SIGNED_END):
        return text, None
    return page, signed
