"""How long does a row usually take here, by the rows that were planted last?"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from sqlalchemy import ColumnElement
from sqlmodel import Session, col, func, select

from shared_models.core.moments import elapsed_s
from shared_models.records.tables import Planting, RowPass, Sowing
from shared_models.reports.rows.timelines import is_plausible
from shared_models.trade.pace.missed_taps import FEWEST_ROWS, tap_missed, usual_time_s
from shared_models.trade.pace.stops import held_up_s

#: Rows that are looked back on, last first. Common practice, no source: some ten beds.
LOOK_BACK = 60
SAME_SPACING_MM = 0.5


@dataclass(frozen=True, slots=True)
class PastRow:
    """A row that was planted here."""

    id: str
    row_time_s: float
    length_mm: float


@dataclass(frozen=True, slots=True)
class Usual:
    """What is usual here, by the last rows `alike` in crop and spacing where there are enough, else by any rows."""

    alike: tuple[PastRow, ...] = ()
    every: tuple[PastRow, ...] = ()

    def renewed(self, rows: Sequence[RowPass]) -> Usual:
        """With these rows, which are alike, as they are by now."""
        return Usual(_renewed(self.alike, rows), _renewed(self.every, rows))

    def time_s(self, row: RowPass) -> float | None:
        """How long a row of this length usually takes; None while there are too few rows."""
        return usual_time_s(row.length_mm, self._others(row))

    def tap_missed(self, row: RowPass, row_time_s: float, times: float) -> bool:
        """Whether a row is `times` as slow as usual, so that its end was probably not tapped; never where that is 0."""
        return times > 0 and tap_missed(row_time_s, row.length_mm, self._others(row), times)

    def _others(self, row: RowPass) -> list[tuple[float, float]]:
        """A row is no measure of itself."""
        past = self.alike if len(self.alike) > FEWEST_ROWS else self.every
        return [(each.row_time_s, each.length_mm) for each in past if each.id != row.id]


def usual(session: Session, farm: str, crop: str, spacing_mm: float) -> Usual:
    """What is usual for a crop at a spacing."""
    alike = (
        # SQLite makes no small É of a capital one, so a name also stands for itself
        (col(Sowing.crop) == crop) | (func.lower(col(Sowing.crop)) == crop.lower()),
        col(Sowing.spacing_mm).between(spacing_mm - SAME_SPACING_MM, spacing_mm + SAME_SPACING_MM),
    )
    return Usual(_past(session, farm, *alike), _past(session, farm))


def row_time_s(row: RowPass, stops_until_s: float) -> float:
    """How long the chain ran in the first `stops_until_s` seconds of a row: what is left without the stops."""
    spans = [
        (elapsed_s(row.started, stop.began), elapsed_s(row.started, stop.ended) if stop.ended else stops_until_s)
        for stop in row.stop_entries
    ]
    return max(0.0, stops_until_s - sum(held_up_s(spans, stops_until_s)))


def _past(session: Session, farm: str, *alike: ColumnElement[bool]) -> tuple[PastRow, ...]:
    ended = select(RowPass).where(
        RowPass.farm_id == farm, col(RowPass.voided).is_(False), col(RowPass.ended_at).is_not(None)
    )
    if alike:
        ended = (
            ended.join(Planting, (col(Planting.farm_id) == farm) & (col(Planting.id) == col(RowPass.planting)))
            .join(Sowing, (col(Sowing.farm_id) == farm) & (col(Sowing.id) == col(Planting.sowing)))
            .where(*alike)
        )
    return tuple(_counted(session.exec(ended.order_by(col(RowPass.id).desc()).limit(LOOK_BACK))))


def _renewed(past: Sequence[PastRow], rows: Sequence[RowPass]) -> tuple[PastRow, ...]:
    ids = {row.id for row in rows}
    others = (each for each in past if each.id not in ids)
    return tuple(sorted((*others, *_counted(rows)), key=lambda each: each.id, reverse=True)[:LOOK_BACK])


def _counted(rows: Iterable[RowPass]) -> Iterable[PastRow]:
    for row in rows:
        took_s = elapsed_s(row.started, row.ended) if row.ended and _believable(row) else 0.0
        if took_s > 0 and row.length_mm > 0:
            yield PastRow(row.id, row_time_s(row, took_s), row.length_mm)


def _believable(row: RowPass) -> bool:
    return all(is_plausible(moment) for moment in (row.started, row.ended) if moment)
