from math import hypot, inf, nan

import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import assume, given
from hypothesis import strategies as st

from shared_models.errors import BadQuantity
from shared_models.trade.stand.distance import (
    LONGEST_ROW_MM,
    Fix,
    TapeReason,
    axis_sd_mm,
    geodesic_mm,
    row_length,
)

latitudes = st.floats(-90, 90)
longitudes = st.floats(-180, 180)
accuracies = st.floats(0.01, 100)


@given(latitudes, longitudes, latitudes, longitudes)
def test_any_two_places_are_as_far_apart_as_the_reference_says(
    lat_a: float, lon_a: float, lat_b: float, lon_b: float
) -> None:
    """Nearly opposite places may be refused, but are never answered wrongly."""
    reference = Geodesic.WGS84.Inverse(lat_a, lon_a, lat_b, lon_b)

    try:
        got_mm = geodesic_mm(lat_a, lon_a, lat_b, lon_b)
    except BadQuantity:
        assert reference["a12"] > 178.9
        return

    assert got_mm == pytest.approx(reference["s12"] * 1000, abs=1)


@given(st.floats(-80, 80), longitudes, st.floats(-80, 80), longitudes)
def test_there_and_back_are_equally_far(lat_a: float, lon_a: float, lat_b: float, lon_b: float) -> None:
    assume(abs(lat_a + lat_b) > 2)

    there, back = geodesic_mm(lat_a, lon_a, lat_b, lon_b), geodesic_mm(lat_b, lon_b, lat_a, lon_a)

    assert there == pytest.approx(back, abs=0.5)


@pytest.mark.parametrize("place", [(0, 0), (42, -72), (90, 0), (-90, 17), (0, 180)])
def test_a_place_is_no_distance_from_itself(place: tuple[float, float]) -> None:
    assert geodesic_mm(*place, *place) == pytest.approx(0, abs=1e-3)


def test_a_row_across_the_date_line_is_short() -> None:
    assert geodesic_mm(0, 179.9999, 0, -179.9999) == pytest.approx(22_263.9, abs=0.1)


def test_a_line_along_the_equator_is_an_arc_of_it() -> None:
    assert geodesic_mm(0, 0, 0, 1) == pytest.approx(111_319_490.793, abs=0.01)


@pytest.mark.parametrize("opposite", [(0, 0, 0, 180), (45, 0, -45, 180), (0, 0, 0.5, 179.7), (0, 0, 0.2, 179.4)])
def test_opposite_places_are_refused_rather_than_guessed(opposite: tuple[float, float, float, float]) -> None:
    with pytest.raises(BadQuantity, match="nearly opposite"):
        geodesic_mm(*opposite)


@given(accuracies, accuracies)
def test_errors_of_both_fixes_add_as_squares(accuracy_a: float, accuracy_b: float) -> None:
    both = row_length(Fix(42, -72, accuracy_a), Fix(42.001, -72, accuracy_b)).error_mm

    assert both == pytest.approx(1.959964 * hypot(axis_sd_mm(accuracy_a), axis_sd_mm(accuracy_b)), rel=1e-6)


@given(accuracies, st.floats(1.01, 10))
def test_worse_fixes_give_a_wider_error(accuracy: float, worse: float) -> None:
    good, bad = (row_length(Fix(42, -72, a), Fix(42.001, -72, 3)) for a in (accuracy, accuracy * worse))

    assert bad.error_mm > good.error_mm
    assert bad.length_mm == good.length_mm


def test_a_surer_circle_of_the_same_size_is_a_better_fix() -> None:
    assert axis_sd_mm(5, 0.95) < axis_sd_mm(5, 0.68) < axis_sd_mm(5, 0.5)


def test_fixes_count_as_androids_68_percent_unless_said_otherwise() -> None:
    assert axis_sd_mm(4.9) == axis_sd_mm(4.9, 0.68)
    assert Fix(42, -72, 4.9).confidence == 0.68


def test_a_survey_fix_spares_the_tape() -> None:
    found = row_length(Fix(42, -72, 0.02), Fix(42.000274, -72, 0.02))

    assert found.length_mm == pytest.approx(30_435, abs=5)
    assert (found.needs_tape, found.reason) == (False, None)


def test_a_long_row_by_phone_spares_the_tape() -> None:
    """With 4.9 m fixes the error is 9 m: within 5 % from 180 m of row on."""
    found = row_length(Fix(42, -72, 4.9), Fix(42.0018, -72, 4.9))

    assert not found.needs_tape


def test_a_short_row_by_phone_wants_a_tape() -> None:
    found = row_length(Fix(42, -72, 4.9), Fix(42.000274, -72, 4.9))

    assert (found.needs_tape, found.reason) == (True, TapeReason.ERROR_TOO_LARGE)


def test_the_farm_decides_how_much_error_it_bears() -> None:
    ends = Fix(42, -72, 4.9), Fix(42.000274, -72, 4.9)

    assert not row_length(*ends, max_error_share=0.3).needs_tape


def test_twice_the_same_fix_wants_a_tape() -> None:
    assert row_length(Fix(42, -72, 0.01), Fix(42, -72, 0.01)).reason is TapeReason.ERROR_TOO_LARGE


def test_a_fix_at_null_island_is_no_end_of_a_row() -> None:
    """A phone without a fix may say 0, 0; the length comes out as far too long."""
    found = row_length(Fix(42, -72, 4.9), Fix(0, 0, 4.9))

    assert found.length_mm > LONGEST_ROW_MM
    assert (found.needs_tape, found.reason) == (True, TapeReason.TOO_FAR_APART)


@pytest.mark.parametrize(
    ("field", "latitude", "longitude", "accuracy"),
    [
        ("latitude_deg", 90.1, 0, 5),
        ("latitude_deg", -91, 0, 5),
        ("latitude_deg", nan, 0, 5),
        ("longitude_deg", 0, 180.1, 5),
        ("longitude_deg", 0, -181, 5),
        ("longitude_deg", 0, inf, 5),
        ("accuracy_m", 0, 0, 0),
        ("accuracy_m", 0, 0, -4.9),
        ("accuracy_m", 0, 0, nan),
        ("accuracy_m", 0, 0, inf),
    ],
)
def test_impossible_fixes_are_refused(field: str, latitude: float, longitude: float, accuracy: float) -> None:
    with pytest.raises(BadQuantity, match=f"^{field}"):
        Fix(latitude, longitude, accuracy)


@pytest.mark.parametrize("bad", [0, 1, -0.1, 1.5, nan])
def test_an_impossible_confidence_is_refused(bad: float) -> None:
    with pytest.raises(BadQuantity, match=r"^confidence"):
        Fix(42, -72, 5, bad)
    with pytest.raises(BadQuantity, match=r"^confidence"):
        axis_sd_mm(5, bad)


@pytest.mark.parametrize("bad", [(91, 0), (nan, 0), (0, 361), (0, nan)])
def test_places_off_the_earth_are_refused(bad: tuple[float, float]) -> None:
    with pytest.raises(BadQuantity):
        geodesic_mm(*bad, 42, -72)
    with pytest.raises(BadQuantity):
        geodesic_mm(42, -72, *bad)


@pytest.mark.parametrize("bad", [0, -1, nan])
def test_an_impossible_share_is_refused(bad: float) -> None:
    with pytest.raises(BadQuantity, match=r"^max_error_share"):
        row_length(Fix(42, -72, 5), Fix(42, -72, 5), max_error_share=bad)
