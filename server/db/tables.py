"""The service's own tables: devices, accounts, sessions and links. Never synced; secrets only as hashes."""

from datetime import datetime
from enum import StrEnum

from sqlalchemy import BigInteger, Index, LargeBinary, String, text
from sqlmodel import Field, SQLModel

from shared_models.core.vocabulary import Role
from shared_models.records.field_types import UtcDateTime

_OPEN = text("ended_at IS NULL")


class DeviceKind(StrEnum):
    """What writes a log: a phone, the office, or the office's private log (wages, prices)."""

    PHONE = "phone"
    OFFICE = "office"
    PRIVATE = "private"


class Device(SQLModel, table=True):
    """A device that writes a log of a farm. Only phones have a secret, and only the office has its key pair here."""

    id: str = Field(primary_key=True)
    farm_id: str = Field(index=True)
    name: str
    kind: DeviceKind = Field(sa_type=String)
    #: sha256 of the secret
    secret_hash: bytes | None = Field(default=None, sa_type=LargeBinary)
    private_key: bytes | None = Field(default=None, sa_type=LargeBinary)
    #: the device whose log this one continues after a fork
    continues: str | None = None
    paired_at: datetime = Field(sa_type=UtcDateTime)
    last_seen_at: datetime | None = Field(default=None, sa_type=UtcDateTime)
    #: set when it may not sync any more
    removed_at: datetime | None = Field(default=None, sa_type=UtcDateTime)
    #: set when it was told of a fork of its log, until it goes on as another device
    forked_at: datetime | None = Field(default=None, sa_type=UtcDateTime)
    #: when it went on from another device that had no such word
    untold_at: datetime | None = Field(default=None, sa_type=UtcDateTime)


class PairingCode(SQLModel, table=True):
    """A one-time code; without a farm, for a phone that brings its own."""

    __tablename__ = "pairing_code"

    hash: bytes = Field(primary_key=True, sa_type=LargeBinary)
    farm_id: str | None = None
    expires_at: datetime = Field(sa_type=UtcDateTime)
    used_at: datetime | None = Field(default=None, sa_type=UtcDateTime)


class Account(SQLModel, table=True):
    """A person who may sign in to a farm's office. A closed account stays, so that its id still means somebody."""

    __table_args__ = (Index("account_by_sign_in", "sign_in", unique=True, sqlite_where=_OPEN, postgresql_where=_OPEN),)

    id: str = Field(primary_key=True)
    farm_id: str = Field(index=True)
    name: str
    #: as `accounts.sign_in_name` normalizes it; unique among the open accounts of this service
    sign_in: str
    #: an argon2 hash; without one, sign-in is by link only
    password_hash: str | None = None
    role: Role = Field(sa_type=String)
    #: the person record in the farm's log
    person: str | None = None
    made_at: datetime = Field(sa_type=UtcDateTime)
    ended_at: datetime | None = Field(default=None, sa_type=UtcDateTime)


class OfficeSession(SQLModel, table=True):
    """A signed-in browser."""

    __tablename__ = "office_session"

    #: sha256 of the session in the cookie
    hash: bytes = Field(primary_key=True, sa_type=LargeBinary)
    account_id: str = Field(index=True, foreign_key="account.id")
    made_at: datetime = Field(sa_type=UtcDateTime)
    seen_at: datetime = Field(sa_type=UtcDateTime)


class LinkPurpose(StrEnum):
    """What a one-time link does: make an account, choose a new password, or sign in."""

    JOIN = "join"
    PASSWORD = "password"  # noqa: S105 - a word, not a secret
    SIGN_IN = "sign-in"


class OneTimeLink(SQLModel, table=True):
    """A link that works once, for one person."""

    __tablename__ = "one_time_link"

    id: str = Field(primary_key=True)
    #: sha256 of the key in the link
    hash: bytes = Field(unique=True, sa_type=LargeBinary)
    farm_id: str = Field(index=True)
    purpose: LinkPurpose = Field(sa_type=String)
    #: the role of the account that it makes
    role: Role | None = Field(default=None, sa_type=String)
    #: for a new password or to sign in
    account_id: str | None = Field(default=None, foreign_key="account.id")
    #: the account that made it; None for the service's console
    made_by: str | None = None
    expires_at: datetime = Field(sa_type=UtcDateTime)
    used_at: datetime | None = Field(default=None, sa_type=UtcDateTime)


class Arrival(SQLModel, table=True):
    """When lines of a log came in, up to this one, and the device that sent them: its own or somebody else's."""

    log: str = Field(primary_key=True)
    seq: int = Field(primary_key=True)
    #: the line before the first of them
    after: int
    farm_id: str = Field(index=True)
    sender: str = Field(index=True)
    at: datetime = Field(sa_type=UtcDateTime)


class SyncUse(SQLModel, table=True):
    """What the syncs of one device took of this service, in an hour and in all (`farms/limits.py`)."""

    __tablename__ = "sync_use"

    device: str = Field(primary_key=True)
    hour: datetime = Field(sa_type=UtcDateTime)
    hour_logs: int = 0
    hour_lines: int = 0
    hour_bytes: int = Field(default=0, sa_type=BigInteger)
    hour_lock_ms: int = 0
    logs: int = 0
    lines: int = 0
    bytes: int = Field(default=0, sa_type=BigInteger)
    #: how often an owner let it send again
    raised: int = 0


class SyncRefusal(SQLModel, table=True):
    """Something that a device sent and that was not taken, for the farm's owner to know."""

    __tablename__ = "sync_refusal"

    sender: str = Field(primary_key=True)
    #: whose log; empty where it is no log, or one of many
    log: str = Field(primary_key=True)
    #: code of the error, or the limit that was reached
    code: str = Field(primary_key=True)
    farm_id: str = Field(index=True)
    first_at: datetime = Field(sa_type=UtcDateTime)
    last_at: datetime = Field(sa_type=UtcDateTime)
    times: int = 1


OWN_TABLES: list[type[SQLModel]] = [
    Device,
    PairingCode,
    Account,
    OfficeSession,
    OneTimeLink,
    Arrival,
    SyncUse,
    SyncRefusal,
]
"""Every table that the service adds to those of the logs."""
