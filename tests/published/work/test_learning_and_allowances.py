"""Learning curves and allowances."""

import pytest

from shared_models.trade.work.allowance import PERSONAL_ALLOWANCE, normal_time, standard_time, standard_time_on_work
from shared_models.trade.work.learning import (
    crawford_total,
    crawford_unit,
    fit_learning,
    learning_exponent,
)
from tests.published.conftest import Check

AFIT = "R package learningCurve (AFIT), outputs seen in its documentation and in its author's post"
KONZ = "Konz, Allowances, in Handbook of Industrial Engineering, ch. 55 (as quoted in a copy)"
KONZ_COMPUTED = "Konz, Handbook of Industrial Engineering, ch. 54-55: both definitions; figure computed"


@pytest.mark.parametrize(("rate", "hours"), [(0.80, 21.13225), (0.85, 32.23647), (0.90, 48.00243), (0.95, 69.95640)])
def test_crawford_unit(published: Check, rate: float, hours: float) -> None:
    published(AFIT, f"Crawford, unit 125 from 100 h, rate {rate}", crawford_unit(100, 125, rate), hours, 5e-6)


def test_crawford_from_another_unit(published: Check) -> None:
    got = crawford_unit(100, 125, 0.85, known_unit=100)
    published(AFIT, "Crawford, unit 125 from unit 100 at 100 h, rate 0.85", got, 94.90257, 5e-6)


def test_crawford_total(published: Check) -> None:
    got = crawford_total(100, 125, 0.85)
    published(AFIT, "Crawford, units 1 to 125 from 100 h, rate 0.85", got, 5201.085, 5e-4)


def test_the_rate_of_printed_units(published: Check) -> None:
    """The printed unit 125 and the 100 h of the first lead back to the rate."""
    for rate, hours in ((0.80, 21.13225), (0.95, 69.95640)):
        published(AFIT, f"rate from units 1 and 125 ({rate})", fit_learning([1, 125], [100, hours]).rate, rate, 5e-8)


@pytest.mark.parametrize(("rate", "slope"), [(0.80, -0.3219281), (0.85, -0.2344653), (0.90, -0.1520031)])
def test_slopes(published: Check, rate: float, slope: float) -> None:
    published(AFIT, f"slope of rate {rate}", learning_exponent(rate), slope, 5e-8)


def test_the_personal_allowance_is_24_minutes_of_a_shift(published: Check) -> None:
    published(KONZ, "personal allowance in 480 min", 480 * PERSONAL_ALLOWANCE, 24, 1e-9)
    published(KONZ, "work left of 480 min", 480 / standard_time(480) * 480, 456, 1e-9)


def test_shift_share_and_work_share_are_two_things(published: Check) -> None:
    normal = normal_time(0.20, 1.10)
    published(KONZ_COMPUTED, "0.20 min, rating 1.10, 15 % of the shift", standard_time(normal, 0.15), 0.25882, 5e-6)
    published(
        KONZ_COMPUTED, "0.20 min, rating 1.10, 15 % of the work", standard_time_on_work(normal, 0.15), 0.253, 5e-6
    )
