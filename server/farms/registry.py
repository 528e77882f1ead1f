"""The farms of this service: making one, taking one over from a phone, finding one by name."""

from __future__ import annotations

from typing import NamedTuple

from sqlalchemy import Connection, Engine, select

from server.db.tables import Device
from server.farms.edits import open_office, write
from server.runtime.providers import Providers
from shared_models.errors import WrongUse
from shared_models.log.projection import RecordKey
from shared_models.log.store import writing
from shared_models.records.tables import Farm, table_of

_FARM, _DEVICE = table_of(Farm), table_of(Device)


class KnownFarm(NamedTuple):
    """A farm of this service. One taken over from a phone has no name until the phone has sent its log."""

    id: str
    name: str | None
    zone: str | None


_KNOWN = (
    select(_DEVICE.c.farm_id, _FARM.c.name, _FARM.c.zone)
    .distinct()
    .join_from(_DEVICE, _FARM, (_FARM.c.farm_id == _DEVICE.c.farm_id) & (_FARM.c.id == _FARM.c.farm_id), isouter=True)
)


def make_farm(engine: Engine, name: str, zone: str, providers: Providers) -> str:
    """Make a farm with its office; the id of the farm.

    Raises:
        BadEntry: when the name is empty or the time zone unknown.
    """
    farm = providers.new_id()
    with writing(engine, farm) as connection:
        open_office(connection, farm, providers)
        fields = {"name": name, "zone": zone}
        write(connection, farm, RecordKey("farm", farm), fields, by=None, now=providers.now())
    return farm


def every_farm(connection: Connection) -> list[KnownFarm]:
    """All farms of this service, by name."""
    return [KnownFarm(*row) for row in connection.execute(_KNOWN.order_by(_FARM.c.name, _DEVICE.c.farm_id))]


def farm_with_id(connection: Connection, farm: str) -> KnownFarm | None:
    """The farm with this id, if this service has it."""
    row = connection.execute(_KNOWN.where(_DEVICE.c.farm_id == farm)).one_or_none()
    return None if row is None else KnownFarm(*row)


def chosen_farm(connection: Connection, wanted: str | None) -> KnownFarm:
    """The farm that somebody means by a name or an id, or by nothing when there is just one.

    Raises:
        WrongUse: when there is none, or more than one that could be meant.
    """
    farms = every_farm(connection)
    if not farms:
        raise WrongUse("There is no farm here yet.", "Make one with: rowend farm new NAME --zone ZONE")
    meant = [farm for farm in farms if wanted is None or wanted in (farm.id, farm.name)]
    if not meant:
        raise WrongUse(f"There is no farm {wanted!r} here.", f"Choose one with --farm: {_listed(farms)}.")
    if len(meant) > 1:
        raise WrongUse("More than one farm could be meant.", f"Choose one by its id with --farm: {_listed(meant)}.")
    return meant[0]


def _listed(farms: list[KnownFarm]) -> str:
    return ", ".join(f"{farm.name or 'without a name yet'} ({farm.id})" for farm in farms)
