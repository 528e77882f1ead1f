"""Where the logs and the folded records live: SQLModel tables, the same on the phone and on the service.

`Log` and `Line` are the truth. All other tables here are projections: they can be dropped and rebuilt from the lines.
"""

from sqlalchemy import BigInteger, Index, LargeBinary, Table, Text
from sqlmodel import Field, SQLModel

from shared_models.records.models import (
    BedFields,
    FarmFields,
    PersonFields,
    PlantingFields,
    RowPassFields,
    SoilCheckFields,
    SowingFields,
    StandCountFields,
    TrayCheckFields,
    WeatherFields,
)


class Log(SQLModel, table=True):
    """The head of one log in this store: a device's, or a branch of one after a fork."""

    id: int | None = Field(default=None, primary_key=True)
    farm_id: str = Field(index=True)
    device: str = Field(unique=True)
    #: the device whose key signs it: itself, or for a branch the device whose log it left
    origin: str
    #: its public key (65 bytes); missing until a signed line came
    key: bytes | None = Field(default=None, sa_type=LargeBinary)
    #: the line after which it begins: 0, for a branch the last one in common
    base_seq: int = 0
    base_digest: bytes = Field(sa_type=LargeBinary)
    #: an office-only log: never handed to a phone
    private: bool = False
    seq: int = 0
    digest: bytes = Field(sa_type=LargeBinary)
    #: the clock after the log's last line; the clock of the farm is past all its logs
    stamp: int = Field(default=0, sa_type=BigInteger)


class Line(SQLModel, table=True):
    """One line of a log, as it was written, with its digest in the chain."""

    __table_args__ = {"sqlite_with_rowid": False}

    log_id: int = Field(primary_key=True, foreign_key="log.id")
    seq: int = Field(primary_key=True)
    record: str = Field(index=True)
    text: str = Field(sa_type=Text)
    digest: bytes = Field(sa_type=LargeBinary)


class SignedHead(SQLModel, table=True):
    """A place in a log up to which its device signed it. Lines go to others up to such a place."""

    __tablename__ = "signed_head"
    __table_args__ = {"sqlite_with_rowid": False}

    log_id: int = Field(primary_key=True, foreign_key="log.id")
    seq: int = Field(primary_key=True)
    signature: bytes = Field(sa_type=LargeBinary)


class SetAside(SQLModel, table=True):
    """A line damaged on this disk that no log can keep: saved for a person to check."""

    __tablename__ = "set_aside"

    id: int | None = Field(default=None, primary_key=True)
    farm_id: str = Field(index=True)
    device: str
    seq: int
    text: str = Field(sa_type=Text)
    reason: str


class DamagedLine(SQLModel, table=True):
    """A line that is missing here, or is not what was written, until another device has sent it again."""

    __tablename__ = "damaged_line"
    __table_args__ = {"sqlite_with_rowid": False}

    log_id: int = Field(primary_key=True, foreign_key="log.id")
    seq: int = Field(primary_key=True)


class Meta(SQLModel, table=True):
    """Facts about this store itself, such as which shape its projections have."""

    name: str = Field(primary_key=True)
    value: str


class Flagged(SQLModel, table=True):
    """A record whose folded fields break a rule, with the reason, until it is corrected."""

    farm_id: str = Field(primary_key=True)
    kind: str = Field(primary_key=True)
    id: str = Field(primary_key=True)
    #: field -> message (`LazyMessage.to_json`), as JSON
    problems: str = Field(sa_type=Text)
    #: the folded fields, as JSON
    fields: str = Field(sa_type=Text)
    #: whether the table of its kind has its last good form (`last_good.py`); a record that never was good is in none
    kept: bool


class _Key(SQLModel):
    farm_id: str = Field(primary_key=True)
    id: str = Field(primary_key=True)


class Farm(FarmFields, _Key, table=True):
    """Projection of `farm`."""


class Person(PersonFields, _Key, table=True):
    """Projection of `person`."""


class Bed(BedFields, _Key, table=True):
    """Projection of `bed`."""


class Sowing(SowingFields, _Key, table=True):
    """Projection of `sowing`."""


class TrayCheck(TrayCheckFields, _Key, table=True):
    """Projection of `tray_check`."""

    __tablename__ = "tray_check"


class Planting(PlantingFields, _Key, table=True):
    """Projection of `planting`."""

    __table_args__ = (Index("planting_by_bed", "farm_id", "bed"),)


class RowPass(RowPassFields, _Key, table=True):
    """Projection of `row_pass`."""

    __tablename__ = "row_pass"
    __table_args__ = (
        Index("row_pass_by_time", "farm_id", "started_at"),
        Index("row_pass_by_planting", "farm_id", "planting"),
        Index("row_pass_by_boot", "farm_id", "started_boot"),
    )


class SoilCheck(SoilCheckFields, _Key, table=True):
    """Projection of `soil_check`."""

    __tablename__ = "soil_check"
    __table_args__ = (Index("soil_check_by_bed", "farm_id", "bed", "at"),)


class StandCount(StandCountFields, _Key, table=True):
    """Projection of `stand_count`."""

    __tablename__ = "stand_count"
    __table_args__ = (Index("stand_count_by_planting", "farm_id", "planting"),)


class Weather(WeatherFields, _Key, table=True):
    """Projection of `weather`."""


PROJECTIONS: dict[str, type[SQLModel]] = {
    "farm": Farm,
    "person": Person,
    "bed": Bed,
    "sowing": Sowing,
    "tray_check": TrayCheck,
    "planting": Planting,
    "row_pass": RowPass,
    "soil_check": SoilCheck,
    "stand_count": StandCount,
    "weather": Weather,
}
"""The projection of each kind."""

DERIVED: list[type[SQLModel]] = [*PROJECTIONS.values(), Flagged]
"""Every table that can be dropped and rebuilt from the lines."""


def table_of(model: type[SQLModel]) -> Table:
    """The SQLAlchemy table of a table model, for bulk work."""
    return SQLModel.metadata.tables[str(model.__tablename__)]
