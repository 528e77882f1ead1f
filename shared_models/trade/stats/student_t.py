"""How wide must an interval be, when the scatter is known (normal) or seen in only a few rows (Student's t)?"""

import math
from functools import lru_cache
from statistics import NormalDist

from shared_models.errors import BadQuantity
from shared_models.trade.validation import inside, positive

#: Beyond these degrees of freedom the first term of the expansion around the normal quantile is exact to 1e-9.
MANY_DF = 1e5


def z_two_sided(confidence: float) -> float:
    """Standard errors each way that hold the given share of a normal distribution (0.95 gives 1.96).

    Formula: z = normal quantile at (1 + confidence) / 2
    Units: confidence 0 to 1; standard errors.
    Source: Normal distribution; computed with Python's statistics.NormalDist.
    Raises: BadQuantity: when the confidence is not between 0 and 1.
    """
    inside("confidence", confidence)
    return -NormalDist().inv_cdf((1.0 - confidence) / 2.0)


def t_two_sided(confidence: float, df: float) -> float:
    """Standard errors each way that hold the given share, when the scatter comes from df + 1 observations.

    Formula: t = Student's t quantile at (1 + confidence) / 2 with df degrees of freedom
    Units: confidence 0 to 1; degrees of freedom above 0; standard errors.
    Source: Student (1908), The probable error of a mean, Biometrika 6:1-25.
    Raises: BadQuantity: when the confidence is not between 0 and 1 or df is not above 0.
    """
    inside("confidence", confidence)
    return t_quantile((1.0 + confidence) / 2.0, df)


@lru_cache(maxsize=256)
def t_quantile(share: float, df: float) -> float:
    """Compute the quantile of Student's t distribution: the value below which the given share lies.

    Formula: the t that solves share = 1 - tail(t), by bisection; above 100,000 degrees of freedom z + (z^3 + z) / 4 df
    Units: share 0 to 1; degrees of freedom above 0; no unit.
    Source: Abramowitz & Stegun (1964), Handbook of Mathematical Functions, 26.7.1 and 26.7.5 (from memory).
    Raises: BadQuantity: when the share is not between 0 and 1 or df is not above 0.
    """
    inside("share", share)
    positive("df", df)
    if share < 0.5:  # noqa: PLR2004 - the middle of a symmetric distribution
        return -_upper_quantile(share, df)
    return _upper_quantile(1.0 - share, df)


def t_tail(t: float, df: float) -> float:
    """Share of Student's t distribution that lies above t.

    Formula: for t >= 0 half of the regularised incomplete beta function I_x(df/2, 1/2) at x = df / (df + t^2)
    Units: no unit; share 0 to 1.
    Source: Abramowitz & Stegun (1964), Handbook of Mathematical Functions, 26.7.1 and 26.5.8 (from memory).
    Raises: BadQuantity: when df is not above 0, or t is no number.
    """
    positive("df", df)
    if math.isnan(t):
        raise BadQuantity("t", t, "a number")
    if t < 0:
        return 1.0 - t_tail(-t, df)
    square = t * t
    x, rest = df / (df + square), square / (df + square)
    if x < (df / 2.0 + 1.0) / (df / 2.0 + 2.5):
        return _incomplete_beta(x, rest, df / 2.0, 0.5) / 2.0
    return (1.0 - _incomplete_beta(rest, x, 0.5, df / 2.0)) / 2.0


def _upper_quantile(tail: float, df: float) -> float:
    """Value of 0 or more with `tail` (at most one half) above it."""
    if df > MANY_DF:
        z = -NormalDist().inv_cdf(tail)
        return z + (z**3 + z) / (4.0 * df)
    low, high = 0.0, 1.0
    while t_tail(high, df) > tail:
        low, high = high, 2.0 * high
    while True:
        middle = (low + high) / 2.0
        if middle in (low, high):
            return middle
        if t_tail(middle, df) > tail:
            low = middle
        else:
            high = middle


def _incomplete_beta(x: float, rest: float, a: float, b: float) -> float:
    """Regularised incomplete beta by its continued fraction (modified Lentz); `rest` is 1 - x without its rounding."""
    if x == 0.0:
        return 0.0
    front = math.exp(math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log(rest))
    tiny = 1e-300
    c, d = 1.0, 1.0 / ((1.0 - (a + b) * x / (a + 1.0)) or tiny)
    fraction, m, change = d, 0, 0.0
    while abs(change - 1.0) > 1e-15:  # noqa: PLR2004 - the limit of a double
        m += 1
        for numerator in (
            m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            d = 1.0 / ((1.0 + numerator * d) or tiny)
            c = (1.0 + numerator / c) or tiny
            change = c * d
            fraction *= change
    return front * fraction / a
