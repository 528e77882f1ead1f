"""Ways to put a row right whose end was tapped late: the times it would have, and what would be written. Pure."""

from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from mobile.log.rows import Change
from shared_models.core.moments import Moment, elapsed_s
from shared_models.core.vocabulary import StopReason
from shared_models.records.models import moment_fields, moment_json
from shared_models.records.tables import RowPass
from shared_models.trade.pace.late_end import Span, part_of, rest_spans, two_rows, usual_end_s

END_FIX = ("end_latitude", "end_longitude", "end_accuracy_m")
TAKEN_OVER = ("planting", "length_mm", "crew", "depth_notch", "depth_mm")


class FixKind(StrEnum):
    """What a row that went far too slowly really was."""

    TRIM = "trim"
    REST = "rest"
    SPLIT = "split"


@dataclass(frozen=True, slots=True)
class LateEndFix:
    """One way to put it right: when the row ended, how long the rest was, when a second row began."""

    kind: FixKind
    ended: Moment
    changes: tuple[Change, ...]
    rest_s: float = 0.0
    second_began: Moment | None = None


@dataclass(frozen=True, slots=True)
class LateEnd:
    """A row that ended (or is still open) at `until`, far later than is usual.

    `note` is added to the note of a row whose times become an estimate.
    """

    row: RowPass
    until: Moment
    usual_s: float
    note: str = ""
    _spans: list[Span] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        spans = [(self._at(stop.began), self._at(stop.ended or self.until)) for stop in self.row.stop_entries]
        object.__setattr__(self, "_spans", spans)

    @property
    def took_s(self) -> float:
        """From start to end, stops and all."""
        return self._at(self.until)

    def trim(self) -> LateEndFix:
        """The row ended when it usually does; stops after that were none of its own."""
        end_s = min(usual_end_s(self.usual_s, self._spans), self.took_s)
        return LateEndFix(FixKind.TRIM, self._moment(end_s), (self._first(end_s),))

    def rest(self) -> LateEndFix:
        """The row ended when it was tapped, and all beyond the usual was rest."""
        rests = rest_spans(self.took_s, self.usual_s, self._spans)
        added = [
            {"reason": StopReason.REST.value, "began": self._json(began_s), "ended": self._json(ended_s)}
            for began_s, ended_s in rests
        ]
        stops = sorted([*self._stops(0, self.took_s), *added], key=lambda stop: str(stop["began"]["at"]))
        change = Change("row_pass", self.row.id, {"stops": stops})
        return LateEndFix(FixKind.REST, self.until, (change,), sum(ended_s - began_s for began_s, ended_s in rests))

    def split(self, second: str, number: int) -> LateEndFix:
        """It was two rows: the end of this one, and the start of row `number` (a new record), were not tapped."""
        end_s, start_s = two_rows(self.took_s, self.usual_s, self._spans)
        kept = {name: getattr(self.row, name) for name in TAKEN_OVER}
        fixed = {name: getattr(self.row, name) for name in END_FIX if getattr(self.row, name) is not None}
        began = self._moment(start_s)
        times = moment_fields("started", began) | moment_fields("ended", self.until)
        fields = {"row": number, "stops": self._stops(start_s, self.took_s), "note": self.note}
        first = self._first(end_s)
        first.fields.update(dict.fromkeys(fixed))
        changes = (first, Change("row_pass", second, kept | fixed | times | fields))
        return LateEndFix(FixKind.SPLIT, self._moment(end_s), changes, second_began=began)

    def _first(self, end_s: float) -> Change:
        note = " · ".join(part for part in (self.row.note, self.note) if part)
        ended = moment_fields("ended", self._moment(end_s))
        return Change("row_pass", self.row.id, {**ended, "stops": self._stops(0, end_s), "note": note})

    def _stops(self, began_s: float, ended_s: float) -> list[dict[str, Any]]:
        """The stops that lie between, cut to it; what is not cut stays as it was tapped."""
        cut = []
        for stop, span in zip(self.row.stops, self._spans, strict=True):
            part = part_of(span, began_s, ended_s)
            if part is not None:
                kept: dict[str, Any] = dict(stop)
                kept |= {"began": self._json(part[0])} if part[0] > span[0] else {}
                kept |= {"ended": self._json(part[1])} if part[1] < span[1] or not kept.get("ended") else {}
                cut.append(kept)
        return cut

    def _at(self, moment: Moment) -> float:
        return max(0.0, elapsed_s(self.row.started, moment))

    def _moment(self, seconds: float) -> Moment:
        return self.row.started.later(seconds)

    def _json(self, seconds: float) -> dict[str, str | int]:
        return moment_json(self._moment(seconds))
