"""How good a password must be, and what is kept of it."""

import pytest
from argon2 import PasswordHasher

from server.auth.passwords import MAX_LENGTH, Passwords, password_problem

GOOD = "nine wet trays"


def cheap(hash_len: int = 32) -> Passwords:
    return Passwords(PasswordHasher(time_cost=1, memory_cost=8, parallelism=1, hash_len=hash_len))


def test_what_is_kept_tells_the_right_password_and_no_other() -> None:
    passwords = cheap()
    kept = passwords.hash(GOOD)

    assert GOOD not in kept
    assert kept != passwords.hash(GOOD)
    assert passwords.verify(GOOD, kept)
    assert not passwords.verify("nine wet tray", kept)
    assert not passwords.verify("", kept)


def test_the_real_ones_are_kept_by_argon2id() -> None:
    assert Passwords().hash(GOOD).startswith("$argon2id$v=19$m=65536,t=3,p=4$")


@pytest.mark.parametrize("kept", [None, "", "no hash", "$argon2id$v=19$m=8,t=1,p=1$cut"])
def test_nothing_is_right_where_no_hash_is_kept(kept: str | None) -> None:
    assert not cheap().verify("", kept)
    assert not cheap().verify(GOOD, kept)


def test_the_same_letters_from_another_keyboard_are_the_same_password() -> None:
    passwords = cheap()

    assert passwords.verify("ferme d'e\u0301te\u0301", passwords.hash("ferme d'\u00e9t\u00e9"))


def test_a_hash_made_with_other_parameters_is_old() -> None:
    kept = cheap().hash(GOOD)

    assert not cheap().needs_rehash(kept)
    assert cheap(hash_len=16).needs_rehash(kept)


@pytest.mark.parametrize(
    ("password", "again", "fault"),
    [
        (GOOD, GOOD, None),
        ("x" * 9, "x" * 9, "at least 10"),
        ("abc " * 60, "abc " * 60, "at most 200"),
        ("aaaaaaaaaaaaaaa", "aaaaaaaaaaaaaaa", "too easy"),
        ("12121212121212", "12121212121212", "too easy"),
        ("Ines-2026-farm", "Ines-2026-farm", "too easy"),
        ("password123", "password123", "lists of leaked passwords"),
        ("QWERTYUIOP", "QWERTYUIOP", "lists of leaked passwords"),
        ("1q2w3e4r5t6y", "", "lists of leaked passwords"),
        ("321drowssap", "321drowssap", "lists of leaked passwords"),
        ("P@ssw0rd2026!", "P@ssw0rd2026!", "too easy"),
        ("princesa12345", "princesa12345", "too easy"),
        ("tequieromucho", "tequieromucho", "too easy"),
        ("iloveyou1 iloveyou1 iloveyou1 iloveyou1", "", "too easy"),
        ("2026-05-14", "2026-05-14", "too easy"),
        ("contraseña", "contraseña", "lists of leaked passwords"),
        ("Contraseña123", "Contraseña123", "too easy"),
        ("tres bandejas", "tres bandejas", None),
        (GOOD, "nine wet trays ", "not the same"),
        (GOOD, "", "not the same"),
        ("ferme d'e\u0301te\u0301", "ferme d'\u00e9t\u00e9", None),
    ],
)
def test_a_password_that_is_not_taken_has_its_reason(password: str, again: str, fault: str | None) -> None:
    problem = password_problem(password, again, ("ines",))

    assert problem == fault if fault is None else fault in (problem or "")


def test_a_long_sentence_is_a_good_password() -> None:
    sentence = ("three crows on the far gate watch the leeks " * 5)[:MAX_LENGTH]

    assert password_problem(sentence, sentence, ("ines",)) is None
