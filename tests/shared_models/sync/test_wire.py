import gzip
import json
import zlib
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from shared_models.errors import BadBody, Fork, LineRefused, TooLarge
from shared_models.log.log import Branch, Run, Span
from shared_models.sync.wire import MAX_BODY_BYTES, VERSION, Page, Verdict, pack, unpack
from tests.shared_models.log.device import FARM, OFFICE, PHONE, TABLET, line, run_of

PAGE = Page(
    FARM,
    {PHONE: (7, "0" * 64)},
    (run_of(PHONE, line(1), line(2, set={"note": "é 🥬"})), run_of(TABLET, line(1))),
    (Verdict(code="line-refused", device=OFFICE, seq=3, reason="it is not a log line"),),
)
BODY = pack(PAGE)


def body(header: Any, *lines: str) -> bytes:
    """A body as a careless or hostile program might make it."""
    first = header if isinstance(header, str) else json.dumps(header)
    return gzip.compress("\n".join([first, *lines]).encode(errors="surrogatepass"))


def run_head(device: str = PHONE, after: Any = 0, lines: Any = 1, digest: Any = "0" * 64) -> dict[str, Any]:
    return {"device": device, "after": after, "lines": lines, "digest": digest}


# ---------------------------------------------------------------------- what is sent is what comes

digests = st.binary(min_size=32, max_size=32).map(bytes.hex)
seqs = st.integers(0, 2**53 - 1)
devices = st.sampled_from([PHONE, TABLET, OFFICE])
texts = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\n"), max_size=30)
proofs = st.binary(max_size=80)
branches = st.none() | st.builds(Branch, devices, seqs, digests)
befores = st.lists(st.tuples(seqs, proofs), max_size=2).map(tuple)
runs = st.builds(
    Run, devices, seqs, st.lists(texts, min_size=1, max_size=4).map(tuple), digests, proofs, proofs, branches, befores
)
spans = st.builds(Span, st.just("") | devices, st.none() | devices)
reasons = texts.filter(lambda text: "\0" not in text)
verdicts = st.builds(
    Verdict,
    code=st.sampled_from(["fork", "not-signed"]),
    device=devices,
    seq=seqs,
    reason=reasons,
    common=st.none() | seqs,
)
pages = st.builds(
    Page,
    st.just(FARM),
    st.dictionaries(devices, st.tuples(seqs, digests)),
    st.lists(runs, max_size=3, unique_by=lambda run: run.device).map(tuple),
    st.lists(verdicts, max_size=2).map(tuple),
    spans,
)


@given(pages)
@example(Page(FARM, {}))
@example(PAGE)
def test_a_page_comes_out_as_it_went_in(page: Page) -> None:
    assert unpack(pack(page)) == page


def test_a_refusal_travels_with_its_reason() -> None:
    refusal, fork = LineRefused(PHONE, 3, "it is not a log line"), Fork(TABLET, 7)

    result = unpack(pack(Page(FARM, {}, (), (Verdict.of(refusal), Verdict.of(fork))))).refused

    assert [(each.device, each.seq, each.reason, each.common) for each in result] == [
        (PHONE, 3, "it is not a log line", None),
        (TABLET, 8, "another line with this number is already held", 7),
    ]


def test_what_a_newer_program_says_besides_is_passed_over() -> None:
    header = {"version": VERSION, "farm": FARM, "runs": [run_head() | {"colour": "red"}], "weather": "wet"}

    page = unpack(body(header, line()))

    assert page == Page(FARM, {}, (Run(PHONE, 0, (line(),), "0" * 64),))


# ---------------------------------------------------------------------- what was damaged on the way


def test_a_body_cut_anywhere_is_no_page() -> None:
    for end in range(len(BODY)):
        with pytest.raises(BadBody):
            unpack(BODY[:end])


@given(pages, st.data())
def test_any_page_cut_anywhere_is_no_page(page: Page, data: st.DataObject) -> None:
    whole = pack(page)
    end = data.draw(st.integers(0, len(whole) - 1))

    with pytest.raises(BadBody):
        unpack(whole[:end])


@given(st.integers(0, len(BODY) - 1), st.integers(1, 255))
def test_a_body_with_a_wrong_byte_is_the_same_page_or_none(place: int, flipped: int) -> None:
    """Some bytes of gzip's own header say nothing of the page."""
    damaged = bytearray(BODY)
    damaged[place] ^= flipped

    try:
        page = unpack(bytes(damaged))
    except BadBody:
        return

    assert page == PAGE


@pytest.mark.parametrize("after", [b"\0", b"trailing", BODY])
def test_something_after_its_end_is_refused(after: bytes) -> None:
    with pytest.raises(BadBody, match="there is more data after its end"):
        unpack(BODY + after)


@given(st.binary(max_size=200))
@example(b"")
@example(b"<html>Log in to the Wi-Fi</html>")
@example(zlib.compress(b"{}"))
def test_what_is_not_compressed_with_gzip_is_no_page(anything: bytes) -> None:
    with pytest.raises(BadBody):
        unpack(anything)


def test_what_is_not_utf_8_is_refused() -> None:
    with pytest.raises(BadBody, match="it is not UTF-8 text"):
        unpack(gzip.compress(b'{"version":2,"farm":"\xff"}'))
    with pytest.raises(BadBody, match="it is not UTF-8 text"):
        unpack(body({"version": VERSION, "farm": FARM, "runs": [run_head()]}, "\ud800"))


# ---------------------------------------------------------------------- what is not what it says

HEADERS: dict[str, Any] = {
    "nothing": "",
    "no JSON": "{",
    "a list": [],
    "null": None,
    "no farm": {"version": VERSION},
    "a farm's name": {"version": VERSION, "farm": "Alder Lane"},
    "holds a list": {"version": VERSION, "farm": FARM, "holds": []},
    "holds of no device": {"version": VERSION, "farm": FARM, "holds": {"Ana's phone": [1, "0" * 64]}},
    "holds without a digest": {"version": VERSION, "farm": FARM, "holds": {PHONE: [1]}},
    "holds below nought": {"version": VERSION, "farm": FARM, "holds": {PHONE: [-1, "0" * 64]}},
    "holds of half a line": {"version": VERSION, "farm": FARM, "holds": {PHONE: [1.5, "0" * 64]}},
    "holds in a text": {"version": VERSION, "farm": FARM, "holds": {PHONE: ["1", "0" * 64]}},
    "holds of true": {"version": VERSION, "farm": FARM, "holds": {PHONE: [True, "0" * 64]}},
    "holds beyond any number": {"version": VERSION, "farm": FARM, "holds": {PHONE: [2**53, "0" * 64]}},
    "holds beyond any parser": f'{{"version":{VERSION},"farm":"'
    + FARM
    + '","holds":{"'
    + PHONE
    + '":['
    + "9" * 5000
    + "]}}",
    "a digest too short": {"version": VERSION, "farm": FARM, "holds": {PHONE: [1, "0" * 63]}},
    "a digest too long": {"version": VERSION, "farm": FARM, "holds": {PHONE: [1, "0" * 65]}},
    "a digest in capitals": {"version": VERSION, "farm": FARM, "holds": {PHONE: [1, "A" * 64]}},
    "a digest with a newline": {"version": VERSION, "farm": FARM, "holds": {PHONE: [1, "0" * 64 + "\n"]}},
    "a run of no device": {"version": VERSION, "farm": FARM, "runs": [run_head("Ana's phone")]},
    "a run below nought": {"version": VERSION, "farm": FARM, "runs": [run_head(after=-1)]},
    "a run of no lines": {"version": VERSION, "farm": FARM, "runs": [run_head(lines=0)]},
    "a run of fewer than none": {"version": VERSION, "farm": FARM, "runs": [run_head(lines=-1)]},
    "a run without a digest": {"version": VERSION, "farm": FARM, "runs": [run_head(digest=None)]},
    "a refusal of nothing": {"version": VERSION, "farm": FARM, "refused": [{}]},
    "a refusal with half a letter": {
        "version": VERSION,
        "farm": FARM,
        "refused": [{"code": "fork", "device": PHONE, "seq": 1, "reason": "\ud800"}],
    },
    "a key that stands twice": f'{{"version":{VERSION},"farm":"{FARM}","farm":"{FARM}"}}',
    "a span of no device": {"version": VERSION, "farm": FARM, "first": "Ana's phone"},
    "a key too long": {"version": VERSION, "farm": FARM, "runs": [run_head() | {"key": "A" * 400}]},
    "a branch of nothing": {"version": VERSION, "farm": FARM, "runs": [run_head() | {"branch": [PHONE]}]},
    "nested beyond any parser": "[" * 40_000 + "]" * 40_000,
}


@pytest.mark.parametrize("header", HEADERS.values(), ids=HEADERS)
def test_a_header_of_another_shape_is_refused(header: Any) -> None:
    with pytest.raises(BadBody, match="its first line is not a sync header"):
        unpack(body(header))


def test_the_reason_names_the_part_that_is_wrong() -> None:
    with pytest.raises(BadBody) as result:
        unpack(body({"version": VERSION, "farm": "Alder Lane"}))

    assert result.value.reason.startswith("its first line is not a sync header (farm: ")
    assert "Nothing was stored; send it again." in str(result.value)


@pytest.mark.parametrize("version", [None, 1, VERSION + 1, "2"])
def test_another_version_is_refused_and_says_what_to_do(version: object) -> None:
    with pytest.raises(BadBody, match="update the app and the service"):
        unpack(body({"version": version, "farm": FARM, "a shape": "of next year"}))


@pytest.mark.parametrize("lines", [[], [line()], [line()] * 3], ids=len)
def test_more_or_fewer_lines_than_it_says_are_refused(lines: list[str]) -> None:
    with pytest.raises(BadBody, match="it does not hold as many lines as it says"):
        unpack(body({"version": VERSION, "farm": FARM, "runs": [run_head(lines=2)]}, *lines))


def test_two_runs_of_one_device_are_refused() -> None:
    with pytest.raises(BadBody, match="it holds two runs of one device"):
        unpack(body({"version": VERSION, "farm": FARM, "runs": [run_head(), run_head(after=1)]}, line(1), line(2)))


# ---------------------------------------------------------------------- what is too much


def test_a_small_body_that_unpacks_to_more_than_is_taken_is_refused() -> None:
    bomb = gzip.compress(b" " * (4 * MAX_BODY_BYTES))
    assert len(bomb) < MAX_BODY_BYTES // 100

    with pytest.raises(TooLarge) as result:
        unpack(bomb)

    assert result.value.max_bytes == MAX_BODY_BYTES


@given(st.integers(1, 5000), st.integers(1, 5000), st.booleans())
@example(100, 101, True)
def test_the_sender_must_send_less_whenever_it_is_too_much(limit: int, size: int, plain: bool) -> None:
    """Also where the rest of it hides in the unpacker, all of the body being read."""
    content = b"x" * size if plain else bytes(place * place % 251 for place in range(size))

    with pytest.raises(BadBody) as result:
        unpack(gzip.compress(content), limit)

    assert isinstance(result.value, TooLarge) or size <= limit
    assert not isinstance(result.value, TooLarge) or size >= limit


def test_a_page_of_the_size_that_is_sent_is_taken() -> None:
    long = line(set={"note": "n" * 16_000})
    page = Page(FARM, {}, (run_of(PHONE, *[long] * 80),))

    assert unpack(pack(page)) == page
