"""Discovery, with a fake of Android's NsdManager."""

from collections.abc import Callable
from dataclasses import dataclass, field
from types import SimpleNamespace
from typing import Any

from mobile.device.discovery.android import AndroidDiscovery
from mobile.device.discovery.android_listeners import listener_classes
from mobile.device.discovery.desk import DeskDiscovery

PIN, OTHER = "9f" * 32, "11" * 32


@dataclass
class Service:
    """android.net.nsd.NsdServiceInfo, resolved."""

    host: str | None
    pin: str | None
    port: int = 8000
    resolves: bool = True

    def getAttributes(self) -> dict[str, list[int]]:  # noqa: N802 - Android's name
        # Java's bytes are signed
        return {} if self.pin is None else {"pin": [byte - 256 if byte > 127 else byte for byte in self.pin.encode()]}

    def getHost(self) -> Any:  # noqa: N802 - as above
        return None if self.host is None else SimpleNamespace(getHostAddress=lambda: self.host)

    def getPort(self) -> int:  # noqa: N802 - as above
        return self.port


class JavaTrouble(Exception):
    """What pyjnius raises."""


@dataclass
class Nsd:
    """android.net.nsd.NsdManager: tells at once what is there, and one at a time when asked."""

    services: list[Service]
    starts: bool = True
    searches: list[tuple[str, int]] = field(default_factory=list)
    running: set[int] = field(default_factory=set)

    def discoverServices(self, kind: str, protocol: int, listener: Any) -> None:  # noqa: N802 - Android's name
        self.searches.append((kind, protocol))
        if not self.starts:
            listener.onStartDiscoveryFailed(kind, 3)
            return
        self.running.add(id(listener))
        listener.onDiscoveryStarted(kind)
        for service in self.services:
            listener.onServiceFound(service)

    def stopServiceDiscovery(self, listener: Any) -> None:  # noqa: N802 - as above
        if id(listener) not in self.running:
            raise JavaTrouble("listener not registered")
        self.running.remove(id(listener))
        listener.onDiscoveryStopped("_rowend._tcp")

    def resolveService(self, service: Service, listener: Any) -> None:  # noqa: N802 - as above
        if service.resolves:
            listener.onServiceResolved(service)
        else:
            listener.onResolveFailed(service, 0)


class Jnius:
    """Stands for the module jnius: Java finds a method by the name it was declared with."""

    class PythonJavaClass:
        def __init__(self) -> None:
            for each in vars(type(self)).values():
                if hasattr(each, "java"):
                    setattr(self, each.java[1], each.__get__(self))

    @staticmethod
    def java_method(signature: str, name: str) -> Callable[[Any], Any]:
        def declared(method: Any) -> Any:
            method.java = (signature, name)
            return method

        return declared


def discovery_of(*services: Service, starts: bool = True) -> AndroidDiscovery:
    return AndroidDiscovery(Nsd([*services], starts), listener_classes(Jnius), timeout_s=0.05)


def test_the_address_of_the_service_with_the_certificate_is_found() -> None:
    discovery = discovery_of(Service("10.0.0.9", OTHER), Service("10.0.0.7", PIN, port=8123), Service("fd00::7", PIN))

    assert list(discovery.with_certificate(PIN)) == ["https://10.0.0.7:8123", "https://[fd00::7]:8000"]
    assert discovery.manager.searches == [("_rowend._tcp", 1)]


def test_the_search_ends_when_whoever_asked_has_enough() -> None:
    discovery = discovery_of(Service("10.0.0.7", PIN), Service("10.0.0.8", PIN))

    assert next(discovery.with_certificate(PIN)) == "https://10.0.0.7:8000"
    assert discovery.manager.running == set()


def test_a_service_without_certificate_or_address_is_skipped() -> None:
    discovery = discovery_of(
        Service("10.0.0.7", None), Service(None, PIN), Service("fe80::1%wlan0", PIN), Service("10.0.0.8", PIN)
    )

    assert list(discovery.with_certificate(PIN)) == ["https://10.0.0.8:8000"]


def test_one_that_does_not_answer_does_not_hide_the_next() -> None:
    discovery = discovery_of(Service("10.0.0.7", PIN, resolves=False), Service("10.0.0.8", PIN))

    assert list(discovery.with_certificate(PIN)) == ["https://10.0.0.8:8000"]


def test_a_phone_that_cannot_search_finds_nobody(caplog: Any) -> None:
    assert list(discovery_of(starts=False).with_certificate(PIN)) == []
    assert "could not be searched" in caplog.text


def test_a_desk_finds_nobody() -> None:
    assert list(DeskDiscovery().with_certificate(PIN)) == []
