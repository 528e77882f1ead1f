"""What travels between two sides, and in a bundle: one header line of JSON, then the lines of the logs as they are.

The body is UTF-8 text compressed with gzip. The header says what the sender holds, which runs of lines follow, and
which lines of the other side it refused; the texts of the runs follow, one a line, in the order of the header.
"""

from __future__ import annotations

import json
import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Annotated

from pydantic import BaseModel, Field, StringConstraints, ValidationError

from shared_models.errors import BadBody, Fork, LineRefused, TooLarge
from shared_models.lazy_message import LazyMessage
from shared_models.log.log import Holds, Run
from shared_models.records.field_types import Id, Note
from shared_models.records.problems import problems_of

MEDIA_TYPE = "application/vnd.rowend.lines"
#: a page of lines: about this much text, before compression
PAGE_BYTES = 1024 * 1024
#: nothing honest is larger than a page, one long line and a header with many devices
MAX_BODY_BYTES = 8 * PAGE_BYTES
GZIP_LEVEL = 1

_Digest = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
_Seq = Annotated[int, Field(ge=0, lt=2**53, strict=True)]
_AUTO_GZIP = 16 + zlib.MAX_WBITS


class Verdict(BaseModel):
    """A refusal: from this line of this device's log on nothing was kept. `common` is set for a fork."""

    device: Id
    seq: _Seq
    reason: Note
    common: _Seq | None = None

    @classmethod
    def of(cls, refusal: LineRefused) -> Verdict:
        common = refusal.common if isinstance(refusal, Fork) else None
        return cls(device=refusal.device, seq=refusal.seq, reason=refusal.reason, common=common)


class RunHead(BaseModel):
    """Of a run that follows: whose log, after which line, how many lines, the digest of the last."""

    device: Id
    after: _Seq
    lines: Annotated[int, Field(ge=1, lt=2**31, strict=True)]
    digest: _Digest


class Header(BaseModel):
    """The first line of a body."""

    farm: Id
    holds: dict[Id, tuple[_Seq, _Digest]] = {}
    runs: list[RunHead] = []
    refused: list[Verdict] = []


@dataclass(frozen=True, slots=True)
class Page:
    """One message: the farm, what its sender holds, runs of lines, and refusals of lines received."""

    farm: str
    holds: Holds
    runs: Sequence[Run] = ()
    refused: Sequence[Verdict] = ()


def pack(page: Page) -> bytes:
    """Serialize a page."""
    heads = [RunHead(device=run.device, after=run.after, lines=len(run.texts), digest=run.digest) for run in page.runs]
    header = Header(farm=page.farm, holds=page.holds, runs=heads, refused=list(page.refused))
    lines = [header.model_dump_json(exclude_defaults=True)]
    for run in page.runs:
        lines.extend(run.texts)
    squeeze = zlib.compressobj(GZIP_LEVEL, wbits=_AUTO_GZIP)
    return squeeze.compress("\n".join(lines).encode()) + squeeze.flush()


def unpack(body: bytes, max_bytes: int = MAX_BODY_BYTES) -> Page:
    """Parse a page.

    Raises:
        TooLarge: when it is too large once unpacked.
        BadBody: when it is cut, or not of the right shape.
    """
    first, *texts = _unzip(body, max_bytes).split("\n")
    try:
        header = Header.model_validate(json.loads(first))
    except (ValueError, RecursionError) as problem:
        if not isinstance(problem, ValidationError):
            raise BadBody("its first line is not a sync header") from problem
        name, reason = next(iter(problems_of(problem.errors(include_url=False)).items()))
        raise BadBody(
            LazyMessage("its first line is not a sync header ({name}: {reason})", name=name, reason=reason)
        ) from problem
    if sum(run.lines for run in header.runs) != len(texts):
        raise BadBody("it does not hold as many lines as it says")
    if len({run.device for run in header.runs}) != len(header.runs):
        raise BadBody("it holds two runs of one device")
    return Page(header.farm, header.holds, tuple(_runs(header.runs, texts)), tuple(header.refused))


def _runs(heads: Sequence[RunHead], texts: Sequence[str]) -> Iterator[Run]:
    start = 0
    for head in heads:
        yield Run(head.device, head.after, tuple(texts[start : start + head.lines]), head.digest)
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
