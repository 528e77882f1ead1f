"""When will the remaining rows be done, and how sure is that?"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import fmean, stdev

from shared_models.trade.stats.student_t import t_two_sided
from shared_models.trade.validation import inside, not_negative, within


@dataclass(frozen=True, slots=True)
class Finish:
    """Time still needed, with its range; the range is None while there are too few rows to know it."""

    expected_s: float
    low_s: float | None
    high_s: float | None


@dataclass(frozen=True, slots=True)
class Estimate:
    """A guessed time: what to expect, and its standard deviation."""

    expected_s: float
    sd_s: float


def time_left(past_s: Sequence[float], rows_left: float, confidence: float = 0.95) -> Finish | None:
    """Estimate how long the remaining rows will take, from the rows done so far.

    After no row nothing can be said (None); after one row there is an expectation without a range. The range is for
    the whole time left, so it covers both the luck of the rows to come and what the past rows leave unknown about the
    usual row. No range begins below zero.

    Formula: k m +- t s sqrt(k + k^2 / n), with k rows left, mean m and standard deviation s of the n past row times,
        and Student's t for n - 1 degrees of freedom
    Units: seconds from row start to the next row start (turns included), or row times alone, as given; k may be a part
        of a row.
    Source: Prediction of a sum of further observations from a normal sample: Hahn & Meeker (1991), Statistical
        Intervals, ch. 4 (from memory).
    Raises: BadQuantity: when a time or the rows left is negative or not finite, or the confidence is outside 0 to 1.
    """
    not_negative("rows_left", rows_left)
    inside("confidence", confidence)
    for each in past_s:
        not_negative("past_s", each)
    n = len(past_s)
    if n == 0:
        return None
    expected = rows_left * fmean(past_s)
    if n == 1:
        return Finish(expected, None, None)
    half = t_two_sided(confidence, n - 1) * stdev(past_s) * math.sqrt(rows_left + rows_left**2 / n)
    return Finish(expected, max(0.0, expected - half), expected + half)


def three_point(optimistic_s: float, likely_s: float, pessimistic_s: float) -> Estimate:
    """Estimate a time from three guesses, before the farm has rows of its own to go by.

    Formula: expected = (optimistic + 4 likely + pessimistic) / 6; sd = (pessimistic - optimistic) / 6
    Units: seconds (any one unit of time serves).
    Source: PERT: Malcolm, Roseboom, Clark & Fazar (1959), Operations Research 7:646-669 (from memory).
    Raises: BadQuantity: when the optimistic time is negative or the three are not in order.
    """
    not_negative("optimistic_s", optimistic_s)
    not_negative("pessimistic_s", pessimistic_s)
    within("likely_s", likely_s, optimistic_s, pessimistic_s)
    return Estimate((optimistic_s + 4.0 * likely_s + pessimistic_s) / 6.0, (pessimistic_s - optimistic_s) / 6.0)


def in_sequence(estimates: Iterable[Estimate]) -> Estimate:
    """Add up guessed times of jobs that are done one after another.

    Formula: expected = sum of the expected; sd = square root of the sum of sd^2 (the jobs' luck is independent)
    Units: seconds.
    Source: PERT: Malcolm, Roseboom, Clark & Fazar (1959), Operations Research 7:646-669 (from memory).
    """
    jobs = list(estimates)
    return Estimate(math.fsum(job.expected_s for job in jobs), math.hypot(*(job.sd_s for job in jobs)))
