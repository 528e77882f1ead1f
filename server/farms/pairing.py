"""Pair a phone with a farm: by one-time code, or as the successor of a device after a fork."""

from datetime import datetime, timedelta
from typing import Any, NamedTuple

from sqlalchemy import Connection, Engine, delete, insert, select, update

from server.db.tables import Device, DeviceKind, PairingCode
from server.farms.devices import DeviceRow, authenticate
from server.farms.edits import create_office_logs
from server.farms.keys import verify
from server.farms.registry import get_farm
from server.farms.successors import allow_successor
from server.farms.tokens import hash_token, pairing_code, parse_code
from server.runtime.providers import Providers
from shared_models.core.ids import device_id
from shared_models.errors import ExpiredCode, NotAllowed, OtherFarm, WrongMoment
from shared_models.log.log import get_or_create
from shared_models.log.signatures import pairing_message
from shared_models.log.store import reading, writing
from shared_models.records.tables import table_of

CODE_LIFE = timedelta(minutes=15)

_DEVICE, _CODE = table_of(Device), table_of(PairingCode)


class Phone(NamedTuple):
    """A phone to be paired: the device id of its log, its name, the farm whose logs it holds, its key, and a proof.

    The proof is `pairing_message`, signed with that key.
    """

    device: str
    name: str
    farm: str | None
    key: bytes
    proof: bytes


class PairingResult(NamedTuple):
    """The result for the phone. The farm's name and zone are None if this service has yet to learn them from it."""

    farm: str
    farm_name: str | None
    zone: str | None
    device: str
    secret: str


def new_code(connection: Connection, farm: str | None, providers: Providers) -> str:
    """Make a one-time code for a farm, or for a phone that brings its own."""
    now, code = providers.now(), pairing_code(providers.token())
    connection.execute(delete(_CODE).where(_CODE.c.expires_at < now))
    made = {"hash": hash_token(code), "farm_id": farm, "expires_at": now + CODE_LIFE}
    connection.execute(insert(_CODE), made)
    return code


def pair_by_code(engine: Engine, typed: str, phone: Phone, providers: Providers) -> PairingResult:
    """Pair a phone by one-time code.

    Raises:
        NotAllowed: when the phone's key is not the one that its id was made from.
        ExpiredCode: when the code is unknown, was used or has expired.
        OtherFarm: when the phone, or its log, belongs to another farm; the code still works.
        WrongMoment: when the code is for a phone that brings a farm, and this one has none.
    """
    _check_key(phone, typed)
    code, now = hash_token(parse_code(typed)), providers.now()
    good = (_CODE.c.hash == code) & _CODE.c.used_at.is_(None) & (_CODE.c.expires_at > now)
    with reading(engine) as connection:
        found = connection.execute(select(_CODE.c.farm_id).where(good)).one_or_none()
    if found is None:
        raise ExpiredCode
    farm = found.farm_id or phone.farm
    if farm is None:
        raise WrongMoment(
            "This code needs a phone that holds the farm's records. This phone has none.",
            "Use a phone that has them, or make a new farm: rowend farm new NAME --zone ZONE",
        )
    if phone.farm not in (None, farm):
        raise OtherFarm
    with writing(engine, farm) as connection:
        if connection.execute(update(_CODE).where(good).values(used_at=now)).rowcount != 1:
            raise ExpiredCode
        if found.farm_id is None:
            _adopt_farm(connection, farm, providers)
        return _register(connection, farm, phone, providers)


def _check_key(phone: Phone, by: str) -> None:
    message = pairing_message(phone.device, by)
    if device_id(phone.key) != phone.device or not verify(phone.key, message, phone.proof):
        raise NotAllowed


def _adopt_farm(connection: Connection, farm: str, providers: Providers) -> None:
    if get_farm(connection, farm) is not None:
        raise OtherFarm  # such a code opens no farm that the service has already
    create_office_logs(connection, farm, providers)


def pair_as_successor(engine: Engine, credentials: str, phone: Phone, providers: Providers) -> PairingResult:
    """Give a phone a secret for its new id after a fork, authenticated by its old one.

    Raises:
        WrongSecret: when the old credentials are wrong.
        NotAllowed: when the new id is that of a device which is not this one's successor or was removed, or not of the
            phone's key; and when the phone has gone on as others too often.
        OtherFarm: when the new id belongs to another farm.
    """
    with reading(engine) as connection:
        old = authenticate(connection, credentials)
    _check_key(phone, old.id)
    if phone.farm not in (None, old.farm):
        raise OtherFarm
    with writing(engine, old.farm) as connection:
        old = authenticate(connection, credentials)  # it may have been removed just now
        new = connection.execute(select(_DEVICE.c.id).where(_DEVICE.c.id == phone.device)).one_or_none() is None
        told = not new or allow_successor(connection, old, providers.now())
        paired = _register(connection, old.farm, phone, providers, successor_of=old)
        if not told:
            ours = _DEVICE.c.id == phone.device
            connection.execute(update(_DEVICE).where(ours).values(untold_at=providers.now()))
        return paired


def _register(
    connection: Connection,
    farm: str,
    phone: Phone,
    providers: Providers,
    successor_of: DeviceRow | None = None,
) -> PairingResult:
    get_or_create(connection, farm, phone.device, key=phone.key)  # from now on this log is the farm's
    secret, now = providers.token().hex(), providers.now()
    known = connection.execute(select(_DEVICE).where(_DEVICE.c.id == phone.device)).one_or_none()
    if known is None:
        _add(connection, farm, phone, secret, now, successor_of)
    elif known.kind != DeviceKind.PHONE or not _may_renew(known, successor_of):
        raise NotAllowed
    else:
        renewed = {"name": phone.name, "secret_hash": hash_token(secret), "paired_at": now, "removed_at": None}
        connection.execute(update(_DEVICE).where(_DEVICE.c.id == phone.device).values(renewed))
    named = get_farm(connection, farm)
    return PairingResult(farm, named and named.name, named and named.zone, phone.device, secret)


def _may_renew(known: Any, successor_of: DeviceRow | None) -> bool:
    """Whether a device that is known may have a new secret. A removed one only by a code."""
    return successor_of is None or (known.removed_at is None and successor_of.id in (known.id, known.continues))


def _add(
    connection: Connection,
    farm: str,
    phone: Phone,
    secret: str,
    now: datetime,
    successor_of: DeviceRow | None,
) -> None:
    added = {
        "id": phone.device,
        "farm_id": farm,
        "name": phone.name,
        "kind": DeviceKind.PHONE,
        "secret_hash": hash_token(secret),
        "continues": successor_of and successor_of.id,
        "paired_at": now,
    }
    connection.execute(insert(_DEVICE), added)
