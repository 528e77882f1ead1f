import uuid

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.core.ids import is_id, made_ms, time_ordered_id

clocks_ms = st.integers(0, 2**48 - 1)
random_bits = st.integers(0, 2**74 - 1)


def test_the_example_of_the_standard_comes_out() -> None:
    """RFC 9562, appendix A.6: a version 7 UUID of 22 February 2022, 19:22:22 UTC."""
    rand_a, rand_b = 0xCC3, 0b01 << 60 | 0x8C4DC0C0C07398F

    made = time_ordered_id(0x017F22E279B0, rand_a << 62 | rand_b)

    assert made == "017f22e2-79b0-7cc3-98c4-dc0c0c07398f"


@given(st.integers(), st.integers())
def test_any_clock_and_any_random_number_make_a_version_7_uuid(now_ms: int, bits: int) -> None:
    made = time_ordered_id(now_ms, bits)

    assert is_id(made)
    assert uuid.UUID(made).version == 7
    assert uuid.UUID(made).variant == uuid.RFC_4122


@given(clocks_ms, clocks_ms, random_bits, random_bits)
def test_ids_made_later_sort_later(first_ms: int, second_ms: int, some_bits: int, other_bits: int) -> None:
    first, second = time_ordered_id(first_ms, some_bits), time_ordered_id(second_ms, other_bits)

    assert (first < second) == ((first_ms, some_bits) < (second_ms, other_bits))


@given(clocks_ms, random_bits)
def test_every_random_bit_is_kept(now_ms: int, bits: int) -> None:
    made = uuid.UUID(time_ordered_id(now_ms, bits)).int

    kept = (made >> 64) % 2**12 << 62 | made % 2**62

    assert kept == bits


@pytest.mark.parametrize(
    "text",
    [
        "",
        None,
        7,
        "017F22E2-79B0-7CC3-98C4-DC0C0C07398F",
        "017f22e279b07cc398c4dc0c0c07398f",
        "017f22e2-79b0-7cc3-98c4-dc0c0c07398f\n",
        "017f22e2-79b0-7cc3-98c4-dc0c0c07398",
        "{017f22e2-79b0-7cc3-98c4-dc0c0c07398f}",
        "٠17f22e2-79b0-7cc3-98c4-dc0c0c07398f",
    ],
)
def test_what_is_no_id_in_its_canonical_form_is_not_taken_for_one(text: object) -> None:
    assert not is_id(text)


@given(clocks_ms, random_bits)
def test_an_id_tells_when_it_was_made(now_ms: int, bits: int) -> None:
    assert made_ms(time_ordered_id(now_ms, bits)) == now_ms


def test_an_id_of_another_make_tells_no_time() -> None:
    assert made_ms("6ba7b810-9dad-41d1-80b4-00c04fd430c8") is None
