"""How a phone becomes a device of a farm: with a one-time code, or in the place of a device it was before."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import NamedTuple

from sqlalchemy import Connection, Engine, delete, insert, select, update

from server.db.tables import Device, DeviceKind, PairingCode
from server.farms.devices import KnownDevice, authenticate
from server.farms.edits import open_office
from server.farms.registry import farm_with_id
from server.farms.tokens import as_typed, code_of, hash_of
from server.runtime.providers import Providers
from shared_models.errors import CodeSpent, NotAllowed, OtherFarm, WrongMoment
from shared_models.log.log import get_or_create
from shared_models.log.store import reading, writing
from shared_models.records.tables import table_of

CODE_LIFE = timedelta(minutes=15)

_DEVICE, _CODE = table_of(Device), table_of(PairingCode)


class Phone(NamedTuple):
    """A phone that asks to be paired: the id its log has, what people call it, the farm whose logs it holds."""

    device: str
    name: str
    farm: str | None


class Paired(NamedTuple):
    """What a phone gets. The farm's name and zone are None when this service learns them from the phone."""

    farm: str
    farm_name: str | None
    zone: str | None
    device: str
    secret: str


def new_code(connection: Connection, farm: str | None, providers: Providers) -> str:
    """A one-time code for the farm; without one, for a phone that brings its farm to this service."""
    now, code = providers.now(), code_of(providers.token())
    connection.execute(delete(_CODE).where(_CODE.c.expires_at < now))
    made = {"hash": hash_of(code), "farm_id": farm, "expires_at": now + CODE_LIFE}
    connection.execute(insert(_CODE), made)
    return code


def pair_by_code(engine: Engine, typed: str, phone: Phone, providers: Providers) -> Paired:
    """Use up a one-time code.

    Raises:
        CodeSpent: when the code is unknown, used or out of date.
        OtherFarm: when the phone, or its log, belongs to another farm; the code stays good.
        WrongMoment: when the code is for a phone that brings a farm, and this one has none.
    """
    code, now = hash_of(as_typed(typed)), providers.now()
    good = (_CODE.c.hash == code) & _CODE.c.used_at.is_(None) & (_CODE.c.expires_at > now)
    with reading(engine) as connection:
        found = connection.execute(select(_CODE.c.farm_id).where(good)).one_or_none()
    if found is None:
        raise CodeSpent
    farm = found.farm_id or phone.farm
    if farm is None:
        raise WrongMoment(
            "This code is for a phone that brings its farm's records, and this one has none.",
            "Use a phone that holds them, or make a new farm with: rowend farm new NAME --zone ZONE",
        )
    if phone.farm not in (None, farm):
        raise OtherFarm
    with writing(engine, farm) as connection:
        if connection.execute(update(_CODE).where(good).values(used_at=now)).rowcount != 1:
            raise CodeSpent
        if found.farm_id is None:
            _take_over(connection, farm, providers)
        return _admit(connection, farm, phone, providers)


def _take_over(connection: Connection, farm: str, providers: Providers) -> None:
    if farm_with_id(connection, farm) is not None:
        raise OtherFarm  # a code without a farm opens none that is here already
    open_office(connection, farm, providers)


def pair_as_successor(engine: Engine, credentials: str, phone: Phone, providers: Providers) -> Paired:
    """Give a phone that goes on under a new id (after a fork) a secret for it, on the strength of its old one.

    Raises:
        WrongSecret: when the old credentials are not good.
        NotAllowed: when the new id is that of a device which is not this one's successor.
        OtherFarm: when the new id belongs to another farm.
    """
    with reading(engine) as connection:
        old = authenticate(connection, credentials)
    if phone.farm not in (None, old.farm):
        raise OtherFarm
    with writing(engine, old.farm) as connection:
        authenticate(connection, credentials)  # it may have been taken off just now
        return _admit(connection, old.farm, phone, providers, successor_of=old)


def _admit(
    connection: Connection,
    farm: str,
    phone: Phone,
    providers: Providers,
    successor_of: KnownDevice | None = None,
) -> Paired:
    get_or_create(connection, farm, phone.device)  # from now on this log is the farm's
    secret, now = providers.token().hex(), providers.now()
    known = connection.execute(select(_DEVICE).where(_DEVICE.c.id == phone.device)).one_or_none()
    if known is None:
        _add(connection, farm, phone, secret, now, successor_of)
    elif known.kind != DeviceKind.PHONE or not _may_renew(known.id, known.continues, successor_of):
        raise NotAllowed
    else:
        renewed = {"name": phone.name, "secret_hash": hash_of(secret), "paired_at": now, "removed_at": None}
        connection.execute(update(_DEVICE).where(_DEVICE.c.id == phone.device).values(renewed))
    named = farm_with_id(connection, farm)
    return Paired(farm, named and named.name, named and named.zone, phone.device, secret)


def _may_renew(device: str, continues: str | None, successor_of: KnownDevice | None) -> bool:
    return successor_of is None or successor_of.id in (device, continues)


def _add(
    connection: Connection,
    farm: str,
    phone: Phone,
    secret: str,
    now: datetime,
    successor_of: KnownDevice | None,
) -> None:
    added = {
        "id": phone.device,
        "farm_id": farm,
        "name": phone.name,
        "kind": DeviceKind.PHONE,
        "secret_hash": hash_of(secret),
        "continues": successor_of and successor_of.id,
        "paired_at": now,
    }
    connection.execute(insert(_DEVICE), added)
