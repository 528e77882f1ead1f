"""A bundle: the lines of a farm's logs in a file, to travel by memory card.

It is what one side of a sync would send, in pages as large as a sync's, one gzip after the other. The private log of
the office is never in it.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterator
from dataclasses import dataclass

from sqlalchemy import Connection, Engine

from server.devices import KnownDevice
from server.surroundings import Surroundings
from server.syncing import exchange
from shared_models.errors import BadBody, TooMuch
from shared_models.log import Holds, holds, lacking
from shared_models.store import reading
from shared_models.wire import MAX_BODY_BYTES, PAGE_BYTES, Page, Verdict, pack, unpack

_AUTO_GZIP = 16 + zlib.MAX_WBITS


@dataclass(slots=True)
class Taken:
    """What became of one log in a bundle: lines new here, lines held here now, and the refusal if there was one."""

    device: str
    new: int
    held: int
    refused: Verdict | None = None


def bundle_of(connection: Connection, farm: str, theirs: Holds, page_bytes: int = PAGE_BYTES) -> Iterator[bytes]:
    """The pages of a bundle for a side that holds `theirs`; a page without lines when it lacks none."""
    mine, known = holds(connection, farm), dict(theirs)
    while True:
        runs = lacking(connection, farm, known, page_bytes)
        if runs or known == theirs:
            yield pack(Page(farm, mine, runs))
        if not runs:
            return
        known |= {run.device: (run.after + len(run.texts), run.digest) for run in runs}


def pages_in(bundle: bytes, max_bytes: int = MAX_BODY_BYTES) -> Iterator[Page]:
    """The pages of a bundle, one after the other.

    Raises:
        BadBody: when what follows is cut, or no page.
        TooMuch: when a page is larger than any honest one.
    """
    rest = memoryview(bundle)
    if not rest:
        raise BadBody("it is empty")
    while rest:
        size = _size_of_first(rest, max_bytes)
        yield unpack(bytes(rest[:size]), max_bytes)
        rest = rest[size:]


def _size_of_first(bundle: memoryview, max_bytes: int) -> int:
    unzip, room, at = zlib.decompressobj(wbits=_AUTO_GZIP), max_bytes + 1, 0
    try:
        while at < len(bundle) and not unzip.eof:
            room -= len(unzip.decompress(bundle[at : at + PAGE_BYTES], room))
            if room <= 0:
                raise TooMuch(max_bytes)
            at += PAGE_BYTES
    except zlib.error as problem:
        raise BadBody("it is no bundle, or was damaged on the way") from problem
    if not unzip.eof:
        raise BadBody("it was cut on the way")
    return min(at, len(bundle)) - len(unzip.unused_data)


def take_in(engine: Engine, page: Page, surroundings: Surroundings) -> list[Taken]:
    """Take in one page of a bundle, as a sync would from a side that does not hear the answer.

    Raises:
        OtherFarm: when a log in it belongs to another farm; nothing of the page is stored.
    """
    nobody = KnownDevice(id="", farm=page.farm, name="bundle", last_seen_at=surroundings.now())
    before = _seqs(engine, page.farm)
    refused = {verdict.device: verdict for verdict in exchange(engine, nobody, page, surroundings, 1).refused}
    after = _seqs(engine, page.farm)
    return [
        Taken(
            run.device,
            after.get(run.device, 0) - before.get(run.device, 0),
            after.get(run.device, 0),
            refused.get(run.device),
        )
        for run in page.runs
    ]


def _seqs(engine: Engine, farm: str) -> dict[str, int]:
    with reading(engine) as connection:
        return {device: seq for device, (seq, _) in holds(connection, farm).items()}
