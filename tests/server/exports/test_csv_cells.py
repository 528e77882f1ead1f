"""Cells of a table: what goes out comes back, and no spreadsheet takes a text for a formula."""

import csv
import io
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from server.exports.spreadsheets.cells import guarded, text_of, unguarded, value_in
from server.exports.spreadsheets.text import sheet_lines, sheet_text
from shared_models.fields.catalog import FieldType

TEXT = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\x00"))
TRICKY = st.text("'=+-@\t\r\n ,\";a＝", max_size=8)
JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | TEXT,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(TEXT, inner, max_size=3),
    max_leaves=8,
)


@given(TEXT | TRICKY)
def test_every_text_comes_back_from_its_cell(text: str) -> None:
    assert unguarded(guarded(text)) == text


@given(TRICKY)
def test_no_text_in_a_cell_begins_like_a_formula(text: str) -> None:
    assert not guarded(text).lstrip(" ").startswith(tuple("=+-@\t\r\n＝"))


@pytest.mark.parametrize(
    "text", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", " =1", "'=1", "＝1", "\ufeff=1", "\x01=1", "\u200b@A1"]
)
def test_what_looks_like_a_formula_has_an_apostrophe_before_it(text: str) -> None:
    assert guarded(text) == f"'{text}"


@pytest.mark.parametrize("text", ["Bed 1", "'s Gravenpolder", "a=b", "", "1-2"])
def test_other_texts_stay_as_they_are(text: str) -> None:
    assert guarded(text) == text


@given(st.lists(st.lists(TEXT | TRICKY, min_size=2, max_size=4), min_size=1, max_size=4))
def test_a_table_comes_back_cell_by_cell(lines: list[list[str]]) -> None:
    header = ["a"] * len(lines[0])

    read = [line.cells for line in sheet_lines(sheet_text(header, lines))]

    assert read == [header, *lines]


@pytest.mark.parametrize(
    ("of_type", "values"),
    [
        (FieldType.LIST, st.lists(JSON, max_size=3)),
        (FieldType.TABLE, st.dictionaries(TEXT, JSON, max_size=3)),
        (FieldType.WHOLE, st.integers(-(10**18), 10**18)),
        (FieldType.NUMBER, st.floats(allow_nan=False, allow_infinity=False)),
    ],
)
@given(data=st.data())
def test_a_value_comes_back_from_its_cell(
    of_type: FieldType, values: st.SearchStrategy[Any], data: st.DataObject
) -> None:
    value = data.draw(values)

    assert value_in(text_of(value), of_type) == value


@pytest.mark.parametrize(("text", "meant"), [("true", True), ("FALSE", False), ("perhaps", "perhaps"), ("", None)])
def test_yes_and_no_are_read_as_spreadsheets_write_them_too(text: str, meant: object) -> None:
    assert value_in(text, FieldType.YES_NO) == meant


@pytest.mark.parametrize(
    ("text", "of_type", "hint"),
    [
        ("46146", FieldType.TIME, "2026-05-14T12:15:00Z"),
        ("5/14/2026", FieldType.DAY, "2026-05-14"),
        ("46146", FieldType.DAY, "2026-05-14"),
        ("[1,", FieldType.LIST, "JSON"),
    ],
)
def test_a_cell_that_could_be_taken_for_something_else_is_refused(text: str, of_type: FieldType, hint: str) -> None:
    """A spreadsheet's day number must not become a day of 1970."""
    with pytest.raises(ValueError, match=hint):
        value_in(text, of_type)


def test_lines_are_counted_as_an_editor_counts_them() -> None:
    """A cell with line ends does not shift the numbers of the lines after it."""
    lines = sheet_lines('a,b\r\n"two\r\nlines",1\r\n\r\nx,2\r\n')

    assert [(line.number, line.cells[1]) for line in lines] == [(1, "b"), (2, "1"), (5, "2")]


def test_what_is_no_table_is_refused() -> None:
    with pytest.raises(ValueError, match="line 2"):
        sheet_lines('a\r\n"b" c\r\n')


def test_lines_end_as_rfc_4180_says() -> None:
    assert sheet_text(["a", "b"], [["1", 'say "so"']]) == 'a,b\r\n1,"say ""so"""\r\n'
    assert list(csv.reader(io.StringIO(sheet_text(["a"], [[""]]), newline=""))) == [["a"], [""]]
