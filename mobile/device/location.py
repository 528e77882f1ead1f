"""Where the phone is, and how far off that may be. The receivers run only while somebody waits for a fix.

A seam with a real and a pretend side, as in `handset.py`. Android's own classes are handed in by `android_receiver`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from enum import Enum
from threading import Lock
from typing import Any, Protocol


@dataclass(frozen=True, slots=True)
class Fix:
    """Where the phone is, and how far off that may be (68 of 100 fixes are nearer)."""

    latitude: float
    longitude: float
    accuracy_m: float


class Hindrance(Enum):
    """Why no fix will come."""

    NOT_ALLOWED = "not allowed"
    OFF = "off"
    NO_RECEIVER = "no receiver"


@dataclass(frozen=True, slots=True)
class Search:
    """How a search stands: the best fix so far, whether it is over, and what hinders it.

    `asking` while the person is asked for leave; the system's question then lies over the app.
    """

    best: Fix | None = None
    over: bool = False
    hindrance: Hindrance | None = None
    asking: bool = False


Told = Callable[[Search], None]


class Locator(Protocol):
    """Finds out where the phone is."""

    def look(self, tell: Told) -> None:
        """Start to look; `tell` hears of every step, maybe in another thread, until the search is over."""

    def give_up(self) -> None:
        """Look no longer; nobody is told any more."""


@dataclass(slots=True)
class NoLocator:
    """Knows one place, or none: on a desk."""

    known: Fix | None = None

    def look(self, tell: Told) -> None:
        """Tell the place at once."""
        tell(Search(self.known, over=True, hindrance=None if self.known else Hindrance.NO_RECEIVER))

    def give_up(self) -> None:
        """Nobody ever waits."""


class Receiver(Protocol):
    """The phone's receivers: what they hear, they tell in a thread of their own."""

    def start(self, hear: Callable[[Fix], None], off: Callable[[], None]) -> Hindrance | None:
        """Start to listen; or say what hinders it. `off` is called when the person switches all of them off."""

    def stop(self) -> None:
        """Listen no longer."""


@dataclass(slots=True)
class PhoneLocator:
    """Listens until a fix is good enough or many have come; the best of them counts.

    `ask` asks the person for leave, and calls back with the answer.
    """

    receiver: Receiver
    ask: Callable[[Callable[[bool], None]], None]
    good_m: float = 3.0
    most_fixes: int = 60
    _tell: Told | None = None
    _heard: list[Fix] = field(default_factory=list)
    _listening: bool = False
    _lock: Lock = field(default_factory=Lock)

    def look(self, tell: Told) -> None:
        """Ask for leave, then listen. Whoever looked before hears no more."""
        self.give_up()
        with self._lock:
            self._tell, self._heard = tell, []
        tell(Search(asking=True))
        self.ask(lambda granted: self._listen(tell) if granted else self._end(tell, Hindrance.NOT_ALLOWED))

    def give_up(self) -> None:
        """Stop listening."""
        with self._lock:
            self._tell = None
            listening, self._listening = self._listening, False
        if listening:
            self.receiver.stop()

    def _listen(self, tell: Told) -> None:
        with self._lock:
            if self._tell is not tell:  # given up while the person was asked
                return
            self._listening = True
        tell(Search())
        hindrance = self.receiver.start(lambda fix: self._hear(tell, fix), lambda: self._end(tell, Hindrance.OFF))
        if hindrance is not None:
            self._end(tell, hindrance)

    def _hear(self, tell: Told, fix: Fix) -> None:
        with self._lock:
            if self._tell is not tell:
                return
            self._heard.append(fix)
            enough = fix.accuracy_m <= self.good_m or len(self._heard) >= self.most_fixes
        if enough:
            self._end(tell)
        else:
            tell(Search(self._best))

    def _end(self, tell: Told, hindrance: Hindrance | None = None) -> None:
        if self._tell is tell:
            self.give_up()
            tell(Search(self._best, over=True, hindrance=hindrance))

    @property
    def _best(self) -> Fix | None:
        return min(self._heard, key=lambda fix: fix.accuracy_m, default=None)


# on Android

#: GPS alone, and since Android 12 what the phone makes of GPS and its other senses
PROVIDERS = ("gps", "fused")
#: a fix a second, also from a phone that lies still
EVERY_MS, EVERY_M = 1000, 0.0


@dataclass(slots=True)
class AndroidReceiver:
    """Android's location service. `make_listener` makes what Android calls: with a location, or when one goes off."""

    manager: Any
    looper: Any
    make_listener: Callable[[Callable[[Any], None], Callable[[], None]], Any]
    _listener: Any = None

    def start(self, hear: Callable[[Fix], None], off: Callable[[], None]) -> Hindrance | None:
        """Listen to every receiver there is and that is switched on."""
        there = [name for name in PROVIDERS if name in self._all()]
        if not there:
            return Hindrance.NO_RECEIVER
        if not self._on(there):
            return Hindrance.OFF

        def gone_off() -> None:
            if not self._on(there):
                off()

        self._listener = self.make_listener(lambda location: _hear(location, hear), gone_off)
        for name in self._on(there):
            self.manager.requestLocationUpdates(name, EVERY_MS, EVERY_M, self._listener, self.looper)
        return None

    def stop(self) -> None:
        """Listen no longer."""
        listener, self._listener = self._listener, None
        if listener is not None:
            self.manager.removeUpdates(listener)

    def _all(self) -> Sequence[str]:
        return [str(name) for name in self.manager.getAllProviders().toArray()]

    def _on(self, names: Sequence[str]) -> list[str]:
        return [name for name in names if self.manager.isProviderEnabled(name)]


def _hear(location: Any, hear: Callable[[Fix], None]) -> None:
    """A location that does not tell how far off it may be is of no use."""
    accuracy_m = float(location.getAccuracy())
    if location.hasAccuracy() and accuracy_m > 0:
        hear(Fix(float(location.getLatitude()), float(location.getLongitude()), accuracy_m))


def asking_for(
    wanted: list[str],
    check: Callable[[str], bool],
    request: Callable[[list[str], Callable[[Sequence[str], Sequence[bool]], None]], None],
) -> Callable[[Callable[[bool], None]], None]:
    """Ask the person for all that is wanted, unless it was granted before. Android's question lies over the app."""

    def ask(answer: Callable[[bool], None]) -> None:
        def answered(_asked: Sequence[str], granted: Sequence[bool]) -> None:
            answer(len(granted) > 0 and all(granted))  # nothing is granted where the question was interrupted

        if all(check(each) for each in wanted):
            answer(True)
        else:
            request(wanted, answered)

    return ask


def android_receiver(jnius: Any) -> AndroidReceiver:
    """Android's location service, through the module `jnius`."""
    context = jnius.autoclass("org.kivy.android.PythonActivity").mActivity
    looper = jnius.autoclass("android.os.Looper").getMainLooper()
    manager = context.getSystemService("location")
    return AndroidReceiver(manager, looper, listener_class(jnius))


def listener_class(jnius: Any) -> Callable[[Callable[[Any], None], Callable[[], None]], Any]:
    """A listener with every method that any Android calls: a missing one would lose the fix, and may end the app.

    Since Android 12 locations come in lists, and Java's own default for that call is not found from here. Names and
    signatures: android.location.LocationListener in Android's reference, API levels 1 to 33.
    """

    class Listener(jnius.PythonJavaClass):  # type: ignore[misc]  # its base comes from the phone
        __javainterfaces__ = ("android/location/LocationListener",)

        def __init__(self, hear: Callable[[Any], None], gone_off: Callable[[], None]) -> None:
            super().__init__()
            self._hear, self._gone_off = hear, gone_off

        @jnius.java_method("(Landroid/location/Location;)V", name="onLocationChanged")  # type: ignore[untyped-decorator]  # as above
        def on_location(self, location: Any) -> None:
            self._hear(location)

        @jnius.java_method("(Ljava/util/List;)V", name="onLocationChanged")  # type: ignore[untyped-decorator]  # as above
        def on_locations(self, locations: Any) -> None:
            for place in range(locations.size()):
                self._hear(locations.get(place))

        @jnius.java_method("(Ljava/lang/String;)V", name="onProviderDisabled")  # type: ignore[untyped-decorator]  # as above
        def on_provider_disabled(self, _provider: str) -> None:
            self._gone_off()

        @jnius.java_method("(Ljava/lang/String;)V", name="onProviderEnabled")  # type: ignore[untyped-decorator]  # as above
        def on_provider_enabled(self, _provider: str) -> None:
            """It was never given up."""

        @jnius.java_method("(Ljava/lang/String;ILandroid/os/Bundle;)V", name="onStatusChanged")  # type: ignore[untyped-decorator]  # as above
        def on_status_changed(self, _provider: str, _status: int, _extras: Any) -> None:
            """Nothing follows from it."""

        @jnius.java_method("(I)V", name="onFlushComplete")  # type: ignore[untyped-decorator]  # as above
        def on_flush_complete(self, _request: int) -> None:
            """Nothing is ever flushed."""

    return Listener
