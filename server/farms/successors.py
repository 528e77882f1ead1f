"""When a phone may go on as another device: its successors, one for each fork that it was told of."""

from collections.abc import Iterable
from datetime import datetime, timedelta

from sqlalchemy import Connection, func, select, update

from server.db.tables import Device
from server.farms.devices import DeviceRow
from shared_models.errors import NotAllowed
from shared_models.records.tables import table_of

#: Of one phone that was paired by a code. Honest ones are restored from a copy a few times in their lives.
MOST_SUCCESSORS = 8
#: Without word of a fork: a phone that was restored without its key goes on as another one of itself. In one day, that
#: happens to a phone and its copies this often at most.
MOST_UNTOLD, UNTOLD_WITHIN = 3, timedelta(days=1)

_DEVICE = table_of(Device)


def allow_successor(connection: Connection, device: DeviceRow, now: datetime) -> bool:
    """Let a phone go on as another device, once for each fork that it was told of; return whether it was.

    Raises:
        NotAllowed: when it did so too often, or too often in a day without such word.
    """
    first = _first(connection, device.id)
    family = [first, *successors_of(connection, [first])]
    if len(family) > MOST_SUCCESSORS:
        raise NotAllowed
    if device.forked_at is not None:
        connection.execute(update(_DEVICE).where(_DEVICE.c.id == device.id).values(forked_at=None))
        return True
    untold = select(func.count()).where(_DEVICE.c.id.in_(family), _DEVICE.c.untold_at > now - UNTOLD_WITHIN)
    if connection.execute(untold).scalar_one() >= MOST_UNTOLD:
        raise NotAllowed
    return False


def _first(connection: Connection, device: str) -> str:
    seen = {device}
    while True:
        before = connection.execute(select(_DEVICE.c.continues).where(_DEVICE.c.id == device)).scalar_one_or_none()
        if before is None or before in seen:
            return device
        seen.add(before)
        device = before


def successors_of(connection: Connection, devices: Iterable[str]) -> list[str]:
    """The devices that go on from these, and those that go on from them."""
    found: list[str] = []
    new = list(devices)
    while new:
        later = select(_DEVICE.c.id).where(_DEVICE.c.continues.in_(new), _DEVICE.c.id.not_in([*new, *found]))
        new = list(connection.execute(later.order_by(_DEVICE.c.id)).scalars())
        found += new
    return found
