"""What a printed record is checked by: the last line of each log it stands on with its digest, typed or scanned."""

import re
from base64 import urlsafe_b64decode, urlsafe_b64encode
from collections.abc import Iterable, Sequence
from typing import NamedTuple
from urllib.parse import urlencode

from shared_models.errors import BadEntry
from shared_models.lazy_message import LazyMessage
from shared_models.log.log import Head

PATH = "/log/proof"
#: digits of a digest that are printed to be typed, and the fewest that are taken
TYPED_DIGITS = 16
#: logs that one QR code can name; a planting record has two or three
MOST_IN_CODE = 24
_DEVICE_DIGITS, _LEAST_DEVICE_DIGITS, _DIGEST_DIGITS = 8, 6, 64
_GROUP = 4
#: digits that look like others, on paper or to whoever reads them aloud
_ALIKE = str.maketrans("oOlI", "0011")
_HEX = re.compile(r"[0-9a-f]+")

FORM = "cb48004e 249 9f2c 81aa 03bd 77e1"
TYPE_AS_PRINTED = "Type the log, the line number and the digest as they are printed, such as: {example}"
NOT_A_LOG = "“{text}” is not the beginning of a log's id. It has digits and the letters a to f, at least six of them."
NOT_A_LINE = "“{text}” is not a line number. After the log comes the number of the line, then the digest."
NOT_A_DIGEST = "“{text}” is not part of a digest. It has only digits and the letters a to f."
TOO_SHORT = "Type at least {n} digits of the digest. These are {typed}."


class PaperHead(NamedTuple):
    """The end of a log as a paper has it: the device or how its id begins, the line, and how its digest begins."""

    device: str
    line: int
    digest: str


def typed_form(head: Head) -> str:
    """How the end of a log is printed, to be typed."""
    digest = head.digest.hex()[:TYPED_DIGITS]
    groups = [digest[at : at + _GROUP] for at in range(0, TYPED_DIGITS, _GROUP)]
    return f"{short_id(head.device)} {head.seq} {' '.join(groups)}"


def short_id(device: str) -> str:
    """How a device's id begins."""
    return device[:_DEVICE_DIGITS]


def link(address: str, bed: str, heads: Sequence[Head]) -> str:
    """The address in the QR code: these heads whole, and the bed whose record it is."""
    pairs = [("head", _packed(head)) for head in heads[:MOST_IN_CODE]]
    every = [("all", "1")] if len(heads) <= MOST_IN_CODE else []
    return f"{address}{PATH}?{urlencode([('bed', bed), *every, *pairs])}"


def _packed(head: Head) -> str:
    device = bytes.fromhex(head.device.replace("-", ""))
    return f"{_base64(device)}.{head.seq}.{_base64(head.digest)}"


def _base64(value: bytes) -> str:
    return urlsafe_b64encode(value).decode().rstrip("=")


def parse_scanned(text: str) -> PaperHead:
    """Parse a head of a QR code's address.

    Raises:
        BadEntry: when it is none.
    """
    device, _, rest = text.partition(".")
    line, _, digest = rest.partition(".")
    try:
        as_hex = [urlsafe_b64decode(part + "=" * (-len(part) % 4)).hex() for part in (device, digest)]
    except ValueError as problem:
        raise _mistyped(LazyMessage(TYPE_AS_PRINTED, example=FORM)) from problem
    return parse_typed(f"{as_hex[0]} {line} {as_hex[1]}")


def parse_all_typed(text: str) -> list[PaperHead]:
    """Parse what somebody typed, a log to a line.

    Raises:
        BadEntry: where something is mistyped, with what.
    """
    return [parse_typed(line) for line in re.split(r"[\n;]", text) if line.strip()]


def parse_typed(text: str) -> PaperHead:
    """Parse `DEVICE LINE DIGEST`, as it is printed.

    Raises:
        BadEntry: where something is mistyped, with what.
    """
    device, number, *groups = [*text.replace(",", "").replace("…", " ").split(), "", ""]
    if not device or not number or not any(groups):
        raise _mistyped(LazyMessage(TYPE_AS_PRINTED, example=FORM))
    begins = device.replace("-", "").translate(_ALIKE).lower()
    if not _HEX.fullmatch(begins) or len(begins) < _LEAST_DEVICE_DIGITS:
        raise _mistyped(LazyMessage(NOT_A_LOG, text=_shown(device)))
    if not re.fullmatch(r"[0-9]{1,15}", number.translate(_ALIKE)):
        raise _mistyped(LazyMessage(NOT_A_LINE, text=_shown(number)))
    digest = "".join(groups).translate(_ALIKE).lower()
    if not _HEX.fullmatch(digest) or len(digest) > _DIGEST_DIGITS:
        wrong = next((group for group in groups if not _HEX.fullmatch(group.translate(_ALIKE).lower())), digest)
        raise _mistyped(LazyMessage(NOT_A_DIGEST, text=_shown(wrong)))
    if len(digest) < TYPED_DIGITS:
        raise _mistyped(LazyMessage(TOO_SHORT, n=TYPED_DIGITS, typed=len(digest)))
    return PaperHead(begins, int(number.translate(_ALIKE)), digest)


def _mistyped(reason: LazyMessage) -> BadEntry:
    return BadEntry("paper", {"digest": reason})


def _shown(text: str) -> str:
    return text[:40]


def wrong_groups(typed: str, digest: str) -> list[int]:
    """The groups of four digits, from 1, in which what was typed differs from a digest."""
    starts: Iterable[int] = range(0, len(typed), _GROUP)
    return [at // _GROUP + 1 for at in starts if not digest[at : at + _GROUP].startswith(typed[at : at + _GROUP])]
