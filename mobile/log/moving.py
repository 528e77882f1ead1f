"""Rows that were logged in the wrong planting, and plantings in the wrong bed: what has to be written. Pure."""

from collections.abc import Collection, Iterable
from itertools import count

from mobile.log.rows import SAME_DAY_S, Change, RowState
from shared_models.core.moments import Moment, elapsed_s
from shared_models.records.tables import RowPass

MOVE, REPLANT = "move of rows", "other bed or crop"


def lately(state: RowState, now: Moment) -> list[RowPass]:
    """The rows of a planting that this phone planted on the day of its last one: those that a wrong choice concerns.

    Where no clock can tell, all of its own; where it planted none, all rows there are.
    """
    day = [row for row in state.own if 0 <= elapsed_s(row.started, now) < SAME_DAY_S]
    return day or list(state.own) or list(state.passes)


def numbers(moved: Iterable[int], taken: Collection[int]) -> dict[int, int]:
    """The numbers under which rows go on in another planting: their own.

    Where one of them is taken there, all of them get the lowest ones free, in their order: nobody begins a row twice,
    so they were the next ones.
    """
    own = sorted(set(moved))
    if not set(own) & set(taken):
        return {number: number for number in own}
    free = (number for number in count(1) if number not in taken)
    return dict(zip(own, free, strict=False))


def moves(source: RowState, rows: Collection[RowPass], to: str, taken: Collection[int], length_mm: int) -> list[Change]:
    """One line for each of these rows.

    A row that is just as long as its bed takes the length of the other bed; a length of its own is kept.
    """
    new = numbers((row.row for row in rows), taken)
    changes = []
    for row in rows:
        fields = {"planting": to} | ({"row": new[row.row]} if new[row.row] != row.row else {})
        changes.append(Change("row_pass", row.id, fields | _length(row, source.length_mm, length_mm)))
    return changes


def replanted(state: RowState, changed: dict[str, str], length_mm: int) -> list[Change]:
    """The planting itself has another bed or sowing; its rows stay with it, as long as the bed is."""
    longer = [Change("row_pass", row.id, _length(row, state.length_mm, length_mm)) for row in state.passes]
    return [*(change for change in longer if change.fields), Change("planting", state.planting, dict(changed))]


def _length(row: RowPass, was_mm: int, now_mm: int) -> dict[str, int]:
    return {"length_mm": now_mm} if row.length_mm == was_mm != now_mm else {}
