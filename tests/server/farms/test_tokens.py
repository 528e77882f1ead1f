"""Pairing codes and secrets."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from server.farms.tokens import CODE_LENGTH, LETTERS, as_typed, code_of, for_people, hash_of, matches


@settings(deadline=None)
@given(st.binary(min_size=32, max_size=32))
def test_a_code_is_eight_letters_that_nobody_mistakes(token: bytes) -> None:
    """A code has no letter that looks like a digit or another letter, whatever the random bytes."""
    code = code_of(token)

    assert len(code) == CODE_LENGTH
    assert set(code) <= set(LETTERS)
    assert not set(LETTERS) & set("IOQLAEU01")


@settings(deadline=None)
@given(st.binary(min_size=32, max_size=32), st.sampled_from(["{}", " {} ", "{}\n"]))
def test_a_code_is_understood_however_it_is_typed(token: bytes, way: str) -> None:
    """Small letters, gaps and dashes make no other code."""
    code = code_of(token)

    assert as_typed(way.format(for_people(code).lower())) == code
    assert as_typed(" ".join(code)) == code


@settings(deadline=None)
@given(st.text())
def test_anything_can_be_typed_as_a_code(text: str) -> None:
    """No input makes trouble; what is left of it are letters of codes."""
    assert set(as_typed(text)) <= set(LETTERS)


@pytest.mark.parametrize("secret", ["", "secret ", "Secret", "ſecret", "secre"])
def test_only_the_same_secret_matches(secret: str) -> None:
    assert matches("secret", hash_of("secret"))
    assert not matches(secret, hash_of("secret"))
    assert not matches(secret, None)
