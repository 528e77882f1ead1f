from itertools import pairwise

from shared_models.core.vocabulary import Feel, Texture
from shared_models.trade.soil.feel import GUIDE, Span, available_water


def test_the_classes_follow_each_other_without_gaps() -> None:
    classes = [available_water(feel) for feel in Feel]

    assert classes[0].low == 0
    assert all(drier.high == wetter.low for drier, wetter in pairwise(classes))
    assert classes[-1] == Span(1, 1)


def test_the_guide_has_another_line_for_each_class_of_each_texture() -> None:
    lines = [GUIDE[texture][feel] for texture in Texture for feel in Feel]

    assert len(set(lines)) == len(Texture) * len(Feel)
