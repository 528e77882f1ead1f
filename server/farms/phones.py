"""The phones of a farm: list, pair, remove."""

from datetime import datetime
from typing import NamedTuple

from sqlalchemy import ColumnElement, Connection, Engine, select, update

from server.db.tables import Device, DeviceKind, PairingCode
from server.farms.pairing import new_code
from server.farms.refusals import forget_limits
from server.farms.successors import successors_of
from server.farms.sync_limits import allow_again
from server.farms.tokens import hash_token, parse_code
from server.runtime.providers import Providers
from shared_models.errors import UnknownRecord
from shared_models.log.store import writing
from shared_models.records.tables import table_of

_DEVICE, _CODE = table_of(Device), table_of(PairingCode)


class PairedPhone(NamedTuple):
    """A paired phone, also a removed one. `continues` is the device whose log it continues after a fork."""

    id: str
    name: str
    continues: str | None
    paired_at: datetime
    last_seen_at: datetime | None
    removed_at: datetime | None


class PairingStatus(NamedTuple):
    """State of a one-time code: its expiry and the phone that used it."""

    expires_at: datetime
    phone: PairedPhone | None
    expired: bool


def phones_of(connection: Connection, farm: str) -> list[PairedPhone]:
    """The phones of a farm: active before removed, the latest paired first."""
    columns = [_DEVICE.c[name] for name in PairedPhone._fields]
    query = select(*columns).where(_DEVICE.c.farm_id == farm, _DEVICE.c.kind == DeviceKind.PHONE)
    found = [PairedPhone(*row) for row in connection.execute(query.order_by(_DEVICE.c.paired_at.desc(), _DEVICE.c.id))]
    return sorted(found, key=lambda phone: phone.removed_at is not None)


def start_pairing(engine: Engine, farm: str, providers: Providers) -> str:
    """Make a one-time code for one phone of the farm."""
    with writing(engine, farm) as connection:
        return new_code(connection, farm, providers)


def pairing_status(connection: Connection, farm: str, code: str, now: datetime) -> PairingStatus | None:
    """The state of a pairing; None if this farm has no such code (any more)."""
    ours = (_CODE.c.hash == hash_token(parse_code(code))) & (_CODE.c.farm_id == farm)
    found = connection.execute(select(_CODE.c.expires_at, _CODE.c.used_at).where(ours)).one_or_none()
    if found is None:
        return None
    joined = [phone for phone in phones_of(connection, farm) if found.used_at and phone.paired_at >= found.used_at]
    first = min(joined, key=lambda phone: phone.paired_at, default=None)
    return PairingStatus(found.expires_at, first, found.used_at is None and found.expires_at <= now)


def remove_phone(engine: Engine, farm: str, phone: str, now: datetime) -> None:
    """Remove a phone, and the devices that go on from it: none of them can sync any more.

    Their lines stay. New ones are taken from nobody, unless an owner brings them in from a bundle.

    Raises:
        UnknownRecord: when the farm has no such phone.
    """
    with writing(engine, farm) as connection:
        _require_phone(connection, farm, phone, _DEVICE.c.removed_at.is_(None))
        removed = [phone, *successors_of(connection, [phone])]
        ours = _DEVICE.c.id.in_(removed) & _DEVICE.c.removed_at.is_(None)
        connection.execute(update(_DEVICE).where(ours).values(removed_at=now))


def let_send_again(engine: Engine, farm: str, phone: str, now: datetime) -> None:
    """Let a phone that reached a limit send as much again.

    Raises:
        UnknownRecord: when the farm has no such phone.
    """
    with writing(engine, farm) as connection:
        _require_phone(connection, farm, phone)
        allow_again(connection, phone, now)
        forget_limits(connection, phone)


def _require_phone(connection: Connection, farm: str, phone: str, *also: ColumnElement[bool]) -> None:
    ours = (_DEVICE.c.id == phone) & (_DEVICE.c.farm_id == farm) & (_DEVICE.c.kind == DeviceKind.PHONE)
    if connection.execute(select(_DEVICE.c.id).where(ours, *also)).one_or_none() is None:
        raise UnknownRecord("phone", phone)
