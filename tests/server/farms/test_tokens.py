"""Pairing codes and secrets."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from server.farms.tokens import (
    CODE_ALPHABET,
    CODE_LENGTH,
    format_code,
    hash_token,
    pairing_code,
    parse_code,
    token_matches,
)


@settings(deadline=None)
@given(st.binary(min_size=32, max_size=32))
def test_a_code_is_eight_letters_that_nobody_mistakes(token: bytes) -> None:
    code = pairing_code(token)

    assert len(code) == CODE_LENGTH
    assert set(code) <= set(CODE_ALPHABET)
    assert not set(CODE_ALPHABET) & set("IOQLAEU01")


@settings(deadline=None)
@given(st.binary(min_size=32, max_size=32), st.sampled_from(["{}", " {} ", "{}\n"]))
def test_a_code_is_understood_however_it_is_typed(token: bytes, way: str) -> None:
    code = pairing_code(token)

    assert parse_code(way.format(format_code(code).lower())) == code
    assert parse_code(" ".join(code)) == code


@settings(deadline=None)
@given(st.text())
def test_anything_can_be_typed_as_a_code(text: str) -> None:
    assert set(parse_code(text)) <= set(CODE_ALPHABET)


@pytest.mark.parametrize("secret", ["", "secret ", "Secret", "ſecret", "secre"])
def test_only_the_same_secret_matches(secret: str) -> None:
    assert token_matches("secret", hash_token("secret"))
    assert not token_matches(secret, hash_token("secret"))
    assert not token_matches(secret, None)
