"""When did a row really end if its end was tapped late?

All times are seconds since the row's start; a stop is (began, ended). Each answer is an estimate that is shown to the
person before it is taken.
"""

from collections.abc import Iterable, Sequence

from shared_models.errors import BadQuantity
from shared_models.trade.validation import not_negative, within

Span = tuple[float, float]


def usual_end_s(usual_s: float, stops: Sequence[Span]) -> float:
    """Estimate when a row was done if it went as fast as usual: the usual time, and the stops on the way.

    Formula: end = usual row time + every stop that begins before that end
    Units: seconds.
    Source: Common practice, no source.
    Raises: BadQuantity: when the usual time is negative, or a stop begins before the row or ends before it begins.
    """
    not_negative("usual_s", usual_s)
    end_s = usual_s
    for began_s, ended_s in _apart(stops):
        if began_s >= end_s:
            break
        end_s += ended_s - began_s
    return end_s


def rest_spans(row_s: float, usual_s: float, stops: Sequence[Span]) -> list[Span]:
    """Estimate when people rested, if all time beyond the usual was rest; as late in the row as the stops allow.

    Formula: rest = row - stops - usual row time, laid from the row's end backwards into time that is no stop
    Units: seconds.
    Source: Common practice, no source.
    Raises: BadQuantity: when a time is negative, or a stop begins before the row or ends before it begins.
    """
    not_negative("row_s", row_s)
    not_negative("usual_s", usual_s)
    apart = _apart(stops)
    left_s = row_s - usual_s - sum(ended_s - began_s for began_s, ended_s in apart)
    spans: list[Span] = []
    until_s = row_s
    for began_s, ended_s in ((0.0, 0.0), *apart)[::-1]:
        rest_s = min(left_s, until_s - ended_s)
        if rest_s > 0:
            spans.append((until_s - rest_s, until_s))
            left_s -= rest_s
        until_s = began_s
    return spans[::-1]


def two_rows(row_s: float, usual_s: float, stops: Sequence[Span]) -> Span:
    """Estimate when the first of two rows ended and the second began, if two were tapped as one.

    Formula: first end = start + usual row time and its stops; second start = end - usual row time and its stops; the
        middle for both, where these would overlap
    Units: seconds.
    Source: Common practice, no source.
    Raises: BadQuantity: when a time is negative, a stop lies outside of the row or ends before it begins.
    """
    not_negative("row_s", row_s)
    for each in (moment_s for stop in stops for moment_s in stop):
        within("stops", each, 0, row_s)
    first_end_s = usual_end_s(usual_s, stops)
    from_behind = [(row_s - ended_s, row_s - began_s) for began_s, ended_s in stops]
    second_start_s = row_s - usual_end_s(usual_s, from_behind)
    return (first_end_s, second_start_s) if first_end_s <= second_start_s else (row_s / 2, row_s / 2)


def part_of(stop: Span, began_s: float, ended_s: float) -> Span | None:
    """Clip a stop to a row; None where they do not overlap.

    Formula: from the later start to the earlier end
    Units: seconds.
    Source: Plain overlap of two spans.
    """
    part = max(stop[0], began_s), min(stop[1], ended_s)
    return part if part[0] < part[1] else None


def _apart(stops: Iterable[Span]) -> list[Span]:
    """The stops in order; those that overlap are one."""
    apart: list[Span] = []
    for began_s, ended_s in sorted(stops):
        not_negative("stops", began_s)
        if ended_s < began_s:
            raise BadQuantity("stops", ended_s, "not before its beginning")
        if apart and began_s <= apart[-1][1]:
            apart[-1] = apart[-1][0], max(apart[-1][1], ended_s)
        else:
            apart.append((began_s, ended_s))
    return apart
