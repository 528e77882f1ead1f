"""Is a figure going up or down, and what will the next one be?"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from shared_models.errors import BadQuantity
from shared_models.trade.stats.student_t import t_two_sided
from shared_models.trade.validation import finite, inside

#: A line takes two points; its scatter is seen from the third on.
POINTS_OF_A_LINE = 2


@dataclass(frozen=True, slots=True)
class Line:
    """A fitted straight line, y = intercept + slope x, with what is needed to say how sure it is.

    The standard errors and the residual standard deviation are None for two points, which any line fits; R squared is
    None where all y are equal.
    """

    intercept: float
    slope: float
    intercept_se: float | None
    slope_se: float | None
    residual_sd: float | None
    r_squared: float | None
    n: int
    mean_x: float
    sum_squares_x: float


@dataclass(frozen=True, slots=True)
class Forecast:
    """What the line says at one x, give or take: `mean_margin` for the line itself, `single_margin` for one new value.

    The margins are None where the line rests on two points.
    """

    expected: float
    mean_margin: float | None
    single_margin: float | None


def fit_line(x: Sequence[float], y: Sequence[float]) -> Line:
    """Fit a straight line by least squares, say of row times over the hours of a day.

    Formula: slope = Sxy / Sxx; intercept = mean y - slope x mean x; residual sd = sqrt(RSS / (n - 2)); slope se =
        residual sd / sqrt(Sxx); intercept se = residual sd x sqrt(1/n + mean x^2 / Sxx)
    Units: those of x and y.
    Source: Ordinary least squares: Draper & Smith (1998), Applied Regression Analysis, ch. 1 (from memory).
    Raises: BadQuantity: when x and y differ in number, a value is not finite, or there are no two different x.
    """
    n = len(x)
    if len(y) != n:
        raise BadQuantity("y", len(y), f"as many values as x ({n})")
    for field, values in (("x", x), ("y", y)):
        for value in values:
            finite(field, value)
    if len(set(x)) < POINTS_OF_A_LINE:
        raise BadQuantity("x", len(set(x)), "at least 2 different values")
    mean_x, mean_y = math.fsum(x) / n, math.fsum(y) / n
    off_x, off_y = [each - mean_x for each in x], [each - mean_y for each in y]
    sxx, syy = math.fsum(dx * dx for dx in off_x), math.fsum(dy * dy for dy in off_y)
    slope = math.fsum(dx * dy for dx, dy in zip(off_x, off_y, strict=True)) / sxx
    unexplained = math.fsum((dy - slope * dx) ** 2 for dx, dy in zip(off_x, off_y, strict=True))
    sd = math.sqrt(unexplained / (n - POINTS_OF_A_LINE)) if n > POINTS_OF_A_LINE else None
    return Line(
        intercept=mean_y - slope * mean_x,
        slope=slope,
        intercept_se=None if sd is None else sd * math.sqrt(1.0 / n + mean_x**2 / sxx),
        slope_se=None if sd is None else sd / math.sqrt(sxx),
        residual_sd=sd,
        r_squared=1.0 - unexplained / syy if syy else None,
        n=n,
        mean_x=mean_x,
        sum_squares_x=sxx,
    )


def forecast(line: Line, x: float, confidence: float = 0.95) -> Forecast:
    """Read the line at x, with the range for the line itself and for one new value.

    Formula: margin = t x residual sd x sqrt(1/n + (x - mean x)^2 / Sxx), and 1 more under the root for one new value;
        Student's t for n - 2 degrees of freedom
    Units: those of x and y.
    Source: Ordinary least squares: Draper & Smith (1998), Applied Regression Analysis, ch. 3 (from memory).
    Raises: BadQuantity: when x is not finite or the confidence is outside 0 to 1.
    """
    finite("x", x)
    inside("confidence", confidence)
    expected = line.intercept + line.slope * x
    if line.residual_sd is None:
        return Forecast(expected, None, None)
    reach = t_two_sided(confidence, line.n - POINTS_OF_A_LINE) * line.residual_sd
    leverage = 1.0 / line.n + (x - line.mean_x) ** 2 / line.sum_squares_x
    return Forecast(expected, reach * math.sqrt(leverage), reach * math.sqrt(1.0 + leverage))
