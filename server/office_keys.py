"""The key in a farm's office link: whoever has it reads the farm's office pages."""

from __future__ import annotations

from sqlalchemy import Connection, delete, insert, select

from server.keys import hash_of
from server.tables import OfficeKey
from shared_models.errors import WrongSecret
from shared_models.tables import table_of

_OFFICE_KEY = table_of(OfficeKey)


def fresh_key(connection: Connection, farm: str, token: bytes) -> str:
    """A new key for the farm's office; the one before it opens nothing any more."""
    key = token.hex()
    connection.execute(delete(_OFFICE_KEY).where(_OFFICE_KEY.c.farm_id == farm))
    connection.execute(insert(_OFFICE_KEY), {"hash": hash_of(key), "farm_id": farm})
    return key


def farm_of_key(connection: Connection, key: str) -> str:
    """The farm whose office this key opens.

    Raises:
        WrongSecret: when it opens none (any more).
    """
    farm: str | None = connection.execute(
        select(_OFFICE_KEY.c.farm_id).where(_OFFICE_KEY.c.hash == hash_of(key))
    ).scalar_one_or_none()
    if farm is None:
        raise WrongSecret
    return farm
