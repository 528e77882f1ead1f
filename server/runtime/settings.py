"""What the person who runs the service chooses."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import URL

from shared_models.log.store import sqlite_url

DATABASE_FILE = "rowend.db"


@dataclass(frozen=True, slots=True)
class Settings:
    """`database_url` as SQLAlchemy takes it: a SQLite file, or `postgresql+psycopg://…`."""

    database_url: str | URL

    @classmethod
    def in_directory(cls, data: Path) -> Settings:
        """The settings for a SQLite file in the directory `data`."""
        return cls(sqlite_url(data / DATABASE_FILE))
