"""Where the service is reached."""

import ipaddress
from urllib.parse import urlsplit

import pytest

from server.runtime.address import address_of, is_this_machine_only, known_address, note_address
from shared_models.log.store import reading
from tests.server.support.service import Service


@pytest.mark.parametrize(
    ("host", "address"),
    [
        ("127.0.0.1", "http://127.0.0.1:8000"),
        ("barn.local", "http://barn.local:8000"),
        ("::1", "http://[::1]:8000"),
    ],
)
def test_an_address_is_made_of_host_and_port(host: str, address: str) -> None:
    assert address_of(host, 8000) == address


def test_a_service_that_listens_everywhere_has_an_address_that_can_be_typed() -> None:
    """Nobody can type 0.0.0.0 or :: into a phone."""
    host = urlsplit(address_of("::", 8000)).hostname

    assert not ipaddress.ip_address(str(host)).is_unspecified


def test_the_address_is_where_the_service_was_last_reached(service: Service) -> None:
    with reading(service.engine) as connection:
        assert known_address(connection) == "http://127.0.0.1:8000"

    note_address(service.engine, "http://barn.local:8000")
    note_address(service.engine, "https://farm.example")

    with reading(service.engine) as connection:
        assert known_address(connection) == "https://farm.example"


@pytest.mark.parametrize(
    ("address", "only_here"),
    [
        ("http://127.0.0.1:8000", True),
        ("http://[::1]:8000", True),
        ("http://localhost:8000", True),
        ("http://10.0.0.7:8000", False),
        ("https://farm.example", False),
    ],
)
def test_an_address_that_no_phone_can_reach_is_known(address: str, *, only_here: bool) -> None:
    assert is_this_machine_only(address) is only_here
