"""Which entries need checking: flagged ones, with the reason, and rows whose times or ends are odd?"""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlmodel import Session, select

from shared_models.lazy_message import LazyMessage
from shared_models.records.models import KINDS
from shared_models.records.tables import Flagged
from shared_models.reports.audit.entries import problems_in, until_corrected
from shared_models.reports.common.farm import FarmFacts
from shared_models.reports.rows.rows import LoggedRow, day_of

#: Clocks differ a little, and farms lie in other zones than the service.
AHEAD = timedelta(days=1)
IN_THE_FUTURE = "Dated in the future: a phone's clock was wrong. Fix its times."
#: what an entry of each kind is called
LABELS = {kind: f"{kind.replace('_', ' ')} {{name}}" for kind in KINDS}


@dataclass(frozen=True, slots=True)
class Issue:
    """An entry to check: what it is, why, and the day it belongs to (None where unclear)."""

    kind: str
    id: str
    label: str
    reasons: tuple[str, ...]
    day: date | None


def row_issues(rows: Iterable[LoggedRow], farm: FarmFacts, now: datetime) -> list[Issue]:
    """The rows among these that need checking."""
    issues = []
    for row in rows:
        reasons = row.issues
        if row.start > now + AHEAD:
            reasons += (IN_THE_FUTURE,)
        if reasons:
            issues.append(Issue("row_pass", row.id, row.label, reasons, day_of(row, farm)))
    return issues


def flagged(session: Session, farm: str) -> list[Issue]:
    """The entries that break a rule: until corrected, in no other report or there in their last good form."""
    query = select(Flagged).where(Flagged.farm_id == farm).order_by(Flagged.kind, Flagged.id)
    return [each for record in session.exec(query) if (each := _flagged(record))]


def _flagged(record: Flagged) -> Issue | None:
    fields = json.loads(record.fields)
    if fields.get("voided") is True:
        return None
    name = fields.get("name") or fields.get("crop") or fields.get("row") or fields.get("on") or record.id
    reasons: tuple[str, ...] = tuple(
        LazyMessage.labelled(field.replace("_", " "), problem)
        for field, problem in problems_in(record.problems).items()
    )
    if record.kept:
        reasons += (until_corrected(problems_in(record.problems), kept=True),)
    return Issue(record.kind, record.id, LazyMessage(LABELS[record.kind], name=str(name)[:60]), reasons, None)
