"""One cell of a table: values to text and back, and no text that a spreadsheet would take for a formula."""

import json
import re
from contextlib import suppress
from typing import Any

from shared_models.fields.catalog import FieldType

#: What a spreadsheet may take for a formula, with what it may strip from before it.
_FORMULA = re.compile(r"['\s\x00-\x1f\x7f-\xa0\u200b-\u200f\u2060\ufeff]*[=+\-@\t\r\n＝＋－＠]")
_WHOLE = re.compile(r"-?[0-9]{1,19}")
_NUMBER = re.compile(r"-?[0-9]+(\.[0-9]+)?([eE][+-]?[0-9]{1,3})?")
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_TIME = re.compile(_DAY.pattern + r"[T ][0-9]{2}:[0-9]{2}.*")
_WORDS = {"true": True, "false": False}
_TIME_HINT = "write it in UTC, like 2026-05-14T12:15:00Z"
_DAY_HINT = "write it like 2026-05-14"


def guarded(text: str) -> str:
    """The text with an apostrophe before it, where a spreadsheet could take it for a formula."""
    return f"'{text}" if _FORMULA.match(text) else text


def unguarded(text: str) -> str:
    """The text that `guarded` was given."""
    return text[1:] if text.startswith("'") and _FORMULA.match(text[1:]) else text


def text_of(value: Any) -> str:
    """A JSON value as the text of a cell; nothing for null."""
    if value is None:
        return ""
    if isinstance(value, str):
        return guarded(value)
    if isinstance(value, bool | dict | list):
        return json.dumps(value, ensure_ascii=False, separators=(",", ":"))
    return repr(value)


def value_in(text: str, of_type: FieldType) -> Any:
    """The JSON value in the text of a cell; None for an empty one. Text that does not fit its type stays text.

    Raises:
        ValueError: when the text would be taken for something else than it says: the message tells how to write it.
    """
    if not text:
        return None
    if of_type in (FieldType.LIST, FieldType.TABLE):
        return _json(text)
    if of_type is FieldType.YES_NO:
        return _WORDS.get(text.strip().casefold(), text)
    if of_type is FieldType.WHOLE and _WHOLE.fullmatch(text.strip()):
        return int(text)
    if of_type is FieldType.NUMBER and _NUMBER.fullmatch(text.strip()):
        return _number(text)
    if of_type is FieldType.DAY and not _DAY.fullmatch(text):
        raise ValueError(_DAY_HINT)  # a bare number would be read as seconds since 1970
    if of_type is FieldType.TIME and not _TIME.fullmatch(text):
        raise ValueError(_TIME_HINT)
    return unguarded(text)


def _number(text: str) -> float:
    with suppress(ValueError):
        return int(text)  # 12 and 12.0 differ, so that what comes back is what went out
    return float(text)


def _json(text: str) -> Any:
    try:
        return json.loads(text)
    except (ValueError, RecursionError) as problem:
        raise ValueError('write it as JSON, like ["a", "b"]') from problem
