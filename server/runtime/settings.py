"""Settings of the service."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import URL

from shared_models.log.store import sqlite_url

DATABASE_FILE = "rowend.db"


@dataclass(frozen=True, slots=True)
class Settings:
    """The database, as an SQLAlchemy URL: a SQLite file or `postgresql+psycopg://…`."""

    database_url: str | URL

    @classmethod
    def in_directory(cls, data: Path) -> Settings:
        return cls(sqlite_url(data / DATABASE_FILE))
