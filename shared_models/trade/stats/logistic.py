"""How do the odds of a miss change with depth, age or any other figure, and how sure is that?

Logistic regression for counts out of positions, by Newton's method, in plain Python: a season has a few hundred rows
and a handful of factors.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from shared_models.errors import BadQuantity
from shared_models.trade.stats.linear_algebra import Matrix, dot, inverse, own_shares, times
from shared_models.trade.stats.student_t import t_tail
from shared_models.trade.validation import finite, not_negative, positive, whole, within

SEPARATION_LOGIT = 15.0
"""A fitted logit beyond this (3 in 10 million) means that a group had no miss at all, or nothing but misses."""

MOST_STEPS = 60
SAME_DEVIANCE = 1e-13
"""Relative change of the deviance at which the fit stands still."""
RUNAWAY_LOGIT = 25.0
"""A logit at which the search stops: it would run on for ever."""
REPEATS = 1e-10
"""Share of a column's own scatter, beside the other columns, below which it repeats them."""
MOST_LOG_ODDS = 700.0
"""Beyond it odds overflow a double."""


@dataclass(frozen=True, slots=True)
class LogisticFit:
    """A fitted model: log odds = coefficients[0] + sum of coefficient x column.

    `covariance` is that of the plain binomial model; `dispersion` (None without spare rows) says how many times larger
    the scatter between rows is than chance allows. `separated`: some estimates run off to infinity; do not read them.
    """

    coefficients: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]
    fitted: tuple[float, ...]
    deviance: float
    pearson_x2: float
    df: int
    separated: bool

    @property
    def standard_errors(self) -> tuple[float, ...]:
        """Standard errors of the plain binomial model."""
        return tuple(math.sqrt(row[i]) for i, row in enumerate(self.covariance))

    @property
    def dispersion(self) -> float | None:
        """Pearson's X squared per degree of freedom; 1 when rows scatter as chance alone makes them."""
        return self.pearson_x2 / self.df if self.df else None


@dataclass(frozen=True, slots=True)
class Coefficient:
    """One coefficient with its standard error, the two divided, and the chance of one as large by accident."""

    estimate: float
    standard_error: float
    ratio: float
    p_value: float


def fit_logistic(columns: Sequence[Sequence[float]], hits: Sequence[float], trials: Sequence[float]) -> LogisticFit:
    """Fit the log odds of a hit as a straight-line sum of the columns (one value per row of data each).

    Formula: maximum likelihood by iteratively reweighted least squares: b = (X'WX)^-1 X'W z with W = n p (1 - p) and
        z = logit p + (y - n p) / W, from p = (y + 1/2) / (n + 1) until the deviance stands still. Covariance (X'WX)^-1.
        Deviance 2 sum(y ln(y / n p) + (n - y) ln((n - y) / n (1 - p))); Pearson X squared = sum (y - n p)^2 / W. The
        intercept is added here. Columns are centred and scaled inside, which changes no answer.
    Units: counts; columns in any unit; coefficients in log odds per unit of their column.
    Source: McCullagh & Nelder (1989), Generalized Linear Models, 2nd ed., chapters 2 and 4 (from memory).
    Raises: BadQuantity: when there is no row, a count is impossible, lengths differ, a column is the same in all rows,
        or columns repeat each other.
    """
    rows = len(hits)
    _check(columns, hits, trials)
    centres = [math.fsum(column) / rows for column in columns]
    scales = [_spread(f"column {i}", column, centres[i]) for i, column in enumerate(columns)]
    design = [
        [1.0, *((column[r] - centre) / scale for column, centre, scale in zip(columns, centres, scales, strict=True))]
        for r in range(rows)
    ]
    if min(own_shares([*zip(*design, strict=True)])) <= REPEATS:
        raise BadQuantity("columns", len(columns), "independent of each other")
    beta, information = _maximise(design, hits, trials)
    logits = [dot(beta, line) for line in design]
    fitted = [_expit(logit) for logit in logits]
    back = _unscale(centres, scales)
    covariance = times(times(back, inverse(information)), [list(column) for column in zip(*back, strict=True)])
    return LogisticFit(
        coefficients=tuple(dot(line, beta) for line in back),
        covariance=tuple(tuple(line) for line in covariance),
        fitted=tuple(fitted),
        deviance=_deviance(hits, trials, fitted),
        pearson_x2=math.fsum(
            (y - n * p) ** 2 / (n * p * (1 - p)) for y, n, p in zip(hits, trials, fitted, strict=True)
        ),
        df=rows - len(beta),
        separated=any(abs(logit) > SEPARATION_LOGIT for logit in logits),
    )


def wald_tests(fit: LogisticFit, dispersion: float | None = None, df: int | None = None) -> tuple[Coefficient, ...]:
    """Each coefficient with its standard error and the chance of one as large by accident.

    Formula: plain: z = estimate / standard error, p from the normal distribution. With a dispersion (quasi-binomial):
        standard error x sqrt(dispersion), and p from Student's t with the degrees of freedom that the dispersion has:
        the spare rows unless `df` says otherwise.
    Units: log odds per unit of the column; p from 0 to 1.
    Source: McCullagh & Nelder (1989), Generalized Linear Models, 2nd ed., section 4.5 (from memory).
    Raises: BadQuantity: when a dispersion is given that is not above 0, or there are no spare rows to judge it by.
    """
    df = fit.df if df is None else df
    if dispersion is not None:
        positive("dispersion", dispersion)
        whole("df", df, 1)
    widen = math.sqrt(1.0 if dispersion is None else dispersion)

    def test(estimate: float, plain_error: float) -> Coefficient:
        error = plain_error * widen
        ratio = estimate / error
        p = math.erfc(abs(ratio) / math.sqrt(2)) if dispersion is None else 2 * t_tail(abs(ratio), df)
        return Coefficient(estimate, error, ratio, p)

    return tuple(map(test, fit.coefficients, fit.standard_errors))


def odds(log_odds: float) -> float:
    """Odds, or an odds ratio, from their logarithm.

    Formula: e ^ log odds, the log odds held within -700 and 700
    Units: no unit.
    Source: definition; the limits are those of a double.
    Raises: BadQuantity: when the log odds are no number.
    """
    finite("log_odds", log_odds)
    return math.exp(max(-MOST_LOG_ODDS, min(MOST_LOG_ODDS, log_odds)))


def _check(columns: Sequence[Sequence[float]], hits: Sequence[float], trials: Sequence[float]) -> None:
    whole("rows", len(hits), 1)
    for field, values in (("trials", trials), *((f"column {i}", column) for i, column in enumerate(columns))):
        if len(values) != len(hits):
            raise BadQuantity(f"values in {field}", len(values), f"{len(hits)}, one for each row")
    for y, n in zip(hits, trials, strict=True):
        positive("trials", n)
        not_negative("hits", y)
        within("hits", y, 0, n)
    for i, column in enumerate(columns):
        for value in column:
            within(f"column {i}", value, -1e100, 1e100)


def _spread(field: str, column: Sequence[float], centre: float) -> float:
    spread = math.sqrt(math.fsum((value - centre) ** 2 for value in column) / len(column))
    if max(column) == min(column):
        raise BadQuantity(field, column[0], "not the same in all rows")
    return spread


def _maximise(design: Matrix, hits: Sequence[float], trials: Sequence[float]) -> tuple[list[float], Matrix]:
    """Coefficients at the largest likelihood, and the information matrix there."""
    fitted = [(y + 0.5) / (n + 1) for y, n in zip(hits, trials, strict=True)]
    logits = [math.log(p / (1 - p)) for p in fitted]
    beta: list[float] = []
    deviance = math.inf
    for _ in range(MOST_STEPS):
        wanted = _newton(design, hits, trials, logits, fitted)
        step = 1.0
        while True:
            trial = [old + step * (new - old) for old, new in zip(beta, wanted, strict=True)] if beta else wanted
            logits = [dot(trial, line) for line in design]
            fitted = [_expit(logit) for logit in logits]
            reached = _deviance(hits, trials, fitted)
            if reached <= deviance * (1 + SAME_DEVIANCE) + SAME_DEVIANCE or step < SAME_DEVIANCE:
                break
            step /= 2  # Newton overshot
        settled = deviance - reached <= SAME_DEVIANCE * (reached + 0.1)
        beta, deviance = trial, reached
        if settled or max(map(abs, logits)) > RUNAWAY_LOGIT:
            break
    return beta, _information(design, trials, fitted)


def _newton(
    design: Matrix, hits: Sequence[float], trials: Sequence[float], logits: list[float], fitted: list[float]
) -> list[float]:
    pulls = [n * p * (1 - p) * logit + y - n * p for y, n, p, logit in zip(hits, trials, fitted, logits, strict=True)]
    right = [math.fsum(line[i] * pull for line, pull in zip(design, pulls, strict=True)) for i in range(len(design[0]))]
    return [dot(line, right) for line in inverse(_information(design, trials, fitted))]


def _information(design: Matrix, trials: Sequence[float], fitted: Sequence[float]) -> Matrix:
    weights = [n * p * (1 - p) for n, p in zip(trials, fitted, strict=True)]
    size = range(len(design[0]))
    return [
        [math.fsum(w * line[i] * line[j] for w, line in zip(weights, design, strict=True)) for j in size] for i in size
    ]


def _unscale(centres: Sequence[float], scales: Sequence[float]) -> Matrix:
    """Matrix that turns coefficients of centred and scaled columns into those of the columns as they came."""
    size = len(scales)
    first = [1.0, *(-centre / scale for centre, scale in zip(centres, scales, strict=True))]
    return [first, *([0.0, *(1 / scales[i] if i == j else 0.0 for j in range(size))] for i in range(size))]


def _expit(logit: float) -> float:
    return 1 / (1 + math.exp(-max(-30.0, min(30.0, logit))))


def _deviance(hits: Sequence[float], trials: Sequence[float], fitted: Sequence[float]) -> float:
    return 2 * math.fsum(
        _part(y, n * p) + _part(n - y, n * (1 - p)) for y, n, p in zip(hits, trials, fitted, strict=True)
    )


def _part(seen: float, expected: float) -> float:
    return seen * math.log(seen / expected) if seen else 0.0
