"""What the owner is told of damaged entries on the service's computer."""

from collections import Counter
from collections.abc import Iterator

from sqlalchemy import Connection, select

from server.db.tables import Device
from server.farms.idle_check import file_damage
from server.render.localizer import Localizer
from shared_models.log.damage import damaged
from shared_models.log.log import find
from shared_models.records.tables import table_of

_DEVICE = table_of(Device).c


def damage_sentences(connection: Connection, farm: str, localizer: Localizer) -> Iterator[str]:
    """One sentence for each log with damaged entries, and one for a damaged database file."""
    lines = Counter(line.device for line in damaged(connection, farm))
    devices = select(_DEVICE.id, _DEVICE.name).where(_DEVICE.farm_id == farm)
    names = {row.id: row.name for row in connection.execute(devices)} if lines else {}
    for device, count in lines.items():
        log = find(connection, device)
        name = names.get(log.origin if log else device) or localizer.t("another phone")
        yield _of_private(count, localizer) if log and log.private else _of_phone(name, count, localizer)
    if file_damage(connection):
        yield localizer.t(
            "The database file on this computer is damaged. Run “rowend verify” there, then restore a backup. Phones "
            "bring back what it lacks."
        )


def _of_phone(name: str, count: int, localizer: Localizer) -> str:
    return localizer.tn(
        "{n} entry of “{name}” is damaged on this computer. It comes back with the next sync of a phone that has it.",
        "{n} entries of “{name}” are damaged on this computer. They come back with the next sync of a phone that has "
        "them.",
        count,
        name=name,
    )


def _of_private(count: int, localizer: Localizer) -> str:
    return localizer.tn(
        "{n} entry with wages or prices is damaged on this computer, and no phone has it. Restore a backup.",
        "{n} entries with wages or prices are damaged on this computer, and no phone has them. Restore a backup.",
        count,
    )
