"""The service says on the network that it is here, and under which certificate; here on the loopback network only."""

from collections.abc import Iterator, Sequence
from queue import SimpleQueue

import pytest
from zeroconf import ServiceBrowser, ServiceListener, Zeroconf

from server.runtime.mdns import SERVICE_TYPE, announced, reachable_at, service_info

HOST, PIN = "127.0.0.1", "9f" * 32


class Ear(ServiceListener):
    """Hears who is there."""

    def __init__(self) -> None:
        self.names: SimpleQueue[str] = SimpleQueue()
        self.gone: SimpleQueue[str] = SimpleQueue()

    def add_service(self, zc: Zeroconf, type_: str, name: str) -> None:  # noqa: ARG002 - zeroconf calls it so
        self.names.put(name)

    def remove_service(self, zc: Zeroconf, type_: str, name: str) -> None:  # noqa: ARG002 - as above
        self.gone.put(name)

    def update_service(self, zc: Zeroconf, type_: str, name: str) -> None:
        """Nothing changes here."""


@pytest.fixture
def network() -> Iterator[Zeroconf]:
    listening = Zeroconf(interfaces=[HOST])
    yield listening
    listening.close()


def test_a_service_is_found_with_its_address_and_pin_and_leaves_when_it_ends(network: Zeroconf) -> None:
    ear = Ear()
    ServiceBrowser(network, SERVICE_TYPE, ear)
    with announced([HOST], 8123, PIN) as problem:
        name = ear.names.get(timeout=20)
        info = network.get_service_info(SERVICE_TYPE, name, timeout=5000)

    assert problem == ""
    assert info is not None
    assert (info.parsed_addresses(), info.port, info.properties) == ([HOST], 8123, {b"pin": PIN.encode()})
    assert ear.gone.get(timeout=20) == name


def test_only_address_and_certificate_are_announced() -> None:
    info = service_info(["10.0.0.7"], 8000, PIN)

    assert info.name == f"Rowend {PIN[:12]}._rowend._tcp.local."
    assert info.server == f"rowend-{PIN[:12]}.local."
    assert set(info.properties) == {b"pin"}


def test_a_failed_announcement_is_reported_and_stops_nothing() -> None:
    def no_network(_addresses: Sequence[str]) -> Zeroconf:
        raise OSError(19, "No such device")

    with announced([HOST], 8000, PIN, no_network) as problem:
        served = True

    assert served
    assert "No such device" in problem


@pytest.mark.parametrize(
    ("listens_on", "expected"),
    [("127.0.0.1", []), ("::1", []), ("10.0.0.7", ["10.0.0.7"]), ("fd00::1", [])],
)
def test_a_loopback_address_is_announced_to_nobody(listens_on: str, expected: list[str]) -> None:
    assert reachable_at(listens_on) == expected


def test_a_service_on_all_interfaces_announces_no_loopback_address() -> None:
    everywhere = "0.0.0.0"  # noqa: S104 - nothing is bound to it here

    assert not [address for address in reachable_at(everywhere) if address.startswith(("127.", "0."))]
