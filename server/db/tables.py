"""The service's own tables: who may talk to it. None of it is synced, and no secret stands in them readably."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum

from sqlalchemy import Index, LargeBinary, String, text
from sqlmodel import Field, SQLModel

from shared_models.core.vocabulary import Role
from shared_models.records.field_types import UtcDateTime

_HERE_STILL = text("ended_at IS NULL")


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


class Account(SQLModel, table=True):
    """A person who may come into a farm's office. An ended account stays, so that its id goes on meaning somebody."""

    __table_args__ = (
        Index("account_by_sign_in", "sign_in", unique=True, sqlite_where=_HERE_STILL, postgresql_where=_HERE_STILL),
    )

    id: str = Field(primary_key=True)
    farm_id: str = Field(index=True)
    name: str
    #: what is typed to sign in, as `accounts.sign_in_name` writes it; unlike any other of this service
    sign_in: str
    #: an argon2 hash; without one only a link opens the office
    password_hash: str | None = None
    role: Role = Field(sa_type=String)
    #: the record of this person in the farm's log
    person: str | None = None
    made_at: datetime = Field(sa_type=UtcDateTime)
    ended_at: datetime | None = Field(default=None, sa_type=UtcDateTime)


class OfficeSession(SQLModel, table=True):
    """A browser in which somebody is signed in."""

    __tablename__ = "office_session"

    #: sha256 of what the cookie holds
    hash: bytes = Field(primary_key=True, sa_type=LargeBinary)
    account_id: str = Field(index=True, foreign_key="account.id")
    made_at: datetime = Field(sa_type=UtcDateTime)
    seen_at: datetime = Field(sa_type=UtcDateTime)


class LinkPurpose(StrEnum):
    """What a one-time link is for: making an account, a new password, or signing in with nothing typed."""

    JOIN = "join"
    PASSWORD = "password"  # noqa: S105 - a word, not a secret
    SIGN_IN = "sign-in"


class OneTimeLink(SQLModel, table=True):
    """A link that lets one person into the office, once."""

    __tablename__ = "one_time_link"

    id: str = Field(primary_key=True)
    #: sha256 of the key in the link
    hash: bytes = Field(unique=True, sa_type=LargeBinary)
    farm_id: str = Field(index=True)
    purpose: LinkPurpose = Field(sa_type=String)
    #: the role of the account that it makes
    role: Role | None = Field(default=None, sa_type=String)
    #: whose link it is, where there is an account already
    account_id: str | None = Field(default=None, foreign_key="account.id")
    #: the account that made it; None for the service's own console
    made_by: str | None = None
    expires_at: datetime = Field(sa_type=UtcDateTime)
    used_at: datetime | None = Field(default=None, sa_type=UtcDateTime)


OWN_TABLES: list[type[SQLModel]] = [Device, PairingCode, Account, OfficeSession, OneTimeLink]
"""Every table that the service adds to those of the logs; `migrations/` brings older ones to this shape."""
