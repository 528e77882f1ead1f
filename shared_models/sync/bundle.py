"""A bundle: the lines of a farm's logs in a file, to travel by memory card, by cable or from phone to phone.

It is what one side of a sync would send, in pages, one gzip after the other. A log that is kept in the office only is
never in it. It carries no secret. Nothing in it says who wrote the file, but each log in it is signed by its device.
"""

from collections.abc import Iterator

from sqlalchemy import Connection

from shared_models.errors import BadBody, TooLarge
from shared_models.log.log import Holds, lacking
from shared_models.sync.wire import CUT, MAX_BODY_BYTES, Member, Page, first_member, pack, parse

#: lines in one page, before compression: a phone stores a page in one go, and a tap has to wait for it
BUNDLE_PAGE_BYTES = 256 * 1024

#: a bundle of many seasons has fewer pages, and unpacks to less
MOST_PAGES, MOST_BUNDLE_BYTES = 10_000, 1024 * 1024 * 1024

_NO_BUNDLE = "it is not a file from Rowend, or it was damaged on the way"


def bundle_of(connection: Connection, farm: str, theirs: Holds, page_bytes: int = BUNDLE_PAGE_BYTES) -> Iterator[bytes]:
    """Write the pages of a bundle for a side that holds `theirs`; one page without lines if it lacks none."""
    known = dict(theirs)
    while True:
        runs = lacking(connection, farm, known, page_bytes)
        if runs or known == theirs:
            yield pack(Page(farm, {}, runs))
        if not runs:
            return
        known |= {run.device: (run.end, run.digest) for run in runs}


def pages_in(bundle: bytes, max_bytes: int = MAX_BODY_BYTES) -> Iterator[Page]:
    """Read the pages of a bundle one by one; all are of one farm.

    Raises:
        BadBody: when what follows is cut, no page, or a page of another farm.
        TooLarge: when a page is larger than any honest one, or all of them together.
    """
    rest = memoryview(bundle)
    if not rest:
        raise BadBody("it is empty")
    farm, pages, total = None, 0, 0
    while rest:
        member = _first_member(rest, max_bytes)
        pages, total = pages + 1, total + len(member.plain)
        if pages > MOST_PAGES or total > MOST_BUNDLE_BYTES:
            raise TooLarge(MOST_BUNDLE_BYTES)
        page = _page(member.plain)
        if page.farm != (farm or page.farm):
            raise BadBody("it holds pages of two farms")
        farm = page.farm
        yield page
        rest = rest[member.packed_size :]


def checked_farm(bundle: bytes, max_bytes: int = MAX_BODY_BYTES) -> str:
    """Read every page of a bundle and return its farm, before any of it is stored.

    Raises:
        BadBody: when a page cannot be read.
    """
    farm = ""
    for page in pages_in(bundle, max_bytes):
        farm = page.farm
    return farm


def _first_member(rest: memoryview, max_bytes: int) -> Member:
    try:
        member = first_member(rest, max_bytes)
    except TooLarge:
        raise
    except BadBody as problem:
        raise BadBody(_NO_BUNDLE) from problem
    if not member.whole:
        raise BadBody(CUT)
    return member


def _page(plain: bytes) -> Page:
    try:
        return parse(plain)
    except BadBody as problem:
        raise BadBody(_NO_BUNDLE) from problem
