"""Discovery by Android's NsdManager."""

import logging
import time
from collections import deque
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from queue import Empty, SimpleQueue
from typing import Any

from typing_extensions import override

from mobile.device.discovery.android_listeners import Listeners, listener_classes
from mobile.device.discovery.protocol import ServiceDiscovery

log = logging.getLogger(__name__)

SERVICE_TYPE, PIN = "_rowend._tcp", "pin"


@dataclass
class AndroidDiscovery(ServiceDiscovery):
    """Android's NsdManager. It answers in a thread of its own, and resolves one service at a time.

    A phone that cannot search finds nobody.
    """

    manager: Any
    listeners: Listeners
    timeout_s: float = 4.0
    now: Callable[[], float] = time.monotonic
    #: Android may call a listener late; until then Python has to hold a reference
    _listeners: deque[Any] = field(default_factory=lambda: deque(maxlen=32))

    #: NsdManager.PROTOCOL_DNS_SD
    DNS_SD = 1

    @override
    def with_certificate(self, pin: str) -> Iterator[str]:
        try:
            yield from self._search(pin)
        except Exception:  # Java's own come as one class that only a phone has
            log.exception("the local network could not be searched")

    def _search(self, pin: str) -> Iterator[str]:
        found: SimpleQueue[Any] = SimpleQueue()
        end = self.now() + self.timeout_s
        listener = self._keep(self.listeners.discovery(found.put, lambda: found.put(None)))
        self.manager.discoverServices(SERVICE_TYPE, self.DNS_SD, listener)
        try:
            while (service := self._next(found, end)) is not None:
                resolved = self._resolve(service, end)
                if resolved is not None and _text(resolved.getAttributes().get(PIN)) == pin:
                    yield from _address(resolved)
        finally:
            self.manager.stopServiceDiscovery(listener)

    def _resolve(self, service: Any, end: float) -> Any:
        answer: SimpleQueue[Any] = SimpleQueue()
        listener = self._keep(self.listeners.resolve(answer.put, lambda: answer.put(None)))
        self.manager.resolveService(service, listener)
        return self._next(answer, end)

    def _next(self, queue: SimpleQueue[Any], end: float) -> Any:
        try:
            return queue.get(timeout=max(0.0, end - self.now()))
        except Empty:
            return None

    def _keep(self, listener: Any) -> Any:
        self._listeners.append(listener)
        return listener


def _text(value: Any) -> str:
    """A value of a TXT record; Java's bytes are signed."""
    return "" if value is None else bytes(byte & 0xFF for byte in value).decode("ascii", "replace")


def _address(service: Any) -> Iterator[str]:
    host = service.getHost()
    shown = "" if host is None else str(host.getHostAddress())
    if shown and "%" not in shown:  # an address that only means something on one of the phone's own networks
        yield f"https://[{shown}]:{service.getPort()}" if ":" in shown else f"https://{shown}:{service.getPort()}"


def android_discovery(jnius: Any, activity: Any) -> AndroidDiscovery:
    """Android's own search, through the module `jnius`. It needs no permission but INTERNET (from memory)."""
    return AndroidDiscovery(activity.getSystemService("servicediscovery"), listener_classes(jnius))
