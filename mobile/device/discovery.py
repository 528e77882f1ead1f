"""Services on the network around the phone that say they are the one it was paired with.

A seam with a real and a pretend side, as in `handset.py`. Android finds them by mDNS (`server/runtime/mdns.py` is the
other end). What they say is hearsay: anybody on the network can repeat the fingerprint of another's certificate, and
give any address. So what is found is only ever an address to try, and always by TLS: the courier sends nothing there
before that certificate itself was shown. A service that was paired without a certificate is not looked for, since it
could not prove to be it, and a service that speaks plain HTTP is never found.
"""

from __future__ import annotations

import logging
import time
from collections import deque
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from queue import Empty, SimpleQueue
from typing import Any, Protocol

log = logging.getLogger(__name__)

SERVICE_TYPE, PIN = "_rowend._tcp", "pin"


class ServiceDiscovery(Protocol):
    """Looks around on the network."""

    def with_certificate(self, pin: str) -> Iterator[str]:
        """Addresses (https) whose service says it has the certificate of this pin. Looking takes some seconds."""


class NoDiscovery:
    """Knows nobody: on a desk."""

    def with_certificate(self, pin: str) -> Iterator[str]:  # noqa: ARG002 - whoever is asked for
        """Nobody."""
        yield from ()


# on Android


@dataclass(frozen=True, slots=True)
class Listeners:
    """What Android calls: `discovery(found, failed)` for services that appear, `resolve(known, failed)` for one."""

    discovery: Callable[[Callable[[Any], None], Callable[[], None]], Any]
    resolve: Callable[[Callable[[Any], None], Callable[[], None]], Any]


@dataclass(slots=True)
class NsdDiscovery:
    """Android's NsdManager. It answers in a thread of its own, and resolves one service at a time."""

    manager: Any
    listeners: Listeners
    patience_s: float = 4.0
    now: Callable[[], float] = time.monotonic
    #: Android may call a listener late; until then somebody has to hold it
    _held: deque[Any] = field(default_factory=lambda: deque(maxlen=32))

    #: NsdManager.PROTOCOL_DNS_SD
    DNS_SD = 1

    def with_certificate(self, pin: str) -> Iterator[str]:
        """Look until patience ends, or whoever asked has what they want. A phone that cannot look finds nobody."""
        try:
            yield from self._look(pin)
        except Exception:  # Java's own come as one class that only a phone has
            log.exception("the network could not be searched")

    def _look(self, pin: str) -> Iterator[str]:
        found: SimpleQueue[Any] = SimpleQueue()
        end = self.now() + self.patience_s
        listener = self._hold(self.listeners.discovery(found.put, lambda: found.put(None)))
        self.manager.discoverServices(SERVICE_TYPE, self.DNS_SD, listener)
        try:
            while (service := self._next(found, end)) is not None:
                known = self._resolved(service, end)
                if known is not None and _text(known.getAttributes().get(PIN)) == pin:
                    yield from _address(known)
        finally:
            self.manager.stopServiceDiscovery(listener)

    def _resolved(self, service: Any, end: float) -> Any:
        """The service with its address, None where it does not tell it."""
        answer: SimpleQueue[Any] = SimpleQueue()
        listener = self._hold(self.listeners.resolve(answer.put, lambda: answer.put(None)))
        self.manager.resolveService(service, listener)
        return self._next(answer, end)

    def _next(self, told: SimpleQueue[Any], end: float) -> Any:
        try:
            return told.get(timeout=max(0.0, end - self.now()))
        except Empty:
            return None

    def _hold(self, listener: Any) -> Any:
        self._held.append(listener)
        return listener


def _text(value: Any) -> str:
    """A value of a TXT record; Java's bytes are signed."""
    return "" if value is None else bytes(byte & 0xFF for byte in value).decode("ascii", "replace")


def _address(service: Any) -> Iterator[str]:
    host = service.getHost()
    shown = "" if host is None else str(host.getHostAddress())
    if shown and "%" not in shown:  # an address that only means something on one of the phone's own networks
        yield f"https://[{shown}]:{service.getPort()}" if ":" in shown else f"https://{shown}:{service.getPort()}"


def android_neighbours(jnius: Any, activity: Any) -> NsdDiscovery:
    """Android's own search, through the module `jnius`. It needs no permission but INTERNET (from memory)."""
    return NsdDiscovery(activity.getSystemService("servicediscovery"), listener_classes(jnius))


def listener_classes(jnius: Any) -> Listeners:
    """Listeners with every method that Android calls.

    Names and signatures: android.net.nsd.NsdManager in Android's reference, API levels 16 to 33.
    """
    return Listeners(_discovery_class(jnius), _resolve_class(jnius))


def _discovery_class(jnius: Any) -> Any:
    class Discovery(jnius.PythonJavaClass):  # type: ignore[misc]  # its base comes from the phone
        __javainterfaces__ = ("android/net/nsd/NsdManager$DiscoveryListener",)

        def __init__(self, found: Callable[[Any], None], failed: Callable[[], None]) -> None:
            super().__init__()
            self._found, self._failed = found, failed

        @jnius.java_method("(Landroid/net/nsd/NsdServiceInfo;)V", name="onServiceFound")  # type: ignore[untyped-decorator]  # as above
        def on_service_found(self, service: Any) -> None:
            self._found(service)

        @jnius.java_method("(Landroid/net/nsd/NsdServiceInfo;)V", name="onServiceLost")  # type: ignore[untyped-decorator]  # as above
        def on_service_lost(self, _service: Any) -> None:
            """Whoever tries it will notice."""

        @jnius.java_method("(Ljava/lang/String;)V", name="onDiscoveryStarted")  # type: ignore[untyped-decorator]  # as above
        def on_discovery_started(self, _type: str) -> None:
            """As it should."""

        @jnius.java_method("(Ljava/lang/String;)V", name="onDiscoveryStopped")  # type: ignore[untyped-decorator]  # as above
        def on_discovery_stopped(self, _type: str) -> None:
            """As it should."""

        @jnius.java_method("(Ljava/lang/String;I)V", name="onStartDiscoveryFailed")  # type: ignore[untyped-decorator]  # as above
        def on_start_discovery_failed(self, _type: str, _error: int) -> None:
            self._failed()

        @jnius.java_method("(Ljava/lang/String;I)V", name="onStopDiscoveryFailed")  # type: ignore[untyped-decorator]  # as above
        def on_stop_discovery_failed(self, _type: str, _error: int) -> None:
            """It ends with the app."""

    return Discovery


def _resolve_class(jnius: Any) -> Any:
    class Resolve(jnius.PythonJavaClass):  # type: ignore[misc]  # its base comes from the phone
        __javainterfaces__ = ("android/net/nsd/NsdManager$ResolveListener",)

        def __init__(self, known: Callable[[Any], None], failed: Callable[[], None]) -> None:
            super().__init__()
            self._known, self._failed = known, failed

        @jnius.java_method("(Landroid/net/nsd/NsdServiceInfo;)V", name="onServiceResolved")  # type: ignore[untyped-decorator]  # as above
        def on_service_resolved(self, service: Any) -> None:
            self._known(service)

        @jnius.java_method("(Landroid/net/nsd/NsdServiceInfo;I)V", name="onResolveFailed")  # type: ignore[untyped-decorator]  # as above
        def on_resolve_failed(self, _service: Any, _error: int) -> None:
            self._failed()

    return Resolve
