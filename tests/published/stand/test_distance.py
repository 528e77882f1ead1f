"""Row length from GPS fixes."""

import random

import pytest
from geographiclib.geodesic import Geodesic

from shared_models.trade.stand.distance import Fix, axis_sd_mm, geodesic_mm, row_length
from tests.published.conftest import Check

KARNEY = "computed with geographiclib 2.1"
FLINDERS_PEAK = (-(37 + 57 / 60 + 3.72030 / 3600), 144 + 25 / 60 + 29.52440 / 3600)
BUNINYONG = (-(37 + 39 / 60 + 10.15610 / 3600), 143 + 55 / 60 + 35.38390 / 3600)


def test_flinders_peak_to_buninyong(published: Check) -> None:
    got = geodesic_mm(*FLINDERS_PEAK, *BUNINYONG) / 1000

    published("Geoscience Australia's test line, as quoted in open test suites", "metres", got, 54_972.271, 0.0005)


def test_a_line_across_two_continents(published: Check) -> None:
    got = geodesic_mm(35.60777, -139.44815, -11.17491, -69.95921) / 1000

    source = "C. F. F. Karney, GeographicLib test case 1, seen in geographiclib's own tests"
    published(source, "metres", got, 8_935_244.5604818, 0.001)


def test_nashville_to_los_angeles(published: Check) -> None:
    published(KARNEY, "km on the ellipsoid", geodesic_mm(36.12, -86.67, 33.94, -118.40) / 1e6, 2892.777, 0.0005)


def test_a_degree_at_45_north(published: Check) -> None:
    published(KARNEY, "1° of latitude, m", geodesic_mm(44.5, 0, 45.5, 0) / 1000, 111_131.778, 0.001)
    published(KARNEY, "1° of longitude, m", geodesic_mm(45, 0, 45, 1) / 1000, 78_846.335, 0.001)


@pytest.mark.parametrize(
    ("line", "metres"),
    [
        ((55.52454, 106.05087, 77.03196, 197.18234), 4_105_086.1713924),
        ((-66.99028, 112.2363, -12.70631, 285.90344), 11_150_344.2312080),
        ((6.96833, 52.74123, -7.39675, 206.17291), 17_102_477.2496958),
    ],
)
def test_lines_that_count_longitude_past_180(
    published: Check, line: tuple[float, float, float, float], metres: float
) -> None:
    source = "C. F. F. Karney, GeographicLib test cases 2, 4 and 7, seen in geographiclib's own tests"
    published(source, "metres", geodesic_mm(*line) / 1000, metres, 0.001)


def test_a_pair_so_near_to_opposite_that_the_iteration_is_slow(published: Check) -> None:
    """Half a degree from opposite; this line is known for its slow convergence."""
    got = geodesic_mm(0, 0, 0.5, 179.5) / 1000

    published("Wikipedia on Vincenty's formulae, as quoted in a copy", "metres", got, 19_936_288.579, 0.001)


@pytest.mark.parametrize(("direction", "azimuth_deg"), [("N-S", 0), ("NE", 45), ("E-W", 90)])
def test_100_feet_of_row_at_42_north(published: Check, direction: str, azimuth_deg: float) -> None:
    end = Geodesic.WGS84.Direct(42, -72, azimuth_deg, 30.48)
    ends = (42, -72, end["lat2"], end["lon2"])

    published(KARNEY, f"{direction} on the ellipsoid, m", geodesic_mm(*ends) / 1000, 30.48, 1e-4)


def test_short_rows_anywhere_agree_to_a_millimetre(published: Check) -> None:
    rng = random.Random(17)
    worst_mm = 0.0
    for _ in range(1_000):
        latitude, longitude = rng.uniform(-89, 89), rng.uniform(-180, 180)
        length_m = rng.uniform(1, 500)
        end = Geodesic.WGS84.Direct(latitude, longitude, rng.uniform(0, 360), length_m)
        got_mm = geodesic_mm(latitude, longitude, end["lat2"], end["lon2"])
        worst_mm = max(worst_mm, abs(got_mm - length_m * 1000))

    published(KARNEY, "worst of 1,000 rows up to 500 m, mm off", worst_mm, 0, 0.1)


@pytest.mark.parametrize(("confidence", "axis_m", "length_m"), [(0.95, 2.002, 2.83), (0.68, 3.246, 4.59)])
def test_a_4_9_m_circle_becomes_an_error_along_the_row(
    published: Check, confidence: float, axis_m: float, length_m: float
) -> None:
    """GPS.gov's 4.9 m for a phone under open sky (from memory), read as either percentile."""
    source = "computed from the Rayleigh distribution"
    fix_a, fix_b = (Fix(42.0, longitude, 4.9, confidence) for longitude in (-72.0, -71.99963))

    published(source, f"sd per axis at {confidence:.0%}, m", axis_sd_mm(4.9, confidence) / 1000, axis_m, 5e-4)
    published(
        source,
        f"sd of the length at {confidence:.0%}, m",
        row_length(fix_a, fix_b).error_mm / 1.959964 / 1000,
        length_m,
        0.005,
    )


@pytest.mark.parametrize("confidence", [0.68, 0.95])
def test_a_100_foot_bed_by_phone_is_at_least_5_m_uncertain_and_wants_a_tape(confidence: float) -> None:
    end = Geodesic.WGS84.Direct(42, -72, 30, 30.48)

    found = row_length(Fix(42, -72, 4.9, confidence), Fix(end["lat2"], end["lon2"], 4.9, confidence))

    assert found.error_mm >= 5_000
    assert found.needs_tape


def test_the_error_at_95_percent_is_18_percent_of_100_feet(published: Check) -> None:
    found = row_length(Fix(42, -72, 4.9, 0.95), Fix(42.000274, -72, 4.9, 0.95))

    published("computed from the Rayleigh distribution", "± of 100 ft", found.error_mm / 30_480, 0.18, 0.005)


def test_the_error_covers_95_of_100_rows(published: Check) -> None:
    """Simulated fixes around the ends of a 100 m row: the true length lies within ± as often as claimed."""
    rng = random.Random(95)
    metre_deg = 1 / 111_319.49  # along the equator
    sd_m = axis_sd_mm(4.9) / 1000
    inside = 0
    for _ in range(4_000):
        east_a, north_a, east_b, north_b = (rng.gauss(0, sd_m) for _ in range(4))
        fix_a = Fix(north_a / 110_574.4, east_a * metre_deg, 4.9)
        fix_b = Fix(north_b / 110_574.4, (100 + east_b) * metre_deg, 4.9)
        found = row_length(fix_a, fix_b)
        inside += abs(found.length_mm - 100_000) <= found.error_mm

    published("computed by simulation of 4,000 rows, seed 95", "share of rows within ±", inside / 4_000, 0.95, 0.01)
