"""Making farms and finding them."""

import pytest

from server.farms.registry import all_farms, find_farm, get_farm, make_farm
from shared_models.errors import BadEntry, UsageError
from shared_models.log.store import reading
from tests.server.support.service import ZONE, Service


def test_a_new_farm_stands_in_the_offices_log(any_service: Service) -> None:
    farm = any_service.make_farm("Heronbrook")

    with reading(any_service.engine) as connection:
        known = get_farm(connection, farm)

    assert known == (farm, "Heronbrook", ZONE)
    assert [seq for seq, _ in any_service.holds(farm).values()] == [1]
    assert any_service.faults(farm) == []


@pytest.mark.parametrize(
    ("name", "zone"), [("", ZONE), ("x" * 121, ZONE), ("Heronbrook", "Barn/Time"), ("a\x00", ZONE)]
)
def test_a_farm_with_no_name_or_zone_is_not_made(service: Service, name: str, zone: str) -> None:
    with pytest.raises(BadEntry):
        make_farm(service.engine, name, zone, service.fakes.providers)

    with reading(service.engine) as connection:
        assert all_farms(connection) == []


def test_a_farm_is_chosen_by_name_by_id_or_by_being_the_only_one(service: Service) -> None:
    heron = service.make_farm("Heronbrook")

    with reading(service.engine) as connection:
        assert find_farm(connection, None).id == heron
    oak = service.make_farm("Oak Hollow")
    with reading(service.engine) as connection:
        assert find_farm(connection, "Oak Hollow").id == oak
        assert find_farm(connection, heron).name == "Heronbrook"


def test_a_farm_that_could_be_another_is_not_guessed(service: Service) -> None:
    with reading(service.engine) as connection, pytest.raises(UsageError, match="rowend farm new"):
        find_farm(connection, None)
    one, other = service.make_farm("Heronbrook"), service.make_farm("Heronbrook")
    with reading(service.engine) as connection:
        with pytest.raises(UsageError, match=f"{one}.*{other}"):
            find_farm(connection, "Heronbrook")
        with pytest.raises(UsageError, match="no farm 'Oak'"):
            find_farm(connection, "Oak")
