"""Water content for tillage."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from shared_models.trade.tilth import optimum_tillage_water, tillage_limits

if TYPE_CHECKING:
    from tests.published.conftest import Check

OPTIMUM = "0.9 of the plastic limit, and 0.77 on a lateritic sandy loam, as quoted in Wikipedia, worked out by hand"
DEXTER = "Dexter & Bird (2001), Soil Till. Res. 57:203-212, formula from memory, computed with scipy 1.17.1"


@pytest.mark.parametrize(("share", "expected"), [(0.9, 19.8), (0.77, 16.94)])
def test_optimum_is_a_share_of_the_plastic_limit(published: Check, share: float, expected: float) -> None:
    published(OPTIMUM, f"plastic limit 22 %, share {share}", optimum_tillage_water(22, share), expected, 1e-9)


def test_optimum_on_the_retention_curve_is_its_inflection_point(published: Check) -> None:
    published(DEXTER, "0.45, 0.05, n = 1.4: optimum", tillage_limits(0.45, 0.05, 1.4).optimum, 0.3102722, 5e-8)
