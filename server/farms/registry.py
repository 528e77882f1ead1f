"""The farms of this service: make, list and find them."""

from typing import NamedTuple

from sqlalchemy import Connection, Engine, select

from server.db.tables import Device
from server.farms.edits import create_office_logs, write
from server.runtime.providers import Providers
from shared_models.errors import UsageError
from shared_models.log.projection import RecordKey
from shared_models.log.store import writing
from shared_models.records.tables import Farm, table_of

_FARM, _DEVICE = table_of(Farm), table_of(Device)


class FarmRow(NamedTuple):
    """A farm of this service. One brought by a phone has no name until its log has been synced."""

    id: str
    name: str | None
    zone: str | None


_KNOWN = (
    select(_DEVICE.c.farm_id, _FARM.c.name, _FARM.c.zone)
    .distinct()
    .join_from(_DEVICE, _FARM, (_FARM.c.farm_id == _DEVICE.c.farm_id) & (_FARM.c.id == _FARM.c.farm_id), isouter=True)
)


def make_farm(engine: Engine, name: str, zone: str, providers: Providers) -> str:
    """Make a farm with its office logs; returns its id.

    Raises:
        BadEntry: when the name is empty or the time zone unknown.
    """
    farm = providers.new_id()
    with writing(engine, farm) as connection:
        create_office_logs(connection, farm, providers)
        fields = {"name": name, "zone": zone}
        write(connection, farm, RecordKey("farm", farm), fields, by=None, now=providers.now())
    return farm


def all_farms(connection: Connection) -> list[FarmRow]:
    """All farms of this service, by name."""
    return [FarmRow(*row) for row in connection.execute(_KNOWN.order_by(_FARM.c.name, _DEVICE.c.farm_id))]


def get_farm(connection: Connection, farm: str) -> FarmRow | None:
    """The farm with this id, if this service has it."""
    row = connection.execute(_KNOWN.where(_DEVICE.c.farm_id == farm)).one_or_none()
    return None if row is None else FarmRow(*row)


def find_farm(connection: Connection, name_or_id: str | None) -> FarmRow:
    """The farm with this name or id, or the only farm.

    Raises:
        UsageError: when there is none, or more than one.
    """
    farms = all_farms(connection)
    if not farms:
        raise UsageError("There is no farm yet.", "Make one: rowend farm new NAME --zone ZONE")
    matching = [farm for farm in farms if name_or_id is None or name_or_id in (farm.id, farm.name)]
    if not matching:
        raise UsageError(f"There is no farm {name_or_id!r}.", f"Choose one with --farm: {_listed(farms)}.")
    if len(matching) > 1:
        raise UsageError("More than one farm matches.", f"Choose one by its id with --farm: {_listed(matching)}.")
    return matching[0]


def _listed(farms: list[FarmRow]) -> str:
    return ", ".join(f"{farm.name or 'without a name yet'} ({farm.id})" for farm in farms)
