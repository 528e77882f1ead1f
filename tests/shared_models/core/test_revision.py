import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.core.clock import LATEST, to_text
from shared_models.core.revision import MAX_DEPTH, MAX_LINE_BYTES, Revision, digest, read, root, text_of
from shared_models.errors import LineRefused
from tests.shared_models.log.device import A_BED, ANA, BED, PHONE, TABLET, an_id, line

KEPT_DIGEST = "bab2d1f88dfb0d1c3f8aaf77f08f3908e87083de633fcc10359f3a1a74c448ef"

any_text = st.text(st.characters(exclude_categories=()), max_size=20)  # surrogates and NUL too
values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | any_text,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(any_text, inner, max_size=3),
    max_leaves=8,
)
revisions = st.builds(
    Revision,
    device=st.just(PHONE),
    seq=st.integers(1, 2**53),
    stamp=st.integers(0, LATEST),
    kind=st.from_regex(r"[a-z][a-z0-9_]{0,63}", fullmatch=True),
    record=st.just(BED),
    set=st.dictionaries(any_text, values, max_size=4),
    by=st.sampled_from([None, ANA]),
    more=st.dictionaries(st.sampled_from(["weather", "signed"]), values),
)


@given(revisions)
def test_what_is_written_is_what_is_read(revision: Revision) -> None:
    text = text_of(revision)

    assert read(PHONE, revision.seq, text) == revision
    assert text_of(read(PHONE, revision.seq, text)) == text


@given(revisions)
def test_a_line_is_one_line_of_plain_characters(revision: Revision) -> None:
    """So it cannot break the wire, which keeps a line on a line, nor need more bytes than it has characters."""
    text = text_of(revision)

    assert text.isascii()
    assert text.isprintable()


def test_keys_that_this_program_does_not_know_are_kept() -> None:
    text = line(signed={"with": "a key of next year"})

    revision = read(PHONE, 1, text)

    assert json.loads(text_of(revision)) == json.loads(text)


def test_fields_that_this_program_does_not_know_are_kept() -> None:
    assert read(PHONE, 1, line(set=A_BED | {"colour": "red"})).set["colour"] == "red"


def test_nobody_need_have_written_a_line() -> None:
    texts = json.loads(line())
    del texts["by"]

    assert read(PHONE, 1, json.dumps(texts)).by is None


def without(key: str) -> str:
    texts = json.loads(line())
    del texts[key]
    return json.dumps(texts)


NO_LINES = {
    "nothing": "",
    "no JSON": "{",
    "a list": "[]",
    "a text": '"line"',
    "a number": "7",
    "null": "null",
    "NaN": line(set={"rows": float("nan")}),
    "infinity": line(set={"rows": float("-inf")}),
    "a number beyond any float": line().replace("30480", "1e999"),
    "a number of too many digits": line().replace("30480", "9" * 5000),
    "nested beyond any parser": line().replace("30480", "[" * 6000 + "]" * 6000),
    "a raw control character": line().replace("Bed", "B\0d"),
    "something after its end": line() + "}",
    "no seq": without("seq"),
    "no stamp": without("stamp"),
    "no kind": without("kind"),
    "no record": without("record"),
    "no fields": without("set"),
    "a stamp that is a number": line(stamp=0).replace('"0000000000000000"', "0"),
    "a stamp that is too short": line(stamp=0).replace('"0000000000000000"', '"0"'),
    "a stamp below nought": line(stamp=0).replace('"0000000000000000"', '"-000000000000001"'),
    "a stamp above the last": line().replace(to_text(1), f"{LATEST + 1:016x}"),
}
WRONG_NUMBERS: dict[str, Any] = {
    "other": 2,
    "half a letter": "\ud800",
    "long": "1" * 9000,
    "nought": 0,
    "text": "1",
    "float": 1.0,
    "yes": True,
    "none": None,
    "list": [1],
}
WRONG_KINDS: dict[str, Any] = {
    "none": {"kind": None},
    "empty": {"kind": ""},
    "capital": {"kind": "Bed"},
    "other letters": {"kind": "бед"},
    "a newline": {"kind": "bed\n"},
    "an underscore first": {"kind": "_bed"},
    "too long": {"kind": "b" * 65},
    "a number": {"kind": 7},
    "fields in a list": {"set": []},
    "fields in a text": {"set": "name"},
    "no fields": {"set": None},
}
WRONG_IDS: dict[str, Any] = {
    "no record": {"record": None},
    "a name": {"record": "Bed 1"},
    "a number": {"record": 7},
    "capitals": {"record": BED.upper()},
    "a writer's name": {"by": "Ana"},
    "a writer's number": {"by": 7},
    "an empty writer": {"by": ""},
}


def nested(depth: int) -> Any:
    return [nested(depth - 1)] if depth else 7


def refusal(text: str, seq: int = 1) -> LineRefused:
    with pytest.raises(LineRefused) as refused:
        read(PHONE, seq, text)
    return refused.value


@pytest.mark.parametrize("text", NO_LINES.values(), ids=NO_LINES)
def test_what_is_no_log_line_is_refused(text: str) -> None:
    refused = refusal(text)

    assert (refused.device, refused.seq, refused.reason) == (PHONE, 1, "it is not a log line")


@pytest.mark.parametrize("texts", WRONG_NUMBERS.values(), ids=WRONG_NUMBERS)
def test_a_line_with_another_number_is_refused_in_words_that_can_be_sent(texts: Any) -> None:
    assert refusal(line(texts)).reason == "its line number is wrong"


@pytest.mark.parametrize("wrong", WRONG_KINDS.values(), ids=WRONG_KINDS)
def test_a_line_of_no_kind_or_without_fields_is_refused(wrong: dict[str, Any]) -> None:
    assert refusal(line(**wrong)).reason == "it does not name a kind of record, or has no fields"


@pytest.mark.parametrize("wrong", WRONG_IDS.values(), ids=WRONG_IDS)
def test_a_line_of_no_record_or_of_no_person_is_refused(wrong: dict[str, Any]) -> None:
    assert refusal(line(**wrong)).reason == "it does not name a record, or its author is not a person"


def test_a_raw_surrogate_is_refused_for_it_cannot_be_sent() -> None:
    assert refusal(line().replace("Bed", "\ud800")).reason == "it is not UTF-8 text"


@pytest.mark.parametrize("key", ["set", "signed"])
def test_depth_is_bounded_whoever_reads(key: str) -> None:
    """A parser's own limit hangs on how deep it was called: one side would keep what the other refuses."""
    fits: dict[str, Any] = {key: {"a": nested(MAX_DEPTH - 1)}}
    too_deep: dict[str, Any] = {key: {"a": nested(MAX_DEPTH)}}

    read(PHONE, 1, line(**fits))

    assert refusal(line(**too_deep)).reason == "it is not one line, or nested too deeply"


def test_many_brackets_beside_each_other_are_not_deep() -> None:
    read(PHONE, 1, line(set={"stops": [{} for _ in range(100)], "note": "[" * 100}))


def test_a_line_over_two_lines_is_refused_for_it_cannot_be_sent() -> None:
    assert refusal(line().replace(", ", ",\n")).reason == "it is not one line, or nested too deeply"


@pytest.mark.parametrize("letter", ["a", "é", "€", "🥬"])
def test_length_is_bounded_in_bytes(letter: str) -> None:
    """16 KiB to the byte, whatever its letters."""
    short = line(set={"note": ""})
    room = MAX_LINE_BYTES - len(short)
    letters, rest = divmod(room, len(letter.encode()))
    fits = short.replace('"note": ""', f'"note": "{letter * letters}{"." * rest}"')

    read(PHONE, 1, fits)

    assert len(fits.encode()) == MAX_LINE_BYTES
    assert refusal(fits + " ").reason == f"it is longer than {MAX_LINE_BYTES} bytes"


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_a_number_that_is_none_cannot_be_written(value: float) -> None:
    with pytest.raises(ValueError, match="not JSON compliant"):
        text_of(Revision(PHONE, 1, 1, "farm", BED, {"latitude": value}))


def test_each_device_begins_a_chain_of_its_own() -> None:
    """The device is not in the text; a line moved to another log does not fit its chain."""
    assert digest(root(PHONE), line()) != digest(root(TABLET), line())


@given(st.binary(min_size=32, max_size=32), st.binary(min_size=32, max_size=32))
def test_a_digest_hangs_on_every_line_before(one: bytes, other: bytes) -> None:
    assert (digest(one, line()) == digest(other, line())) == (one == other)


def test_digests_are_what_they_were() -> None:
    """Figures kept from the first day: a log of any year can be checked by any program."""
    text = '{"seq":1,"stamp":"0000000000000001","kind":"bed","record":"' + BED + '","by":null,"set":{"rows":5}}'

    assert text_of(Revision(PHONE, 1, 1, "bed", BED, {"rows": 5})) == text
    assert digest(root(an_id(1)), text).hex() == KEPT_DIGEST
