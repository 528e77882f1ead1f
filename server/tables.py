"""The service's own tables: who may talk to it. None of it is synced, and no secret stands in them readably."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum

from sqlalchemy import LargeBinary, String
from sqlmodel import Field, SQLModel

from shared_models.columns import UtcDateTime


class DeviceKind(StrEnum):
    """What writes a log: a phone, the office, or the office for its own eyes (wages, prices)."""

    PHONE = "phone"
    OFFICE = "office"
    PRIVATE = "private"


class Device(SQLModel, table=True):
    """Something that writes a log of a farm. Only phones have a secret."""

    id: str = Field(primary_key=True)
    farm_id: str = Field(index=True)
    name: str
    kind: DeviceKind = Field(sa_type=String)
    #: sha256 of the secret
    secret_hash: bytes | None = Field(default=None, sa_type=LargeBinary)
    #: the device whose log this one goes on with, after a fork
    continues: str | None = None
    paired_at: datetime = Field(sa_type=UtcDateTime)
    last_seen_at: datetime | None = Field(default=None, sa_type=UtcDateTime)
    #: since when it writes no more
    removed_at: datetime | None = Field(default=None, sa_type=UtcDateTime)


class PairingCode(SQLModel, table=True):
    """A one-time code; without a farm it lets the phone that uses it bring its own."""

    __tablename__ = "pairing_code"

    hash: bytes = Field(primary_key=True, sa_type=LargeBinary)
    farm_id: str | None = None
    expires_at: datetime = Field(sa_type=UtcDateTime)
    used_at: datetime | None = Field(default=None, sa_type=UtcDateTime)


class OfficeKey(SQLModel, table=True):
    """The key in a farm's office link."""

    __tablename__ = "office_key"

    hash: bytes = Field(primary_key=True, sa_type=LargeBinary)
    farm_id: str = Field(index=True)


OWN_TABLES: list[type[SQLModel]] = [Device, PairingCode, OfficeKey]
"""Every table that the service adds to the logs and their projections."""
