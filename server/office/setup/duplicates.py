"""By what two records are taken for the same: a bed by name and block, a sowing by its code, weather by its day."""

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection, select

from shared_models.records.tables import PROJECTIONS, table_of

SAME_BY: Mapping[str, tuple[str, ...]] = {
    "bed": ("name", "block"),
    "sowing": ("code",),
    "weather": ("on",),
    "person": ("name",),
}
"""The fields of each kind; without the first of them nothing is the same."""


def same_key(kind: str, fields: Mapping[str, Any]) -> tuple[str, ...] | None:
    """What two records have in common that are the same; None where nothing can be."""
    key = tuple(str(fields.get(name) or "").strip().casefold() for name in SAME_BY.get(kind, ()))
    return key if key and key[0] else None


def is_here(connection: Connection, farm: str, kind: str, fields: Mapping[str, Any]) -> bool:
    """Whether the farm has a record that these fields would tell of once more."""
    key = same_key(kind, fields)
    if key is None:
        return False
    table = table_of(PROJECTIONS[kind])
    named = select(*(table.c[name] for name in SAME_BY[kind])).where(table.c.farm_id == farm, table.c.voided.is_(False))
    return any(same_key(kind, dict(row)) == key for row in connection.execute(named).mappings())
