"""How long the rows that are left will take, by the rows of this bed that this phone has seen done."""

from collections.abc import Iterable, Sequence
from itertools import pairwise
from statistics import fmean

from mobile.log.rows import RowState
from shared_models.core.moments import elapsed_s
from shared_models.records.tables import RowPass
from shared_models.trade.pace.finish import time_left

#: minutes are told from here on, since nobody knows the seconds of rows to come
LEAST_S = 60.0


def seconds_left(state: RowState, longest_turn_s: float) -> float | None:
    """What the rows not begun are expected to take, turns included; None where no row of this bed has ended yet."""
    ended = [row for row in state.own if row.ended is not None]
    finish = time_left(list(_times(ended, longest_turn_s)), state.rows_left)
    return None if finish is None else max(LEAST_S, finish.expected_s)


def _times(ended: Sequence[RowPass], longest_turn_s: float) -> Iterable[float]:
    """Each row with the turn after it. After the last one, and before a break, it is a turn as the others were."""
    turns = [turn for before, after in pairwise(ended) if 0 <= (turn := _turn_s(before, after)) <= longest_turn_s]
    usual = fmean(turns) if turns else 0.0
    return (max(0.0, elapsed_s(row.started, row.ended)) + usual for row in ended if row.ended is not None)


def _turn_s(before: RowPass, after: RowPass) -> float:
    return elapsed_s(before.ended, after.started) if before.ended is not None else -1.0
