from collections.abc import Iterator

import pytest

from shared_models import errors
from shared_models.errors import (
    BadBody,
    BadEntry,
    BadLink,
    BadQuantity,
    CertificateChanged,
    ExpiredCode,
    ExpiredLink,
    Fork,
    LineRefused,
    NotAllowed,
    NotSigned,
    NotSignedIn,
    OtherFarm,
    OverLimit,
    Refused,
    RemovedPhone,
    RoleNeeded,
    RowendError,
    StaleForm,
    StampAhead,
    StorageError,
    TooLarge,
    TooManyTries,
    UnknownRecord,
    Unreachable,
    UsageError,
    WrongMoment,
    WrongPassword,
    WrongSecret,
)
from tests.shared_models.log.device import BED, PHONE


def below(root: type[RowendError]) -> Iterator[type[RowendError]]:
    for kind in root.__subclasses__():
        if kind.__module__ == errors.__name__:
            yield kind
            yield from below(kind)


KINDS: list[type[RowendError]] = list(below(RowendError))
SAMPLES: list[tuple[RowendError, str]] = [
    (BadQuantity("rows", 0, "at least 1"), "rows is 0, but must be at least 1"),
    (BadEntry("row_pass", {"misses": "too many"}), "This row pass was not saved (misses: too many)"),
    (WrongMoment("No row is open.", "Start the row first."), "No row is open. Start the row first."),
    (UnknownRecord("row_pass", BED), f"There is no row pass {BED} here"),
    (LineRefused(PHONE, 3, "it is too long"), f"Line 3 of device {PHONE} was refused: it is too long"),
    (NotSigned(PHONE, 3), f"Line 3 of device {PHONE} was refused: the device of this log did not sign it"),
    (StampAhead(PHONE, 3), f"Line 3 of device {PHONE} was refused: the clock of this device was far ahead when it was"),
    (Fork(PHONE, 2), f"Line 3 of device {PHONE} was refused: another line with this number is already held"),
    (
        BadLink("it was made by a newer version of the app"),
        "This cannot be used to pair: it was made by a newer version of the app.",
    ),
    (CertificateChanged(), "Nothing was sent."),
    (BadBody("it was cut on the way"), "it was cut on the way. Nothing was stored; send it again."),
    (TooLarge(8), "This is larger than 8 bytes. Nothing was stored. Send less at a time."),
    (Refused(), "The service refused this."),
    (WrongSecret(), "Pair it again"),
    (RemovedPhone(PHONE, 3), f"Line 3 of device {PHONE} was refused: this phone was removed"),
    (OverLimit(60, limit="all-logs"), "The service takes no more from this phone for now. Your entries are safe"),
    (NotSignedIn(), "Sign in, then open the page again."),
    (WrongPassword(), "Type both again."),
    (ExpiredCode(), "Ask the office for a new one."),
    (ExpiredLink(), "ask the farm's owner for a new one"),
    (TooManyTries(60), "Wait 60 seconds"),
    (OtherFarm(), "Pair the phone with the farm it logs for."),
    (NotAllowed(), "Ask the farm's owner."),
    (RoleNeeded("grower"), "Only the grower can do this. Ask the farm's owner"),
    (StaleForm(), "Open the page again and fill it in once more."),
    (Unreachable("No network."), "No network. Your entries are safe on this phone"),
    (StorageError("the disk is full"), "the disk is full. Everything saved before is safe."),
    (UsageError("There is no such file.", "Name one that exists."), "There is no such file. Name one that exists."),
]
"""One of each kind, and what its sentence must hold."""


@pytest.mark.parametrize(("error", "result"), SAMPLES, ids=[type(error).__name__ for error, _ in SAMPLES])
def test_each_says_what_happened_and_what_to_do_next(error: RowendError, result: str) -> None:
    text = str(error)

    assert result in text
    assert text.endswith(".")


def test_every_kind_is_among_the_samples() -> None:
    assert {type(error) for error, _ in SAMPLES} == set(KINDS)


def test_no_two_kinds_share_a_code() -> None:
    codes = [RowendError.code, *(kind.code for kind in KINDS)]

    assert len(set(codes)) == len(codes)


def test_the_tree_at_the_top_of_the_file_is_the_tree() -> None:
    drawn = [line.partition("── ") for line in str(errors.__doc__).splitlines() if "── " in line]
    path = ["RowendError"]
    parents = {}
    for left, _, right in drawn:
        depth, name = len(left) // 4, right.split()[0]
        path[depth:] = [name]
        parents[name] = path[depth - 1]

    assert parents == {kind.__name__: kind.__base__.__name__ for kind in KINDS if kind.__base__}
