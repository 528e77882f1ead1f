"""The Java listener that Android's location service calls."""

from collections.abc import Callable
from typing import Any


def listener_class(jnius: Any) -> Callable[[Callable[[Any], None], Callable[[], None]], Any]:
    """A listener with every method that any Android calls: a missing one would lose the fix, and may end the app.

    Since Android 12 locations come in lists, and Java's own default for that call is not found from here. Names and
    signatures: android.location.LocationListener in Android's reference, API levels 1 to 33.
    """

    class Listener(jnius.PythonJavaClass):  # type: ignore[misc]  # its base comes from the phone
        __javainterfaces__ = ("android/location/LocationListener",)

        def __init__(self, on_location: Callable[[Any], None], on_disabled: Callable[[], None]) -> None:
            super().__init__()
            self._on_location, self._on_disabled = on_location, on_disabled

        @jnius.java_method("(Landroid/location/Location;)V", name="onLocationChanged")  # type: ignore[untyped-decorator]  # as above
        def on_location(self, location: Any) -> None:
            self._on_location(location)

        @jnius.java_method("(Ljava/util/List;)V", name="onLocationChanged")  # type: ignore[untyped-decorator]  # as above
        def on_locations(self, locations: Any) -> None:
            for place in range(locations.size()):
                self._on_location(locations.get(place))

        @jnius.java_method("(Ljava/lang/String;)V", name="onProviderDisabled")  # type: ignore[untyped-decorator]  # as above
        def on_provider_disabled(self, _provider: str) -> None:
            self._on_disabled()

        @jnius.java_method("(Ljava/lang/String;)V", name="onProviderEnabled")  # type: ignore[untyped-decorator]  # as above
        def on_provider_enabled(self, _provider: str) -> None:
            """Nothing: it was never removed."""

        @jnius.java_method("(Ljava/lang/String;ILandroid/os/Bundle;)V", name="onStatusChanged")  # type: ignore[untyped-decorator]  # as above
        def on_status_changed(self, _provider: str, _status: int, _extras: Any) -> None:
            """Nothing to do."""

        @jnius.java_method("(I)V", name="onFlushComplete")  # type: ignore[untyped-decorator]  # as above
        def on_flush_complete(self, _request: int) -> None:
            """Nothing: a flush is never requested."""

    return Listener
