"""What went wrong, in the person's words and language, and what to do next."""

from __future__ import annotations

import re

from mobile.i18n.localizer import Localizer
from shared_models.errors import (
    BadBody,
    BadEntry,
    BadLink,
    BadQuantity,
    Refused,
    RowendError,
    StoreTrouble,
    TooManyTries,
    TooMuch,
    Unreachable,
    WrongMoment,
)
from shared_models.fields.catalog import label_of

SAFE = "Entries are safe on this phone; sync tries again by itself."
TOO_MANY = "There were too many wrong tries. Wait {seconds} seconds, then try again."
LINK = "This cannot be used to pair ({reason}). Check it, or ask the office for a new link."
FILE = "This file could not be read in ({reason}). Nothing was stored; have it shared again."
STORE = "The log could not be written ({reason}). What was saved before stays. Free some space, then try again."

#: what SQLite says when the disk is in trouble
DISK_REASONS = (
    "database or disk is full",
    "attempt to write a readonly database",
    "disk I/O error",
    "unable to open database file",
    "database disk image is malformed",
)
#: what can be wrong with a file; a first page of any other shape is no bundle
NO_BUNDLE, TOO_LARGE = "it is no bundle, or was damaged on the way", "it is too large"
FILE_REASONS = ("it is empty", "it was cut on the way", "it holds pages of two farms", NO_BUNDLE, TOO_LARGE)
#: rules that an entry as a whole can break, as `records` tells them
RULES = (
    "the readiness window ends before it starts",
    "more cells are empty than were looked at",
    "the row ends before it starts",
    "a stop ends before it starts",
    "more misses were filled than were noted",
    "a plant lies beyond the end of the sample",
    "the warmest is colder than the coldest",
)


def in_words(localizer: Localizer, problem: RowendError) -> str:
    """One or two sentences for the person."""
    told = str(problem)
    match problem:
        case TooManyTries():
            told = localizer.t(TOO_MANY, seconds=problem.wait_s)
        case Refused():
            told = localizer.t(problem.sentence)
        case Unreachable():
            told = f"{_said(localizer, problem.reason)} {localizer.t(SAFE)}"
        case WrongMoment():
            told = f"{_said(localizer, problem.reason)} {localizer.t(problem.next_step)}"
        case StoreTrouble():
            told = localizer.t(STORE, reason=localizer.t(problem.reason))
        case BadLink() | BadBody():
            told = _brought(localizer, problem)
        case BadEntry():
            told = _not_saved(localizer, problem)
        case BadQuantity():
            told = _check(localizer, "", problem.field)
    return told


def _brought(localizer: Localizer, problem: BadLink | BadBody) -> str:
    """A link that was followed, or a file that was read in."""
    if isinstance(problem, BadLink):
        return localizer.t(LINK, reason=localizer.t(problem.reason))
    if isinstance(problem, TooMuch):
        return localizer.t(FILE, reason=localizer.t(TOO_LARGE))
    return localizer.t(FILE, reason=localizer.t(problem.reason if problem.reason in FILE_REASONS else NO_BUNDLE))


def _said(localizer: Localizer, reason: str) -> str:
    """A reason in the person's language; a number in it (a row, a status) is a gap in the catalogue."""
    number = re.search(r"\d+", reason)
    if number is None:
        return localizer.t(reason)
    return localizer.t(reason.replace(number[0], "{n}", 1)).replace("{n}", number[0])


def _not_saved(localizer: Localizer, problem: BadEntry) -> str:
    """The rule that the entry as a whole breaks; else the fields that cannot be so."""
    rules = [localizer.t(reason) for reason in problem.problems.values() if reason in RULES]
    if not rules:
        return _check(localizer, problem.kind, *problem.problems)
    return localizer.t("This was not saved: {reason}. Correct it and save again.", reason="; ".join(rules))


def _check(localizer: Localizer, kind: str, *fields: str) -> str:
    named = ", ".join(localizer.t(label_of(kind, field.partition(".")[0])) for field in fields)
    return localizer.t("This was not saved. Check: {fields}.", fields=named)
