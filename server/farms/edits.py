"""Edits from the office, written to its log, or to its private log that no phone gets."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Engine, insert, select, update

from server.db.tables import Device, DeviceKind
from server.farms.keys import sign_office_log
from server.runtime.providers import Providers, milliseconds
from shared_models.core import p256
from shared_models.core.ids import device_id
from shared_models.core.revision import NOTHING_MORE
from shared_models.fields.catalog import OFFICE_ONLY
from shared_models.log import fork, log
from shared_models.log.append import append
from shared_models.log.projection import RecordKey
from shared_models.log.store import writing
from shared_models.records.tables import table_of

_NAMES = {DeviceKind.OFFICE: "Office", DeviceKind.PRIVATE: "Office only"}
_DEVICE = table_of(Device)


def create_office_logs(connection: Connection, farm: str, providers: Providers) -> None:
    """Create the office's log of a farm and its private log."""
    for kind in _NAMES:
        _add_device(connection, farm, kind, providers)


def _add_device(connection: Connection, farm: str, kind: DeviceKind, providers: Providers) -> None:
    private = p256.private_key(providers.token())
    key = p256.public_key(private)
    device = device_id(key)
    log.get_or_create(connection, farm, device, key=key, private=kind is DeviceKind.PRIVATE)
    added = {"id": device, "farm_id": farm, "name": _NAMES[kind], "kind": kind, "paired_at": providers.now()}
    connection.execute(insert(_DEVICE), added | {"private_key": private})


def office_device(connection: Connection, farm: str, kind: DeviceKind = DeviceKind.OFFICE) -> str:
    """The device whose log the office writes."""
    ours = select(_DEVICE.c.id).where(_DEVICE.c.farm_id == farm, _DEVICE.c.kind == kind)
    device: str = connection.execute(ours.where(_DEVICE.c.removed_at.is_(None))).scalar_one()
    return device


def edit(
    engine: Engine, farm: str, kind: str, record: str, changed: Mapping[str, Any], by: str | None, now: datetime
) -> None:
    """Change fields of a record; afterwards all of it is on disk, or none of it.

    Raises:
        BadEntry: when the change breaks a rule of the record's kind.
        StorageError: when the disk is full, read-only or damaged.
    """
    with writing(engine, farm) as connection:
        write(connection, farm, RecordKey(kind, record), changed, by, now)


def write(
    connection: Connection,
    farm: str,
    key: RecordKey,
    changed: Mapping[str, Any],
    by: str | None,
    now: datetime,
    more: Mapping[str, Any] = NOTHING_MORE,
) -> None:
    """Like `edit`, within the caller's transaction, with `more` keys in the line."""
    private = OFFICE_ONLY.get(key.kind, frozenset())
    parts = {
        DeviceKind.OFFICE: {name: value for name, value in changed.items() if name not in private},
        DeviceKind.PRIVATE: {name: value for name, value in changed.items() if name in private},
    }
    for kind, fields in parts.items():
        if fields:
            device = office_device(connection, farm, kind)
            append(connection, farm, device, milliseconds(now), key, fields, by, more=more)
            sign_office_log(connection, farm, log.get_or_create(connection, farm, device))


def continue_in_new_log(connection: Connection, farm: str, common: int, providers: Providers) -> None:
    """After a fork of the office's log, move its lines after `common` to a branch and start a new log."""
    device = office_device(connection, farm)
    fork.branch_off(connection, farm, device, common)
    now = providers.now()
    connection.execute(update(_DEVICE).where(_DEVICE.c.id == device).values(removed_at=now))
    _add_device(connection, farm, DeviceKind.OFFICE, providers)
