"""The phones of a farm as its office sees them: pairing one, taking one off, and what is known of each."""

from __future__ import annotations

from datetime import datetime
from typing import NamedTuple

from sqlalchemy import Connection, Engine, select, update

from server.db.tables import Device, DeviceKind, PairingCode
from server.farms.pairing import new_code
from server.farms.tokens import as_typed, hash_of
from server.runtime.providers import Providers
from shared_models.errors import UnknownRecord
from shared_models.log.store import writing
from shared_models.records.tables import table_of

_DEVICE, _CODE = table_of(Device), table_of(PairingCode)


class PairedPhone(NamedTuple):
    """A phone that was paired once. `continues` is the device whose log it goes on with, after a fork."""

    id: str
    name: str
    continues: str | None
    paired_at: datetime
    last_seen_at: datetime | None
    removed_at: datetime | None


class Waiting(NamedTuple):
    """How a one-time code stands: until when it is good, and the phone that used it."""

    until: datetime
    phone: PairedPhone | None
    is_over: bool


def phones_of(connection: Connection, farm: str) -> list[PairedPhone]:
    """The phones of a farm, those that may sync first, the latest paired first."""
    columns = [_DEVICE.c[name] for name in PairedPhone._fields]
    query = select(*columns).where(_DEVICE.c.farm_id == farm, _DEVICE.c.kind == DeviceKind.PHONE)
    found = [PairedPhone(*row) for row in connection.execute(query.order_by(_DEVICE.c.paired_at.desc(), _DEVICE.c.id))]
    return sorted(found, key=lambda phone: phone.removed_at is not None)


def begin_pairing(engine: Engine, farm: str, providers: Providers) -> str:
    """A one-time code with which one phone joins the farm."""
    with writing(engine, farm) as connection:
        return new_code(connection, farm, providers)


def waiting_for(connection: Connection, farm: str, code: str, now: datetime) -> Waiting | None:
    """How the pairing with a code stands; None when the code is none of this farm's, or long gone."""
    asked = select(_CODE.c.expires_at, _CODE.c.used_at)
    found = connection.execute(
        asked.where(_CODE.c.hash == hash_of(as_typed(code)), _CODE.c.farm_id == farm)
    ).one_or_none()
    if found is None:
        return None
    joined = [phone for phone in phones_of(connection, farm) if found.used_at and phone.paired_at >= found.used_at]
    first = min(joined, key=lambda phone: phone.paired_at, default=None)
    return Waiting(found.expires_at, first, found.used_at is None and found.expires_at <= now)


def remove(engine: Engine, farm: str, phone: str, now: datetime) -> None:
    """Let a phone sync no more. Its lines stay, and others may still bring lines of it.

    Raises:
        UnknownRecord: when the farm has no such phone.
    """
    here = (_DEVICE.c.id == phone) & (_DEVICE.c.farm_id == farm) & (_DEVICE.c.kind == DeviceKind.PHONE)
    with writing(engine, farm) as connection:
        gone = update(_DEVICE).where(here, _DEVICE.c.removed_at.is_(None)).values(removed_at=now)
        if connection.execute(gone).rowcount != 1:
            raise UnknownRecord("phone", phone)
