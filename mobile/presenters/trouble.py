"""What went wrong, in the person's words and language, and what to do next."""

from __future__ import annotations

import re

from mobile.speech import Speech
from shared_models.errors import (
    BadEntry,
    BadQuantity,
    Refused,
    RowendError,
    StoreTrouble,
    TooManyTries,
    Unreachable,
    WrongMoment,
)

SAFE = "Entries are safe on this phone; sync tries again by itself."
TOO_MANY = "Too many wrong codes were tried. Wait {seconds} seconds, then type the code again."
STORE = "The log could not be written ({reason}). What was saved before stays. Free some space, then try again."

#: what SQLite says when the disk is in trouble
DISK_REASONS = (
    "database or disk is full",
    "attempt to write a readonly database",
    "disk I/O error",
    "unable to open database file",
    "database disk image is malformed",
)
#: what stored fields are called on the screens
FIELDS = {
    "name": "Name",
    "length_mm": "Length",
    "rows": "Rows",
    "crop": "Crop",
    "spacing_mm": "Spacing",
    "code": "Code",
    "filled": "Filled",
    "row": "Row",
    "sample_length_mm": "Length",
    "plants": "Plants",
    "residue_pct": "Residue",
    "soil_c": "Soil temperature",
}


def in_words(speech: Speech, problem: RowendError) -> str:
    """One or two sentences for the person."""
    told = str(problem)
    match problem:
        case TooManyTries():
            told = speech.say(TOO_MANY, seconds=problem.wait_s)
        case Refused():
            told = speech.say(problem.sentence)
        case Unreachable():
            told = f"{_said(speech, problem.reason)} {speech.say(SAFE)}"
        case WrongMoment():
            told = f"{_said(speech, problem.reason)} {speech.say(problem.next_step)}"
        case StoreTrouble():
            told = speech.say(STORE, reason=speech.say(problem.reason))
        case BadEntry():
            told = _check(speech, *problem.problems)
        case BadQuantity():
            told = _check(speech, problem.field)
    return told


def _said(speech: Speech, reason: str) -> str:
    """A reason in the person's language; a number in it (a row, a status) is a gap in the catalogue."""
    number = re.search(r"\d+", reason)
    if number is None:
        return speech.say(reason)
    return speech.say(reason.replace(number[0], "{n}", 1)).replace("{n}", number[0])


def _check(speech: Speech, *fields: str) -> str:
    named = ", ".join(speech.say(FIELDS.get(field, field)) for field in fields)
    return speech.say("This was not saved. Check: {fields}.", fields=named)
