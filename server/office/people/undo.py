"""View of the page that undoes what a phone sent."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from server.farms.phones import phones_of
from server.farms.undo_phone import SetBack, sent_since, set_back
from server.office.shell.context import OfficeContext
from server.office.shell.view import Fact
from shared_models.errors import UnknownRecord
from shared_models.reports.audit.entries import KIND_NAMES


@dataclass(frozen=True, slots=True)
class UndoPage:
    """What undoing would do. `since` is for the form, in farm time."""

    phone: str
    name: str
    since: str
    since_text: str
    asked: bool
    back: tuple[Fact, ...]
    deleted: tuple[Fact, ...]
    stuck: tuple[Fact, ...]
    by_clock: str


def parse_since(context: OfficeContext, text: str) -> datetime | None:
    """The time in a form, in farm time; None when it is none."""
    try:
        return datetime.fromisoformat(text).replace(tzinfo=context.localizer.zone)
    except ValueError:
        return None


def undo_page(context: OfficeContext, phone: str, since: datetime | None) -> UndoPage:
    """Build the page.

    Raises:
        UnknownRecord: when the farm has no such phone.
    """
    connection, farm, localizer = context.session.connection(), context.farm.id, context.localizer
    name = next((each.name for each in phones_of(connection, farm) if each.id == phone), None)
    if name is None:
        raise UnknownRecord("phone", phone)
    at = since or context.now - timedelta(days=1)
    found: list[SetBack] = []
    by_clock = 0
    if since is not None:
        sent = sent_since(connection, farm, phone, since)
        found, by_clock = set_back(connection, farm, sent), sent.by_clock
    return UndoPage(
        phone=phone,
        name=name,
        since=f"{localizer.local(at):%Y-%m-%dT%H:%M}",
        since_text=localizer.date_time(at),
        asked=since is not None,
        back=tuple(_counts(context, (each for each in found if not each.stuck and not each.deletes))),
        deleted=tuple(_counts(context, (each for each in found if not each.stuck and each.deletes))),
        stuck=tuple(_counts(context, (each for each in found if each.stuck))),
        by_clock=localizer.number(by_clock) if by_clock else "",
    )


def _counts(context: OfficeContext, found: Iterable[SetBack]) -> Iterable[Fact]:
    counts = Counter(each.key.kind for each in found)
    for kind, (_, many) in KIND_NAMES.items():
        if counts[kind]:
            yield Fact(context.localizer.t(many), context.localizer.number(counts[kind]))
