"""The Java listeners that Android's NsdManager calls.

Names and signatures: android.net.nsd.NsdManager in Android's reference, API levels 16 to 33.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Listeners:
    """Makes listeners: `discovery(found, failed)` for services that appear, `resolve(known, failed)` for one."""

    discovery: Callable[[Callable[[Any], None], Callable[[], None]], Any]
    resolve: Callable[[Callable[[Any], None], Callable[[], None]], Any]


def listener_classes(jnius: Any) -> Listeners:
    """Listener classes with every method that Android calls."""
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
            """Nothing: connecting to it will fail."""

        @jnius.java_method("(Ljava/lang/String;)V", name="onDiscoveryStarted")  # type: ignore[untyped-decorator]  # as above
        def on_discovery_started(self, _type: str) -> None:
            """Nothing to do."""

        @jnius.java_method("(Ljava/lang/String;)V", name="onDiscoveryStopped")  # type: ignore[untyped-decorator]  # as above
        def on_discovery_stopped(self, _type: str) -> None:
            """Nothing to do."""

        @jnius.java_method("(Ljava/lang/String;I)V", name="onStartDiscoveryFailed")  # type: ignore[untyped-decorator]  # as above
        def on_start_discovery_failed(self, _type: str, _error: int) -> None:
            self._failed()

        @jnius.java_method("(Ljava/lang/String;I)V", name="onStopDiscoveryFailed")  # type: ignore[untyped-decorator]  # as above
        def on_stop_discovery_failed(self, _type: str, _error: int) -> None:
            """Nothing: the search ends with the app."""

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
