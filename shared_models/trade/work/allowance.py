"""How long does a job take with rest and personal time included?

Two definitions are in print, and they give different times: the allowance as a share of the *shift* (5 % of 480
minutes is 24 minutes), and as a share of the *work* (5 % on top of each minute worked). Rowend plans with the share of
the shift, because a crew's day has a fixed length.
"""

from shared_models.errors import BadQuantity
from shared_models.trade.validation import not_negative, positive

#: Usual allowance for personal needs, as a share of the shift: 24 of 480 minutes. It rests on custom, as its source
#: says itself (Konz, Allowances, in Handbook of Industrial Engineering, ch. 55; copy seen).
PERSONAL_ALLOWANCE = 0.05


def normal_time(observed_s: float, rating: float = 1.0) -> float:
    """Compute the time of a usual worker from an observed time.

    Formula: normal time = observed time x rating
    Units: seconds (any one unit of time serves); rating 1 is the usual pace, 1.1 a worker 10 % faster.
    Source: Konz, Time study, in Handbook of Industrial Engineering, ch. 54 (copy seen).
    Raises: BadQuantity: when the time is negative or the rating is not above 0.
    """
    not_negative("observed_s", observed_s)
    positive("rating", rating)
    return observed_s * rating


def standard_time(normal_s: float, shift_share: float = PERSONAL_ALLOWANCE) -> float:
    """Add the allowance when it is a share of the whole shift.

    Formula: standard time = normal time / (1 - allowance)
    Units: seconds (any one unit of time serves); allowance 0 to below 1.
    Source: Konz, Allowances, in Handbook of Industrial Engineering, ch. 55 (copy seen).
    Raises: BadQuantity: when the time is negative or the allowance is negative, 1 or more.
    """
    not_negative("normal_s", normal_s)
    if not 0.0 <= shift_share < 1.0:
        raise BadQuantity("shift_share", shift_share, "0 or more and below 1")
    return normal_s / (1.0 - shift_share)


def standard_time_on_work(normal_s: float, work_share: float) -> float:
    """Add the allowance when it is a share of the time worked.

    Formula: standard time = normal time x (1 + allowance)
    Units: seconds (any one unit of time serves); allowance 0 or more.
    Source: Konz, Allowances, in Handbook of Industrial Engineering, ch. 55 (copy seen).
    Raises: BadQuantity: when the time or the allowance is negative.
    """
    not_negative("normal_s", normal_s)
    not_negative("work_share", work_share)
    return normal_s * (1.0 + work_share)
