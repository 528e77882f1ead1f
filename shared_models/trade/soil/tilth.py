"""Is the soil dry enough to till without smearing it?"""

from shared_models.errors import BadQuantity
from shared_models.trade.validation import not_negative, positive, within

#: Thickness of the thread that tells the plastic limit (ASTM D4318: 1/8 in).
THREAD_MM = 3.2


def water_content(wet_g: float, dry_g: float) -> float:
    """Work out the water content of a sample from its weight before and after drying.

    Formula: water content = (wet weight - dry weight) / dry weight
    Units: grams; grams of water per gram of dry soil.
    Source: The gravimetric definition that ASTM D4318 uses (from memory).
    Raises: BadQuantity: when the dry weight is not above 0, or the wet weight is less than the dry one.
    """
    positive("dry_g", dry_g)
    not_negative("wet_g", wet_g)
    if wet_g < dry_g:
        raise BadQuantity("wet_g", wet_g, f"no less than dry_g ({dry_g:g})")
    return (wet_g - dry_g) / dry_g


def thread_says_wet(crumbled_at_mm: float) -> bool:
    """Roll a thread of soil: if it gets thinner than 3.2 mm before it crumbles, the soil is too wet to till.

    Formula: too wet when the thread crumbles below 3.2 mm (1/8 in): the soil is then above its plastic limit
    Units: mm of thread thickness at which it crumbles.
    Source: ASTM D4318-10e1, 4.2-4.3 (as quoted in a public copy) for the thread; too wet to till above the plastic
        limit: common practice, no source. Sand has no plastic limit: its thread always crumbles early.
    Raises: BadQuantity: when the thickness is not above 0.
    """
    positive("crumbled_at_mm", crumbled_at_mm)
    return crumbled_at_mm < THREAD_MM


def optimum_tillage_water(plastic_limit: float, share: float = 0.9) -> float:
    """Estimate the water content at which tillage breaks the soil into the finest crumbs.

    Formula: optimum = share x plastic limit
    Units: the unit of the plastic limit (grams per gram, or %).
    Source: about 0.9 of the plastic limit on a sandy loam, 0.77 on a lateritic sandy loam, as quoted in Wikipedia,
        "Optimum water content for tillage"; some sands have no plastic limit.
    Raises: BadQuantity: when the plastic limit is negative or the share is not from 0 to 1.
    """
    not_negative("plastic_limit", plastic_limit)
    within("share", share, 0, 1)
    return share * plastic_limit
