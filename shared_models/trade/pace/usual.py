"""What is the usual rate, and what would it be for the work that was done?"""

from collections.abc import Iterable, Sequence
from statistics import median

from shared_models.trade.validation import not_negative, positive, whole


def usual_rate(rates: Sequence[float]) -> float:
    """Compute the usual rate among earlier ones. One bad day, or one very good, hardly moves it.

    Formula: median of the rates
    Units: any rate; the answer in the same.
    Source: Common practice, no source; the median as a robust "usual": Hampel (1974), Journal of the American
        Statistical Association 69 (from memory).
    Raises: BadQuantity: when there is no rate, or one that is not above 0.
    """
    whole("earlier rates", len(rates), least=1)
    for rate in rates:
        positive("rate", rate)
    return median(rates)


def usual_of_mix(parts: Iterable[tuple[float, float]]) -> float | None:
    """Compute the usual rate of work of several kinds: each part is its amount and the usual rate of its kind.

    So a day of slow crops is compared with slow crops. None where there is no amount at all.

    Formula: summed amounts / sum of (amount / usual rate), which is the amount over the time it usually takes
    Units: amounts in any unit, rates in that unit per hour; the answer in the same.
    Source: Identity (100 ft at 400 ft/h and 100 ft at 200 ft/h take 3/4 h, 267 ft/h).
    Raises: BadQuantity: when an amount is negative or a usual rate is not above 0.
    """
    amount = usual_h = 0.0
    for part, usual in parts:
        not_negative("amount", part)
        positive("usual_rate", usual)
        amount += part
        usual_h += part / usual
    return amount / usual_h if usual_h else None
