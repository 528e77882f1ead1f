"""What travels between two sides, and in a bundle: one header line of JSON, then the lines of the logs as they are.

The body is UTF-8 text compressed with gzip. The header says what the sender holds, which runs of lines follow, and
which lines of the other side it refused; the texts of the runs follow, one a line, in the order of the header.
"""

from __future__ import annotations

import json
import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, ValidationError

from shared_models.core import clock
from shared_models.errors import BadBody, Fork, LineRefused, TooLarge
from shared_models.lazy_message import LazyMessage
from shared_models.log.log import ALL, Branch, Holds, Run, Span
from shared_models.records.field_types import Id, Note
from shared_models.records.problems import problems_of

MEDIA_TYPE = "application/vnd.rowend.lines"
#: a page of lines: about this much text, before compression
PAGE_BYTES = 1024 * 1024
#: nothing honest is larger than a page, one long line and a header with many devices
MAX_BODY_BYTES = 8 * PAGE_BYTES
#: logs that one page speaks of at most; those after them follow with the next
MOST_LOGS = 1000
GZIP_LEVEL = 1

#: the version of this protocol: raised when another side would misread what is sent
VERSION = 2

_Bytes = Annotated[bytes, Field(max_length=128)]
_Digest = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
_Seq = Annotated[int, Field(ge=0, lt=2**53, strict=True)]
_AUTO_GZIP = 16 + zlib.MAX_WBITS


class Verdict(BaseModel):
    """A refusal: from this line of this log on nothing was kept. `code` says why; `common` is set for a fork."""

    code: Annotated[str, StringConstraints(max_length=40)]
    device: Id
    seq: _Seq
    reason: Note
    common: _Seq | None = None

    @classmethod
    def of(cls, refusal: LineRefused) -> Verdict:
        common = refusal.common if isinstance(refusal, Fork) else None
        return cls(code=refusal.code, device=refusal.device, seq=refusal.seq, reason=refusal.reason, common=common)


class RunHead(BaseModel):
    """Of a run that follows: whose log, after which line, how many lines, the digest of the last and who signed it."""

    model_config = ConfigDict(ser_json_bytes="base64", val_json_bytes="base64")

    device: Id
    after: _Seq
    lines: Annotated[int, Field(ge=1, lt=2**31, strict=True)]
    digest: _Digest
    key: _Bytes = b""
    signature: _Bytes = b""
    #: places in the run that were signed too: line number and signature
    signed_before: list[tuple[_Seq, _Bytes]] = []
    #: for a branch: the device whose log it left, the last line in common and its digest
    branch: tuple[Id, _Seq, _Digest] | None = None


class Header(BaseModel):
    """The first line of a body."""

    model_config = ConfigDict(ser_json_bytes="base64", val_json_bytes="base64")

    version: int
    farm: Id
    #: `holds` says all there is from this id on, and before that one
    first: Id | Literal[""] = ""
    until: Id | None = None
    holds: dict[Id, tuple[_Seq, _Digest]] = {}
    runs: list[RunHead] = []
    refused: list[Verdict] = []
    latest: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{16}$")] | None = None


@dataclass(frozen=True, slots=True)
class Page:
    """One message: the farm, what its sender holds of a span of logs, runs of lines, and refusals of lines received."""

    farm: str
    holds: Holds
    runs: Sequence[Run] = ()
    refused: Sequence[Verdict] = ()
    span: Span = ALL
    #: the latest stamp that its sender takes; None when it does not say
    latest: int | None = None


def pack(page: Page) -> bytes:
    """Serialize a page."""
    header = Header(
        version=VERSION,
        farm=page.farm,
        first=page.span.first,
        until=page.span.until,
        holds=page.holds,
        runs=[_head(run) for run in page.runs],
        refused=list(page.refused),
        latest=None if page.latest is None else clock.to_text(page.latest),
    )
    lines = [header.model_dump_json(exclude_defaults=True)]
    for run in page.runs:
        lines.extend(run.texts)
    squeeze = zlib.compressobj(GZIP_LEVEL, wbits=_AUTO_GZIP)
    return squeeze.compress("\n".join(lines).encode()) + squeeze.flush()


def _head(run: Run) -> RunHead:
    return RunHead(
        device=run.device,
        after=run.after,
        lines=len(run.texts),
        digest=run.digest,
        key=run.key,
        signature=run.signature,
        signed_before=list(run.signed_before),
        branch=run.branch,
    )


def unpack(body: bytes, max_bytes: int = MAX_BODY_BYTES) -> Page:
    """Parse a page.

    Raises:
        TooLarge: when it is too large once unpacked.
        BadBody: when it is cut, or not of the right shape.
    """
    first, *texts = _unzip(body, max_bytes).split("\n")
    header = _header(first)
    if sum(run.lines for run in header.runs) != len(texts):
        raise BadBody("it does not hold as many lines as it says")
    if len({run.device for run in header.runs}) != len(header.runs):
        raise BadBody("it holds two runs of one device")
    span = Span(header.first, header.until)
    latest = None if header.latest is None else int(header.latest, 16)
    return Page(header.farm, header.holds, tuple(_runs(header.runs, texts)), tuple(header.refused), span, latest)


def _header(text: str) -> Header:
    try:
        found = json.loads(text, object_pairs_hook=_no_key_twice)
    except (ValueError, RecursionError) as problem:
        raise BadBody("its first line is not a sync header") from problem
    if isinstance(found, dict) and found.get("version") != VERSION:
        raise BadBody("it was made by another version of Rowend; update the app and the service")
    try:
        return Header.model_validate_json(text)
    except ValidationError as problem:
        name, reason = next(iter(problems_of(problem.errors(include_url=False)).items()))
        raise BadBody(
            LazyMessage("its first line is not a sync header ({name}: {reason})", name=name, reason=reason)
        ) from problem


def _no_key_twice(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise ValueError("a key stands twice")
    return found


def _runs(heads: Sequence[RunHead], texts: Sequence[str]) -> Iterator[Run]:
    start = 0
    for head in heads:
        branch = head.branch and Branch(*head.branch)
        some = tuple(texts[start : start + head.lines])
        before = tuple(head.signed_before)
        yield Run(head.device, head.after, some, head.digest, head.key, head.signature, branch, before)
        start += head.lines


def _unzip(body: bytes, max_bytes: int) -> str:
    unzip = zlib.decompressobj(wbits=_AUTO_GZIP)
    try:
        plain = unzip.decompress(body, max_bytes)
    except zlib.error as problem:
        raise BadBody("it is not compressed with gzip") from problem
    if not unzip.eof:
        raise TooLarge(max_bytes) if len(plain) == max_bytes else BadBody("it was cut on the way")
    if unzip.unused_data:
        raise BadBody("there is more data after its end")
    try:
        return plain.decode()
    except UnicodeDecodeError as problem:
        raise BadBody("it is not UTF-8 text") from problem
