"""What this phone alone knows: who it is, the service it syncs with, who has it. Never synced."""

import json
from typing import Any

from sqlalchemy import Connection, bindparam, delete, insert, select
from sqlmodel import Field, SQLModel

from shared_models.log.prepared_statements import Prepared
from shared_models.records.tables import table_of


class Setting(SQLModel, table=True):
    """One setting of this phone; the value is JSON."""

    name: str = Field(primary_key=True)
    value: str


_SETTING = table_of(Setting)
_FORGET = Prepared(delete(_SETTING).where(_SETTING.c.name == bindparam("name")))
_KEEP = Prepared(insert(_SETTING))


def read_settings(connection: Connection) -> dict[str, Any]:
    """All settings."""
    return {name: json.loads(value) for name, value in connection.execute(select(_SETTING.c.name, _SETTING.c.value))}


def write_settings(connection: Connection, changed: dict[str, Any]) -> None:
    """Set these settings, or forget those that are None; others stay."""
    rows = [{"name": name, "value": json.dumps(value)} for name, value in changed.items()]
    _FORGET.run_many(connection, rows)
    _KEEP.run_many(connection, [row for row in rows if changed[row["name"]] is not None])
