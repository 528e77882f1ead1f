"""How much water does the soil hold, judged by squeezing a handful?"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

from shared_models.core.vocabulary import Feel, Texture


class Span(NamedTuple):
    """A range from a low to a high figure."""

    low: float
    high: float

    @property
    def middle(self) -> float:
        """Half way between the two ends."""
        return (self.low + self.high) / 2


_AVAILABLE = {
    Feel.DRY: Span(0.0, 0.25),
    Feel.SLIGHTLY_MOIST: Span(0.25, 0.5),
    Feel.MOIST: Span(0.5, 0.75),
    Feel.WET: Span(0.75, 1.0),
    Feel.FIELD_CAPACITY: Span(1.0, 1.0),
}
_CAPACITY_IN_PER_FT = {
    Texture.COARSE: Span(0.6, 1.2),
    Texture.MODERATELY_COARSE: Span(1.3, 1.7),
    Texture.MEDIUM: Span(1.5, 2.1),
    Texture.FINE: Span(1.6, 2.4),
}
_INCHES_PER_FOOT = 12

#: The test, step by step.
STEPS = (
    "Take a handful of soil from furrow depth, at three places or more.",
    "Squeeze it hard once and open the hand.",
    "Bounce the ball in the palm: a very weak ball falls apart at the first bounce, a weak one at the second or third.",
    "Look at the fingers: dry, lightly stained, or coated.",
    "Press the soil out between thumb and finger: see whether a ribbon forms.",
    "Choose the line that fits best; between two lines, choose the wetter one.",
)

#: What each class looks and feels like, in our own words after Program Aid 1619.
GUIDE: Mapping[Texture, Mapping[Feel, str]] = MappingProxyType(
    {
        Texture.COARSE: {
            Feel.DRY: "Loose grains stick to the fingers; the handful keeps its shape only while nobody touches it.",
            Feel.SLIGHTLY_MOIST: "A very weak ball with finger marks; a thin coat of grains stays on the hand.",
            Feel.MOIST: "A weak, dark ball; the fingers are clearly stained; no ribbon.",
            Feel.WET: "A wet, weak ball; grains stay on the heavily stained fingers; no ribbon.",
            Feel.FIELD_CAPACITY: "A wet, weak ball leaves a thick coat of soil and water on the fingers.",
        },
        Texture.MODERATELY_COARSE: {
            Feel.DRY: "A very weak ball; grains fall off it at a touch.",
            Feel.SLIGHTLY_MOIST: "A weak ball with finger marks, darker than dry soil; the hand stays free of water.",
            Feel.MOIST: "A dark ball with finger marks; the hand is barely stained; it will not smear to a slick.",
            Feel.WET: "A ball that prints its wet outline on the hand; some stain; a weak ribbon.",
            Feel.FIELD_CAPACITY: "A soft, wet ball; for a moment water shines on it after squeezing.",
        },
        Texture.MEDIUM: {
            Feel.DRY: "Crumbs come apart with ease, clods crush under the fingers; the hand stays clean.",
            Feel.SLIGHTLY_MOIST: "A weak, rough ball; a few grains break away; the hand stays free of water.",
            Feel.MOIST: "A dark ball that can be molded; the hand is barely stained; a weak ribbon.",
            Feel.WET: "A wet ball with sharp finger marks; soil coats the hand; it ribbons.",
            Feel.FIELD_CAPACITY: "A soft, wet ball; for a moment water shines on it; a good coat of soil on the hand.",
        },
        Texture.FINE: {
            Feel.DRY: "Crumbs come apart with ease, but clods are hard to crush.",
            Feel.SLIGHTLY_MOIST: "A weak ball that loses very few crumbs; clods flatten when pressed; a clean hand.",
            Feel.MOIST: "A smooth ball with finger marks; the hand is lightly stained; it ribbons.",
            Feel.WET: "A wet ball; an uneven, good coat of soil on the hand; it ribbons with ease.",
            Feel.FIELD_CAPACITY: "A soft, wet ball; water shows on it; a thick coat, slick and sticky.",
        },
    }
)


def available_water(feel: Feel) -> Span:
    """Estimate the share of available water in the soil from the feel test.

    Formula: dry 0 to 1/4, slightly moist 1/4 to 1/2, moist 1/2 to 3/4, wet 3/4 to 1, field capacity 1
    Units: share of the water that plants can use, 0 to 1.
    Source: USDA-NRCS (1998), Estimating Soil Moisture by Feel and Appearance, Program Aid 1619. With experience the
        hand is right to about 5 percent.
    """
    return _AVAILABLE[feel]


def water_capacity(texture: Texture) -> Span:
    """Return the available water capacity: water the soil can store for plants in each millimetre of depth.

    Formula: coarse 0.6-1.2, moderately coarse 1.3-1.7, medium 1.5-2.1, fine 1.6-2.4 inches per foot, divided by 12
    Units: mm of water per mm of soil.
    Source: USDA-NRCS (1998), Estimating Soil Moisture by Feel and Appearance, Program Aid 1619.
    """
    low, high = _CAPACITY_IN_PER_FT[texture]
    return Span(low / _INCHES_PER_FOOT, high / _INCHES_PER_FOOT)
