"""How good a password must be, and what is kept of it."""

from __future__ import annotations

import pytest
from argon2 import PasswordHasher

from server.auth.passwords import LONGEST, Passwords, fault_of

GOOD = "nine wet trays"


def cheap(hash_len: int = 32) -> Passwords:
    return Passwords(PasswordHasher(time_cost=1, memory_cost=8, parallelism=1, hash_len=hash_len))


def test_what_is_kept_tells_the_right_password_and_no_other() -> None:
    passwords = cheap()
    kept = passwords.hash_of(GOOD)

    assert GOOD not in kept
    assert kept != passwords.hash_of(GOOD)
    assert passwords.is_right(GOOD, kept)
    assert not passwords.is_right("nine wet tray", kept)
    assert not passwords.is_right("", kept)


def test_the_real_ones_are_kept_by_argon2id() -> None:
    assert Passwords().hash_of(GOOD).startswith("$argon2id$v=19$m=65536,t=3,p=4$")


@pytest.mark.parametrize("kept", [None, "", "no hash", "$argon2id$v=19$m=8,t=1,p=1$cut"])
def test_nothing_is_right_where_no_hash_is_kept(kept: str | None) -> None:
    assert not cheap().is_right("", kept)
    assert not cheap().is_right(GOOD, kept)


def test_the_same_letters_from_another_keyboard_are_the_same_password() -> None:
    passwords = cheap()

    assert passwords.is_right("ferme d'e\u0301te\u0301", passwords.hash_of("ferme d'\u00e9t\u00e9"))


def test_a_hash_made_with_other_parameters_is_old() -> None:
    kept = cheap().hash_of(GOOD)

    assert not cheap().is_old(kept)
    assert cheap(hash_len=16).is_old(kept)


@pytest.mark.parametrize(
    ("password", "again", "fault"),
    [
        (GOOD, GOOD, None),
        ("x" * 9, "x" * 9, "at least 10"),
        ("abc " * 60, "abc " * 60, "at most 200"),
        ("aaaaaaaaaaaaaaa", "aaaaaaaaaaaaaaa", "too easy"),
        ("12121212121212", "12121212121212", "too easy"),
        ("Ines-2026-farm", "Ines-2026-farm", "too easy"),
        (GOOD, "nine wet trays ", "not the same"),
        (GOOD, "", "not the same"),
        ("ferme d'e\u0301te\u0301", "ferme d'\u00e9t\u00e9", None),
    ],
)
def test_a_password_that_is_not_taken_has_its_reason(password: str, again: str, fault: str | None) -> None:
    told = fault_of(password, again, ("ines",))

    assert told == fault if fault is None else fault in (told or "")


def test_a_long_sentence_is_a_good_password() -> None:
    sentence = ("three crows on the far gate watch the leeks " * 5)[:LONGEST]

    assert fault_of(sentence, sentence, ("ines",)) is None
