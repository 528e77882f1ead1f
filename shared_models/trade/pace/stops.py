"""How long did each stop hold up its row?"""

from collections.abc import Sequence


def held_up_s(stops: Sequence[tuple[float, float]], row_s: float) -> list[float]:
    """Compute how long each stop (began, ended, in seconds since the row's start) held the row up.

    A row whose times were put right may leave a stop reaching beyond it, and two stops may share some time.

    Formula: what of the stop lies within the row, less what an earlier stop covers; together never more than the row
    Units: seconds.
    Source: Plain overlap of spans.
    """
    held, covered_s = [0.0] * len(stops), 0.0
    for place in sorted(range(len(stops)), key=stops.__getitem__):
        began_s, ended_s = stops[place]
        held[place] = max(0.0, min(ended_s, row_s) - max(began_s, covered_s))
        covered_s = max(covered_s, ended_s)
    return held
