import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.trade.raising.crops import crop_key


@pytest.mark.parametrize(
    ("texts", "printed"),
    [
        ("Swiss chard", "Chard, Swiss"),
        ("  LEEK ", "Leek"),
        ("Welsh onion", "Onion, Welsh"),
        ("head lettuce", "Lettuce"),
        ("Bean, snap", "Bean, garden"),
        ("green onion", "Scallion"),
        ("bunching onions", "bunching onions"),
    ],
)
def test_one_crop_has_one_key_however_it_is_written(texts: str, printed: str) -> None:
    assert crop_key(texts) == crop_key(printed)


def test_different_crops_stay_different() -> None:
    assert len({crop_key(crop) for crop in ("onion", "Welsh onion", "scallion", "leek", "kale", "Chinese kale")}) == 6


@given(st.text("ab LEÉ,-'1"))
def test_any_text_has_a_key_and_it_is_its_own_key(text: str) -> None:
    assert crop_key(crop_key(text)) == crop_key(text)
