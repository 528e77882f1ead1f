"""Water content for tillage."""

import pytest

from shared_models.core.units import inches_to_mm
from shared_models.trade.soil.tilth import THREAD_MM, optimum_tillage_water, thread_says_wet
from tests.published.conftest import Check

OPTIMUM = "0.9 of the plastic limit, and 0.77 on a lateritic sandy loam, as quoted in Wikipedia, worked out by hand"
PLASTIC_LIMIT = "ASTM D4318-10e1, 4.2 to 4.3, thread of the plastic limit (as quoted in a public copy)"


@pytest.mark.parametrize(("share", "expected"), [(0.9, 19.8), (0.77, 16.94)])
def test_optimum_is_a_share_of_the_plastic_limit(published: Check, share: float, expected: float) -> None:
    published(OPTIMUM, f"plastic limit 22 %, share {share}", optimum_tillage_water(22, share), expected, 1e-9)


def test_the_thread_of_the_plastic_limit_is_an_eighth_of_an_inch(published: Check) -> None:
    """A thread that crumbles at that thickness is at its plastic limit; a thinner one is wetter."""
    published(PLASTIC_LIMIT, "thickness of the thread, mm", THREAD_MM, 3.2, 0)
    published(PLASTIC_LIMIT, "the same, of 1/8 in", THREAD_MM, inches_to_mm(1 / 8), 0.05)
    published(PLASTIC_LIMIT, "too wet where it crumbles at 3.2 mm", float(thread_says_wet(3.2)), 0, 0)
    published(PLASTIC_LIMIT, "too wet where it crumbles below", float(thread_says_wet(3.1)), 1, 0)
