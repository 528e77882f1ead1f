"""What travels between two sides, and in a bundle: one header line of JSON, then the lines of the logs as they are.

The body is UTF-8 text compressed with gzip. The header says what the sender holds, which runs of lines follow, and
which lines of the other side it refused; the texts of the runs follow, one a line, in the order of the header.
"""

from __future__ import annotations

import json
import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Annotated, Literal, NamedTuple

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, ValidationError

from shared_models.core import clock
from shared_models.core.revision import no_key_twice
from shared_models.errors import BadBody, Fork, LineRefused, TooLarge
from shared_models.lazy_message import LazyMessage
from shared_models.log.damage import Damage
from shared_models.log.log import ALL, Branch, Holds, Run, Span
from shared_models.log.repair import MOST_WANTED
from shared_models.records.field_types import Id, Note
from shared_models.records.problems import problems_of

MEDIA_TYPE = "application/vnd.rowend.lines"
#: a page of lines: about this much text, before compression
PAGE_BYTES = 1024 * 1024
#: once unpacked, nothing honest is larger: a page, lines of at most 16 KiB up to the next signed one, and a header
MAX_BODY_BYTES = 4 * PAGE_BYTES
#: lines of a log in one page: twice as many of the shortest as a page has room for
MOST_LINES = 20_000
#: lists, objects and values in the header, twice as many as one for `MOST_LOGS` has; each costs memory to read
MOST_HEADER_ITEMS = 50_000
#: signatures inside the runs of one page; each costs time to check
MOST_SIGNED_BEFORE = 1000
#: logs that one page speaks of at most; those after them follow with the next
MOST_LOGS = 1000
GZIP_LEVEL = 1

#: the version of this protocol: raised when another side would misread what is sent
VERSION = 2

_Bytes = Annotated[bytes, Field(max_length=128)]
_Digest = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
_Seq = Annotated[int, Field(ge=0, lt=2**53, strict=True)]
#: why a body is refused that ends too early
CUT = "it was cut on the way"
_NO_HEADER = "its first line is not a sync header"
_AUTO_GZIP = 16 + zlib.MAX_WBITS
#: packed bytes that are unpacked at a time
_AT_ONCE = 64 * 1024
#: mistakes in a header that are put into words
_MOST_MISTAKES = 100


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
    holds: Annotated[dict[Id, tuple[_Seq, _Digest]], Field(max_length=MOST_LOGS)] = {}
    runs: list[RunHead] = []
    refused: list[Verdict] = []
    latest: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{16}$")] | None = None
    #: lines that are damaged or missing where the sender holds them
    wanted: Annotated[list[tuple[Id, _Seq]], Field(max_length=MOST_WANTED)] = []


@dataclass(frozen=True, slots=True)
class Page:
    """One message: the farm, what its sender holds of a span of logs, runs of lines, and refusals of lines received.

    `wanted` are lines of logs which the sender holds, but damaged.
    """

    farm: str
    holds: Holds
    runs: Sequence[Run] = ()
    refused: Sequence[Verdict] = ()
    span: Span = ALL
    #: the latest stamp that its sender takes; None when it does not say
    latest: int | None = None
    wanted: Sequence[Damage] = ()


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
        wanted=list(page.wanted),
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


class Member(NamedTuple):
    """What a body begins with: one member of a gzip file, unpacked. It is not `whole` where the body ends before it."""

    plain: bytes
    packed_size: int
    whole: bool


def unpack(body: bytes, max_bytes: int = MAX_BODY_BYTES) -> Page:
    """Parse a page.

    Raises:
        TooLarge: when it is too large once unpacked.
        BadBody: when it is cut, or not of the right shape.
    """
    plain, packed_size, whole = first_member(memoryview(body), max_bytes)
    if not whole:
        raise BadBody(CUT)
    if packed_size != len(body):
        raise BadBody("there is more data after its end")
    return parse(plain)


def first_member(body: memoryview, max_bytes: int) -> Member:
    """Unpack what a body begins with, piece by piece and no further than `max_bytes`.

    Raises:
        TooLarge: when it is larger.
        BadBody: when it is not compressed with gzip.
    """
    unzip, plain, at = zlib.decompressobj(wbits=_AUTO_GZIP), bytearray(), 0
    try:
        while at < len(body) and not unzip.eof:
            # one byte more than is taken shows that it is too much
            plain += unzip.decompress(body[at : at + _AT_ONCE], max_bytes + 1 - len(plain))
            if len(plain) > max_bytes:
                raise TooLarge(max_bytes)
            at += _AT_ONCE
    except zlib.error as problem:
        raise BadBody("it is not compressed with gzip") from problem
    return Member(bytes(plain), min(at, len(body)) - len(unzip.unused_data), unzip.eof)


def parse(plain: bytes) -> Page:
    """Parse an unpacked page. What it holds is counted before anything is made of it.

    Raises:
        BadBody: when it is not of the right shape.
    """
    first = plain.partition(b"\n")[0]
    if sum(map(first.count, (b",", b"[", b"{"))) > MOST_HEADER_ITEMS or plain.count(b"\n") > MOST_LINES:
        raise BadBody("it holds more lines or logs than belong in one page")
    try:
        text, *texts = _lines(plain)
    except UnicodeDecodeError as problem:
        raise BadBody("it is not UTF-8 text") from problem
    header = _header(text)
    if sum(run.lines for run in header.runs) != len(texts):
        raise BadBody("it does not hold as many lines as it says")
    if len({run.device for run in header.runs}) != len(header.runs):
        raise BadBody("it holds two runs of one device")
    if sum(len(run.signed_before) for run in header.runs) > MOST_SIGNED_BEFORE:
        raise BadBody("it holds more signatures than belong in one page")
    span = Span(header.first, header.until)
    latest = None if header.latest is None else int(header.latest, 16)
    wanted = tuple(Damage(*line) for line in header.wanted)
    runs, refused = tuple(_runs(header.runs, texts)), tuple(header.refused)
    return Page(header.farm, header.holds, runs, refused, span, latest, wanted)


def _lines(plain: bytes) -> list[str]:
    """The lines of a page: of a text with one rare letter, all of it at once takes four times its size."""
    return plain.decode().split("\n") if plain.isascii() else [line.decode() for line in plain.split(b"\n")]


def _header(text: str) -> Header:
    try:
        found = json.loads(text, object_pairs_hook=no_key_twice)
    except (ValueError, RecursionError) as problem:
        raise BadBody(_NO_HEADER) from problem
    if isinstance(found, dict) and found.get("version") != VERSION:
        raise BadBody("it was made by another version of Rowend; update the app and the service")
    try:
        return Header.model_validate_json(text)
    except ValidationError as problem:
        if problem.error_count() > _MOST_MISTAKES:
            raise BadBody(_NO_HEADER) from problem
        name, reason = next(iter(problems_of(problem.errors(include_url=False)).items()))
        raise BadBody(
            LazyMessage("its first line is not a sync header ({name}: {reason})", name=name, reason=reason)
        ) from problem


def _runs(heads: Sequence[RunHead], texts: Sequence[str]) -> Iterator[Run]:
    start = 0
    for head in heads:
        branch = head.branch and Branch(*head.branch)
        some = tuple(texts[start : start + head.lines])
        before = tuple(head.signed_before)
        yield Run(head.device, head.after, some, head.digest, head.key, head.signature, branch, before)
        start += head.lines
