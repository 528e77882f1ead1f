"""Authenticate a farm's devices by their secret."""

from datetime import datetime
from typing import NamedTuple

from sqlalchemy import Connection, bindparam, func, select, update

from server.db.tables import Device
from server.farms.tokens import token_matches
from shared_models.core.ids import is_id
from shared_models.errors import WrongSecret
from shared_models.records.tables import table_of

_DEVICE = table_of(Device).c
_KNOWN = select(
    _DEVICE.id, _DEVICE.farm_id, _DEVICE.name, _DEVICE.last_seen_at, _DEVICE.forked_at, _DEVICE.secret_hash
).where(_DEVICE.id == bindparam("device"), _DEVICE.removed_at.is_(None))
_LAST_SEEN = select(func.max(_DEVICE.last_seen_at)).where(_DEVICE.farm_id == bindparam("farm"))
_MARK_SEEN = update(table_of(Device)).where(_DEVICE.id == bindparam("device")).values(last_seen_at=bindparam("seen_at"))


class DeviceRow(NamedTuple):
    """An authenticated device."""

    id: str
    farm: str
    name: str
    last_seen_at: datetime | None
    forked_at: datetime | None
    secret_hash: bytes | None


def authenticate(connection: Connection, credentials: str) -> DeviceRow:
    """The device with these credentials: its id, a dot, its secret.

    Raises:
        WrongSecret: when there is no such device (any more), or the secret is wrong.
    """
    device, _, secret = credentials.partition(".")
    found = connection.execute(_KNOWN, {"device": device}).one_or_none() if is_id(device) else None
    if not token_matches(secret, found.secret_hash if found else None) or found is None:
        raise WrongSecret
    return DeviceRow(*found)


def require_paired(connection: Connection, device: DeviceRow) -> None:
    """Check, in the transaction that acts for a device, that it was not removed since it was authenticated.

    Raises:
        WrongSecret: when it was removed, or paired again.
    """
    found = connection.execute(_KNOWN, {"device": device.id}).one_or_none()
    if found is None or found.secret_hash != device.secret_hash:
        raise WrongSecret


def mark_forked(connection: Connection, device: str, now: datetime) -> None:
    """Write down that the device was told of a fork of its log: it may go on as another device."""
    connection.execute(update(table_of(Device)).where(_DEVICE.id == device).values(forked_at=now))


def last_seen(connection: Connection, farm: str) -> datetime | None:
    """When a device of the farm was last seen."""
    latest: datetime | None = connection.execute(_LAST_SEEN, {"farm": farm}).scalar_one()
    return latest


def mark_seen(connection: Connection, device: str, now: datetime) -> None:
    """Write down when the device was last seen."""
    connection.execute(_MARK_SEEN, {"device": device, "seen_at": now})
