"""Lifting of trays."""

import pytest

from shared_models.trade.work.lifting import (
    KG_CM,
    LB_IN,
    Coupling,
    Lift,
    LiftingUnits,
    frequency_multiplier,
    lifting_index,
    multipliers,
    recommended_weight,
)
from tests.published.conftest import Check

MANUAL = "Applications Manual for the Revised NIOSH Lifting Equation, DHHS (NIOSH) 94-110 (revised 9/2021)"
TRANSCRIPT = f"{MANUAL}, as quoted in a public transcription with page numbers"
TABLES = f"{MANUAL}, table 5, as quoted in several open programs"
EXACT = f"{MANUAL}, example 4 at full precision, as quoted in a public transcription"
HOMEWORK = "worked example in kg and cm, as quoted in a course's homework page"
MEMORY = f"{MANUAL}, from memory"

PRINTED_TWO_PLACES = 0.005 + 1e-9

#: Example 4: packages for inspection, three a minute; the destination must be aimed at.
ORIGIN = Lift(10, 22, 37, lifts_per_min=3, coupling=Coupling.FAIR)
DESTINATION = Lift(20, 59, 37, lifts_per_min=3, coupling=Coupling.FAIR, origin_height=22)


def test_example_4_in_pounds_and_inches(published: Check) -> None:
    """The manual multiplies rounded multipliers, so its own figures are off by 0.1 lb."""
    published(EXACT, "RWL at the origin, lb", recommended_weight(ORIGIN, LB_IN), 34.8136, 5e-5)
    published(EXACT, "RWL at the destination, lb", recommended_weight(DESTINATION, LB_IN), 15.2529, 5e-5)
    published(f"{TRANSCRIPT}, p. 46", "RWL at the origin, lb", recommended_weight(ORIGIN, LB_IN), 34.9, 0.1)
    published(f"{TRANSCRIPT}, p. 46", "RWL at the destination, lb", recommended_weight(DESTINATION, LB_IN), 15.2, 0.1)


def test_multipliers_of_example_4(published: Check) -> None:
    share = multipliers(ORIGIN, LB_IN)

    for name, got, printed in (
        ("HM", share.horizontal, 1.0),
        ("VM", share.vertical, 0.94),
        ("DM", share.distance, 0.87),
        ("AM", share.asymmetry, 1.0),
        ("FM", share.frequency, 0.88),
        ("CM", share.coupling, 0.95),
    ):
        published(f"{TRANSCRIPT}, p. 46", f"{name} at the origin", got, printed, PRINTED_TWO_PLACES)
    published(f"{TRANSCRIPT}, p. 46", "CM at the destination", multipliers(DESTINATION, LB_IN).coupling, 1.0, 1e-9)


def test_a_lift_in_kilograms_and_centimeters(published: Check) -> None:
    lift = Lift(25, 55, 95, lifts_per_min=3, coupling=Coupling.FAIR)

    published(HOMEWORK, "RWL, kg", recommended_weight(lift), 15.7, 0.05)
    published(HOMEWORK, "lifting index of 12 kg", lifting_index(12, lift), 0.76, 0.01)


def test_example_1_of_the_manual(published: Check) -> None:
    """Its multipliers are rounded (0.44 for a reach of 23 in), hence the wide tolerance."""
    low = Lift(23, 15, 48, coupling=Coupling.FAIR)
    high = Lift(23, 63, 48, coupling=Coupling.FAIR, origin_height=15)

    published(f"{MEMORY}, example 1", "RWL at the origin, lb", recommended_weight(low, LB_IN), 16.3, 0.3)
    published(f"{MEMORY}, example 1", "RWL at the destination, lb", recommended_weight(high, LB_IN), 14.5, 0.3)
    published(f"{MEMORY}, example 1", "index of 44 lb at the origin", lifting_index(44, low, LB_IN), 2.7, 0.06)


@pytest.mark.parametrize(
    ("hours", "height_in", "row"),
    [
        (1, 29.9, "1 .97 .94 .91 .88 .84 .80 .75 .70 .60 .52 .45 .41 .37 0 0 0 0"),
        (1, 30, "1 .97 .94 .91 .88 .84 .80 .75 .70 .60 .52 .45 .41 .37 .34 .31 .28 0"),
        (2, 29.9, ".95 .92 .88 .84 .79 .72 .60 .50 .42 .35 .30 .26 0 0 0 0 0 0"),
        (2, 30, ".95 .92 .88 .84 .79 .72 .60 .50 .42 .35 .30 .26 .23 .21 0 0 0 0"),
        (8, 29.9, ".85 .81 .75 .65 .55 .45 .35 .27 .22 .18 0 0 0 0 0 0 0 0"),
        (8, 30, ".85 .81 .75 .65 .55 .45 .35 .27 .22 .18 .15 .13 0 0 0 0 0 0"),
    ],
)
def test_the_whole_frequency_table(published: Check, hours: float, height_in: float, row: str) -> None:
    for lifts, printed in zip((0.2, 0.5, *range(1, 17)), row.split(), strict=True):
        got = frequency_multiplier(lifts, hours, height_in, LB_IN)

        published(TABLES, f"FM at {lifts}/min, {hours} h, {height_in} in", got, float(printed), 1e-9)


@pytest.mark.parametrize(
    ("units", "lift", "part", "printed"),
    [
        (LB_IN, Lift(25, 30, 10), "horizontal", 0.40),
        (KG_CM, Lift(63, 75, 25), "horizontal", 0.40),
        (LB_IN, Lift(10, 0, 10), "vertical", 0.78),
        (LB_IN, Lift(10, 70, 10), "vertical", 0.70),
        (KG_CM, Lift(25, 0, 25), "vertical", 0.78),
        (KG_CM, Lift(25, 175, 25), "vertical", 0.70),
        (LB_IN, Lift(10, 30, 70), "distance", 0.85),
        (KG_CM, Lift(25, 75, 40), "distance", 0.93),
        (KG_CM, Lift(25, 75, 100), "distance", 0.87),
        (KG_CM, Lift(25, 75, 25, asymmetry_deg=45), "asymmetry", 0.86),
        (KG_CM, Lift(25, 75, 25, asymmetry_deg=135), "asymmetry", 0.57),
    ],
)
def test_multiplier_tables(published: Check, units: LiftingUnits, lift: Lift, part: str, printed: float) -> None:
    got = getattr(multipliers(lift, units), part)

    published(f"{MEMORY}, tables 1 to 4", f"{part} multiplier of {lift}", got, printed, PRINTED_TWO_PLACES)
