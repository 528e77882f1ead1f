"""Bytes that somebody made to cost much: they are refused before they do, and only named errors come out."""

import gzip
import json
import tracemalloc
from collections.abc import Callable

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from shared_models.core.revision import MAX_LINE_BYTES, read
from shared_models.errors import BadBody, LineRefused, TooLarge
from shared_models.sync.bundle import MOST_PAGES, checked_farm, pages_in
from shared_models.sync.wire import (
    MAX_BODY_BYTES,
    MOST_HEADER_ITEMS,
    MOST_LINES,
    MOST_LOGS,
    MOST_SIGNED_BEFORE,
    VERSION,
    Page,
    pack,
    unpack,
)
from tests.shared_models.log.device import FARM, PHONE, an_id, line, run_of

#: peak of memory while a page is read, as a multiple of the largest page
MOST_MEMORY = 8
START = f'{{"version":{VERSION},"farm":"{FARM}"'
RUN = f'{{"device":"{PHONE}","after":0,"digest":"{"0" * 64}"'
DIGEST = "0" * 64


def holds_of(logs: int, digest: str = DIGEST) -> str:
    return f'{START},"holds":{{' + ",".join(f'"{an_id(n)}":[1,"{digest}"]' for n in range(logs)) + "}}"


def run_of_lines(*lines: str) -> str:
    return "\n".join([f'{START},"runs":[{RUN},"lines":{len(lines)}}}]}}', *lines])


HOSTILE = {
    "nothing but open lists": lambda: "[" * MAX_BODY_BYTES,
    "open lists within the limit": lambda: f'{START},"x":' + "[" * (MOST_HEADER_ITEMS - 10),
    "millions of empty lines": lambda: START + "}" + "\n" * (MAX_BODY_BYTES - 100),
    "empty lines as many as it says": lambda: run_of_lines(*[""] * (MOST_LINES + 1)),
    "80,000 logs": lambda: holds_of(80_000),
    "more logs than a page speaks of": lambda: holds_of(MOST_LOGS + 1),
    "mistakes in every log": lambda: holds_of(MOST_HEADER_ITEMS // 4, digest="x"),
    "empty lists in a key that nobody knows": lambda: f'{START},"x":[{"[]," * (MOST_HEADER_ITEMS // 2 - 9)}[]]',
    "a key of the length of a page": lambda: f'{START},"{"x" * (MAX_BODY_BYTES - 100)}"',
    "rows of smileys": lambda: run_of_lines("\U0001f600" * (MAX_BODY_BYTES // 4 - 100)) + "\n",
    "one smiley among letters": lambda: "\U0001f600" + "x" * (MAX_BODY_BYTES - 100),
    "signatures without end": lambda: (
        f'{START},"runs":[{RUN},"lines":1,"signed_before":['
        + ",".join(f'[{n},""]' for n in range(MOST_SIGNED_BEFORE + 1))
        + "]}]}\n"
    ),
}


def peak_of(read_it: Callable[[], object]) -> int:
    """The most memory in use at once meanwhile, in bytes."""
    tracemalloc.start()
    try:
        with pytest.raises(BadBody):
            read_it()
        return tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()


@pytest.mark.parametrize("content", HOSTILE.values(), ids=HOSTILE)
def test_a_page_made_to_cost_memory_is_refused_for_little(content: Callable[[], str]) -> None:
    packed = gzip.compress(content().encode(), compresslevel=1)

    assert peak_of(lambda: unpack(packed)) < MOST_MEMORY * MAX_BODY_BYTES


def test_a_bundle_made_to_cost_memory_is_refused_for_little() -> None:
    """A file of a few kilobytes that unpacks to a thousand times as much, page after page."""
    page = gzip.compress((START + "}" + "\n" * (MAX_BODY_BYTES - 100)).encode())
    bundle = pack(Page(FARM, {})) + page * 3
    assert len(bundle) < 20_000

    assert peak_of(lambda: checked_farm(bundle)) < MOST_MEMORY * MAX_BODY_BYTES


def test_a_bundle_of_pages_without_end_is_refused() -> None:
    with pytest.raises(TooLarge):
        checked_farm(pack(Page(FARM, {})) * (MOST_PAGES + 1))


def test_many_empty_members_are_no_bundle() -> None:
    with pytest.raises(BadBody):
        checked_farm(gzip.compress(b"") * 10_000)


def test_a_page_of_as_much_as_it_may_hold_is_taken() -> None:
    holds = {an_id(number): (1, DIGEST) for number in range(MOST_LOGS)}
    page = Page(FARM, holds, (run_of(PHONE, *map(line, range(1, MOST_LINES + 1 - len(holds)))),))

    assert unpack(pack(page)) == page


# ---------------------------------------------------------------------- anything at all

GOOD = pack(Page(FARM, {PHONE: (1, DIGEST)}, (run_of(PHONE, line(1), line(2)),)))
GOOD_TEXT = gzip.decompress(GOOD).decode()
#: values that a key of a header or of a line may be given instead of its own
ODD = st.recursive(
    st.one_of(
        st.none(),
        st.booleans(),
        st.integers(),
        st.floats(),
        st.text(max_size=8),
        st.sampled_from([PHONE, FARM, 2**53, 2**64, -1, "\0", "9" * 5000]),
    ),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=6,
)
NAMES = st.sampled_from(["version", "farm", "first", "until", "holds", "runs", "refused"])
LINE_NAMES = st.sampled_from(["seq", "stamp", "kind", "record", "by", "set", "more"])
#: a text with a piece of it left out, put in twice or replaced
SOME = settings(max_examples=max(300, settings().max_examples))


def mangled(text: str) -> st.SearchStrategy[str]:
    places = st.tuples(st.integers(0, len(text)), st.integers(0, len(text))).map(sorted)
    return st.builds(
        lambda at, piece, times: text[: at[0]] + text[at[0] : at[1]] * times + piece + text[at[1] :],
        places,
        st.text(max_size=4) | st.sampled_from(["\n", "[", "{", '"', '"seq":1,', "1e999", "NaN"]),
        st.integers(0, 2),
    )


@SOME
@given(st.one_of(mangled(GOOD_TEXT), st.dictionaries(NAMES, ODD).map(json.dumps), st.text()))
def test_any_text_is_a_page_or_refused(text: str) -> None:
    packed = gzip.compress(text.encode(errors="surrogatepass"))

    for read_it in (unpack, lambda body: list(pages_in(body))):
        try:
            read_it(packed)
        except BadBody:
            continue


@SOME
@given(st.binary(max_size=200), st.integers(0, len(GOOD)), st.integers(0, len(GOOD)))
def test_any_bytes_are_a_bundle_or_refused(anything: bytes, until: int, since: int) -> None:
    try:
        farm = checked_farm(GOOD[:until] + anything + GOOD[since:])
    except BadBody:
        return

    assert farm == FARM


@SOME
@given(st.one_of(mangled(line(1)), st.dictionaries(LINE_NAMES, ODD).map(json.dumps), st.text()))
@example("[" * MAX_LINE_BYTES)
@example('{"a":' * (MAX_LINE_BYTES // 5))
@example("9" * MAX_LINE_BYTES)
def test_any_text_is_a_line_or_refused(text: str) -> None:
    try:
        revision = read(PHONE, 1, text)
    except LineRefused:
        return

    assert (revision.device, revision.seq) == (PHONE, 1)


@pytest.mark.parametrize("twice", ['"rows": 5', '"set": {"rows": 5}', '"by": null', '"seq": 1'])
def test_a_line_in_which_a_key_stands_twice_is_refused(twice: str) -> None:
    """One program would read the first of the two and another the second, and fold different records."""
    once = line(1, set={"rows": 5})
    assert read(PHONE, 1, once)

    with pytest.raises(LineRefused, match="it is not a log line"):
        read(PHONE, 1, once.replace(twice, f"{twice}, {twice}"))
