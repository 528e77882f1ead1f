"""The service's own tables, from version to version."""

from datetime import UTC, datetime
from typing import Any

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import URL, Connection, inspect, text
from sqlmodel import SQLModel

from server.auth.accounts import add_account
from server.db.database import open_database
from server.db.tables import OWN_TABLES
from shared_models.core.vocabulary import Role
from shared_models.errors import StorageError
from shared_models.log.store import open_store, reading, writing
from tests.server.support.service import FakeProviders, Phone, running_service

BEFORE_VERSIONS = """
CREATE TABLE device (id VARCHAR NOT NULL, farm_id VARCHAR NOT NULL, name VARCHAR NOT NULL, kind VARCHAR NOT NULL,
    secret_hash {bytes}, continues VARCHAR, paired_at {time} NOT NULL, last_seen_at {time}, removed_at {time},
    PRIMARY KEY (id));
CREATE INDEX ix_device_farm_id ON device (farm_id);
CREATE TABLE pairing_code (hash {bytes} NOT NULL, farm_id VARCHAR, expires_at {time} NOT NULL, used_at {time},
    PRIMARY KEY (hash));
CREATE TABLE office_key (hash {bytes} NOT NULL, farm_id VARCHAR NOT NULL, PRIMARY KEY (hash));
CREATE INDEX ix_office_key_farm_id ON office_key (farm_id)
"""
"""The own tables as the version before alembic made them."""


def differences(connection: Connection) -> list[Any]:
    own = {str(model.__tablename__) for model in OWN_TABLES}

    def is_own(_thing: object, name: str | None, kind: str, _reflected: bool, _compared: object) -> bool:
        return kind != "table" or name in own

    context = MigrationContext.configure(connection, opts={"include_object": is_own, "compare_type": True})
    return list(compare_metadata(context, SQLModel.metadata))


def make_old(url: str | URL) -> tuple[str, str]:
    """A database as the version before alembic left it, with a farm and a paired phone; farm and credentials."""
    fakes = FakeProviders()
    with running_service(url, fakes) as service:
        farm = service.make_farm()
        phone = service.phone(farm)
        phone.add_bed("North 1")
        phone.sync(service)
        engine = service.engine
        with reading(engine) as connection:
            devices = connection.execute(text("SELECT * FROM device")).mappings().all()
        is_sqlite = engine.dialect.name == "sqlite"
        types = {"bytes": "BLOB", "time": "DATETIME"} if is_sqlite else {"bytes": "BYTEA", "time": "TIMESTAMP"}
        with writing(engine, "") as connection:
            for table in ("alembic_version", *(str(model.__tablename__) for model in reversed(OWN_TABLES))):
                connection.execute(text(f"DROP TABLE {table}"))
            for statement in BEFORE_VERSIONS.format(**types).split(";"):
                connection.execute(text(statement))
            for each in devices:
                device = {name: value for name, value in each.items() if name in BEFORE_VERSIONS}
                names, places = ", ".join(device.keys()), ", ".join(f":{name}" for name in device)
                connection.execute(text(f"INSERT INTO device ({names}) VALUES ({places})"), device)  # noqa: S608 - names of columns
            connection.execute(text("INSERT INTO office_key VALUES (:hash, :farm)"), {"hash": b"x", "farm": farm})
    return farm, phone.bearer


@pytest.mark.parametrize("with_records", [False, True])
def test_a_new_database_is_what_the_models_say(any_url: str | URL, *, with_records: bool) -> None:
    """Also one that a program made which only keeps logs."""
    if with_records:
        open_store(any_url).dispose()
    engine = open_database(any_url)
    with reading(engine) as connection:
        found = differences(connection)
    engine.dispose()

    assert found == []


def test_a_difference_would_be_seen(any_url: str | URL) -> None:
    engine = open_database(any_url)
    with writing(engine, "") as connection:
        connection.execute(text("ALTER TABLE account DROP COLUMN person"))
        connection.execute(text("CREATE INDEX extra ON device (name)"))
        found = differences(connection)
    engine.dispose()

    assert len(found) == 2


def test_a_database_of_the_version_before_is_taken_over_without_loss(any_url: str | URL) -> None:
    """Its phones go on without pairing again; the old link's key is gone, and owners can be made."""
    farm, bearer = make_old(any_url)

    with running_service(any_url, FakeProviders(datetime(2026, 5, 15, tzinfo=UTC))) as service:
        beds = service.client.get("/v1/beds", headers={"Authorization": f"Bearer {bearer}"}).json()
        with reading(service.engine) as connection:
            found, tables = differences(connection), inspect(connection).get_table_names()
        with writing(service.engine, farm) as connection:
            add_account(connection, farm, Role.OWNER, "Ines", "ines", None, service.fakes.providers)

    assert [bed["name"] for bed in beds] == ["North 1"]
    assert found == []
    assert "office_key" not in tables


def test_a_database_of_a_later_version_is_left_alone(any_url: str | URL) -> None:
    engine = open_database(any_url)
    with writing(engine, "") as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    engine.dispose()

    with pytest.raises(StorageError, match="a later version of Rowend"):
        open_database(any_url)


def test_opening_it_again_changes_nothing(any_url: str | URL, fakes: FakeProviders) -> None:
    with running_service(any_url, fakes) as service:
        farm = service.make_farm()
        account = service.account(farm)
    with running_service(any_url, fakes) as service:
        service.open_office(farm, account=account)
        phone = Phone(farm, fakes)
        phone.pair(service, service.code(farm))

        assert service.client.get("/account").status_code == 200
