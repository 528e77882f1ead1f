"""Who a device is."""

import pytest
from sqlalchemy import update

from server.db.tables import Device
from server.farms.devices import authenticate
from server.farms.edits import office_device
from shared_models.errors import WrongSecret
from shared_models.log.store import reading, writing
from shared_models.records.tables import table_of
from tests.server.support.service import Service


def test_a_paired_phone_is_known_by_its_secret(service: Service, farm: str) -> None:
    phone = service.phone(farm, "Ines's phone")

    with reading(service.engine) as connection:
        known = authenticate(connection, phone.bearer)

    assert (known.id, known.farm, known.name) == (phone.device, farm, "Ines's phone")


def test_no_other_credentials_pass(service: Service, farm: str) -> None:
    phone, other = service.phone(farm), service.phone(farm)
    secret = phone.bearer.partition(".")[2]
    with reading(service.engine) as connection:
        office = office_device(connection, farm)
    wrong = [
        "",
        ".",
        phone.device,
        f"{phone.device}.",
        f"{phone.device}.{secret[:-1]}",
        f"{phone.device}.{secret.upper()}",
        f"{other.device}.{secret}",
        f"{office}.",
        f"{office}.{secret}",
        f"{phone.device} {secret}",
    ]

    with reading(service.engine) as connection:
        for credentials in wrong:
            with pytest.raises(WrongSecret):
                authenticate(connection, credentials)


def test_a_removed_device_is_not_known_any_more(service: Service, farm: str) -> None:
    phone = service.phone(farm)
    device = table_of(Device)

    with writing(service.engine, farm) as connection:
        connection.execute(update(device).where(device.c.id == phone.device).values(removed_at=service.fakes.time))

    with reading(service.engine) as connection, pytest.raises(WrongSecret):
        authenticate(connection, phone.bearer)
