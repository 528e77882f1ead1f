"""What do the places of the plants on one tape say, and where are the skips?"""

from collections.abc import Sequence
from dataclasses import dataclass

from shared_models.trade.stand.spacing import Evenness, evenness, gaps_between, missing_plants


@dataclass(frozen=True, slots=True)
class Skip:
    """A gap with plants missing: the place of the plant before it, its length, and how many are missing."""

    after_mm: float
    gap_mm: float
    missing: int


@dataclass(frozen=True, slots=True)
class OneTape:
    """What the places say. `evenness` is None below two plants: they make the first gap."""

    plants: int
    evenness: Evenness | None
    skips: tuple[Skip, ...]


def one_tape(places_mm: Sequence[float], spacing_mm: float) -> OneTape:
    """The plants in whatever order they were noted.

    Raises:
        BadQuantity: when a place is not a number, or the spacing is not above 0.
    """
    places = sorted(places_mm)
    gaps = gaps_between(places)
    skips = (Skip(place, gap, missing_plants(gap, spacing_mm)) for place, gap in zip(places, gaps, strict=False))
    return OneTape(
        plants=len(places),
        evenness=evenness(gaps, spacing_mm) if gaps else None,
        skips=tuple(skip for skip in skips if skip.missing),
    )
