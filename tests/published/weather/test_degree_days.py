"""Degree days."""

import math
from calendar import monthrange
from datetime import date
from functools import cache

import pytest

from shared_models.trade.planning.succession import harvest_day
from shared_models.trade.weather.degree_days import (
    Cutoff,
    average_method_1,
    average_method_2,
    single_sine,
)
from tests.published.conftest import Check

UC_IPM = (
    "Answers of the UC IPM web calculator for Esparto-A 2020, lower 50 and upper 70 °F, seen in the UC ANR "
    "Degree Days Validation Challenge"
)
MCMASTER = (
    "McMaster & Wilhelm (1997), Agricultural and Forest Meteorology 87:291-300, the two methods worked out by hand"
)

#: Lowest/highest temperature of each day of 2020, °F, month by month.
ESPARTO_A_2020 = (
    (
        "38/55 36/67 33/59 37/59 38/63 36/58 30/53 41/50 37/53 32/55 42/61 37/57 39/58 38/57 31/51 39/58 "
        "34/47 35/54 36/48 39/53 38/58 42/60 42/57 41/60 46/62 54/67 50/64 49/62 46/69 43/67 39/67"
    ),
    (
        "42/67 43/59 40/55 38/57 33/63 33/67 33/65 34/64 48/62 52/73 44/76 35/68 34/65 38/66 37/66 49/67 "
        "53/71 44/67 36/67 39/67 40/74 43/76 42/64 38/75 47/77 40/75 43/77 43/74 50/69"
    ),
    (
        "46/62 50/72 46/81 41/77 40/74 43/63 38/60 36/58 47/66 40/76 41/73 45/81 44/68 45/55 44/55 39/49 "
        "41/55 43/53 36/61 35/64 39/66 40/69 45/65 40/58 36/57 34/61 35/63 46/58 46/62 45/67 52/72"
    ),
    (
        "46/66 46/69 40/67 42/57 45/56 40/59 42/66 44/64 49/64 51/73 47/72 47/75 48/77 51/80 43/81 49/80 "
        "50/73 49/70 42/72 49/70 45/78 49/77 59/84 54/90 63/89 56/85 53/85 61/89 57/84 62/82"
    ),
    (
        "53/83 57/73 49/77 48/82 48/83 51/85 53/83 52/93 51/91 52/82 49/71 52/85 54/86 50/70 56/79 60/79 "
        "55/85 52/69 51/73 47/76 53/83 52/78 58/87 53/92 57/96 63/101 66/100 58/101 57/89 62/76 58/79"
    ),
    (
        "60/86 60/95 63/100 60/98 58/82 58/78 57/88 58/83 55/90 63/96 59/93 58/76 55/77 59/84 65/85 60/81 "
        "64/87 59/94 58/96 56/91 59/93 59/99 64/98 62/99 60/95 59/95 60/95 59/87 65/88 60/91"
    ),
    (
        "55/92 55/88 62/96 53/93 58/95 56/90 53/89 65/94 61/98 60/98 59/103 59/101 61/92 58/92 58/96 62/94 "
        "61/93 60/96 61/97 60/96 59/93 60/96 56/94 58/94 55/95 60/100 61/101 59/100 60/96 60/96 52/97"
    ),
    (
        "53/94 58/98 60/99 58/95 59/95 56/90 61/96 62/95 62/98 64/99 61/93 57/97 60/97 71/103 68/107 60/96 "
        "59/95 71/102 71/97 62/85 59/91 67/97 61/97 67/96 58/94 58/95 54/92 59/94 61/94 60/91 60/96"
    ),
    (
        "60/93 60/87 57/95 57/98 60/95 67/105 58/93 58/93 59/86 55/80 53/86 58/92 55/88 58/90 57/90 52/90 "
        "52/91 60/83 58/86 55/90 54/90 60/90 55/90 63/89 53/85 58/90 72/95 69/97 55/94 56/100"
    ),
    (
        "62/93 57/90 55/86 54/83 51/92 51/93 51/88 52/78 53/84 55/76 55/83 51/87 49/90 57/93 67/91 58/93 "
        "53/93 51/91 52/89 52/90 53/89 49/79 41/80 44/76 48/70 54/73 43/78 36/76 38/80 40/79 41/80"
    ),
    (
        "40/79 45/83 41/78 43/79 44/81 48/71 46/71 48/59 35/58 29/63 45/67 29/63 43/57 37/61 36/69 38/68 "
        "43/64 43/65 42/63 36/66 42/63 31/65 36/66 39/65 41/63 51/63 34/62 29/64 29/64 30/67"
    ),
    (
        "39/61 31/69 39/60 33/69 31/62 37/67 57/72 36/69 41/60 43/69 39/55 41/57 42/54 36/58 37/56 37/55 "
        "42/59 36/56 31/58 37/53 31/50 38/60 32/55 31/55 37/54 43/61 36/54 38/54 38/54 38/54 38/55"
    ),
)

LOWER, UPPER = 50, 70
CUTOFFS = (Cutoff.HORIZONTAL, Cutoff.VERTICAL, Cutoff.INTERMEDIATE)

#: month/day: single sine with each cut-off.
ANSWERS = """
1/1    1.19  1.19  1.19
1/2    5.71  5.71  5.71
1/17      0     0     0
1/26  10.50 10.50 10.50
2/10  12.01  7.08 11.52
2/11  10.00  4.30  8.88
4/22  11.55  4.89 10.03
4/30  17.75  6.47 13.51
5/14  10.00 10.00 10.00
5/26  18.70  4.35  5.40
5/28  17.23  4.31  4.95
7/1   15.76  4.54  8.01
7/11  17.60  4.27  4.27
8/13  17.73  4.69  6.96
8/14  20.00     0  3.00
8/15  19.81  2.72  2.72
8/18  20.00     0  3.50
8/19  20.00     0  6.00
9/6   19.64  3.27  3.28
9/27  20.00     0  6.50
9/28  19.92  2.34  6.84
10/13 13.29  3.44  7.01
12/6   5.82  5.82  5.82
12/7  14.19  9.43 13.87
12/31  1.19  1.19  1.19
"""

COLUMNS = [f"single sine, {cutoff}" for cutoff in CUTOFFS]


@cache
def esparto() -> dict[str, tuple[int, int]]:
    """Lowest and highest temperature of each day."""
    return {
        f"{month}/{day}": (int(low), int(high))
        for month, text in enumerate(ESPARTO_A_2020, start=1)
        for day, (low, high) in enumerate((pair.split("/") for pair in text.split()), start=1)
    }


@cache
def computed(day: str) -> list[float]:
    low, high = esparto()[day]
    return [single_sine(low, high, LOWER, UPPER, cutoff) for cutoff in CUTOFFS]


@pytest.mark.parametrize("line", ANSWERS.strip().splitlines())
def test_days_of_the_reference_year(published: Check, line: str) -> None:
    """Each cut-off gives the calculator's answer on days of all six cases, to its rounding."""
    day, *answers = line.split()

    for column, got, answer in zip(COLUMNS, computed(day), answers, strict=True):
        published(UC_IPM, f"{day}: {column}", got, float(answer), 0.006)


@pytest.mark.parametrize(
    ("column", "year"),
    [
        ("single sine, horizontal", 4011.14),
        ("single sine, vertical", 1645.45),
        ("single sine, intermediate", 2537.83),
    ],
)
def test_sums_of_the_reference_year(published: Check, column: str, year: float) -> None:
    """Rounded day by day as the calculator does; ties (an answer that ends in 5) may fall the other way."""
    got = math.fsum(round(computed(day)[COLUMNS.index(column)], 2) for day in esparto())

    published(UC_IPM, f"year: {column}", got, year, 0.045)


@pytest.mark.parametrize(
    ("month", "total"),
    [
        *[(1, 93.82), (2, 199.61), (3, 168.25), (4, 317.70), (5, 443.45), (6, 516.71)],
        *[(7, 531.64), (8, 553.20), (9, 499.30), (10, 419.01), (11, 178.44), (12, 90.01)],
    ],
)
def test_single_sine_by_month(published: Check, month: int, total: float) -> None:
    got = math.fsum(round(computed(day)[0], 2) for day in esparto() if day.startswith(f"{month}/"))

    published(UC_IPM, f"month {month}: single sine, horizontal", got, total, 0.015)


@pytest.mark.parametrize(("month", "needed"), [(2, 293.43), (6, 1739.54), (9, 3323.68)])
def test_a_need_is_met_at_the_end_of_the_month_that_completes_it(published: Check, month: int, needed: float) -> None:
    """The calculator's months sum to the need, so the last day of the month meets it and the day before does not."""
    daily = {date(2020, *map(int, day.split("/"))): computed(day)[0] for day in esparto()}
    new_year, end = date(2020, 1, 1), date(2020, month, monthrange(2020, month)[1])

    ripe = harvest_day(new_year, needed - 0.2, daily)

    assert ripe is not None
    published(UC_IPM, f"{needed} degree-days: days to the end of month {month}", (end - ripe).days, 0, 0)


def test_the_reference_year_holds_all_six_cases() -> None:
    cases = [0] * 6
    for low, high in esparto().values():
        if low > UPPER:
            cases[4] += 1
        elif low >= LOWER:
            cases[3 if high > UPPER else 2] += 1
        else:
            cases[5 if high > UPPER else 0 if high < LOWER else 1] += 1

    assert cases == [3, 131, 6, 179, 4, 43]


def test_the_sine_uses_half_the_sum(published: Check) -> None:
    """A public function leaves out the halving and takes the angle in degrees; 36 to 67 °F must still give 5.71."""
    published(UC_IPM, "36 to 67 °F: single sine", single_sine(36, 67, LOWER, UPPER), 5.71, 0.006)


def test_the_two_average_methods_differ_when_the_night_is_below_the_base(published: Check) -> None:
    published(MCMASTER, "8 / -2 °C, base 0: method 1", average_method_1(-2, 8, 0), 3, 0)
    published(MCMASTER, "8 / -2 °C, base 0: method 2", average_method_2(-2, 8, 0), 4, 0)
