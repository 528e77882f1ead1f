"""Location on Android: a search over the receivers, and the receivers."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from threading import Lock
from typing import Any, Protocol

from typing_extensions import override

from mobile.device.location.android_listener import listener_class
from mobile.device.location.protocol import Fix, LocationProblem, Locator, OnSearch, Search

#: GPS alone, and since Android 12 what the phone makes of GPS and its other sensors
PROVIDERS = ("gps", "fused")
#: a fix a second, also from a phone that lies still
EVERY_MS, EVERY_M = 1000, 0.0


class Receiver(Protocol):
    """The phone's location receivers; they call back in a thread of their own."""

    def start(self, on_fix: Callable[[Fix], None], on_off: Callable[[], None]) -> LocationProblem | None:
        """Start to listen, or return what prevents it. `on_off` is called when all receivers are switched off."""

    def stop(self) -> None:
        """Stop listening."""


@dataclass
class AndroidLocator(Locator):
    """Listens until a fix is good enough or many have come; the best of them counts.

    `ask` asks the person for permission, and calls back with the answer. A new search ends the one before.
    """

    receiver: Receiver
    ask: Callable[[Callable[[bool], None]], None]
    good_m: float = 3.0
    most_fixes: int = 60
    _on_search: OnSearch | None = None
    _fixes: list[Fix] = field(default_factory=list)
    _listening: bool = False
    _lock: Lock = field(default_factory=Lock)

    @override
    def start(self, on_search: OnSearch) -> None:
        self.stop()
        with self._lock:
            self._on_search, self._fixes = on_search, []
        on_search(Search(asking=True))
        self.ask(
            lambda granted: self._listen(on_search) if granted else self._end(on_search, LocationProblem.NOT_ALLOWED)
        )

    @override
    def stop(self) -> None:
        with self._lock:
            self._on_search = None
            listening, self._listening = self._listening, False
        if listening:
            self.receiver.stop()

    def _listen(self, on_search: OnSearch) -> None:
        with self._lock:
            if self._on_search is not on_search:  # stopped while the person was asked
                return
            self._listening = True
        on_search(Search())
        problem = self.receiver.start(
            lambda fix: self._add(on_search, fix), lambda: self._end(on_search, LocationProblem.OFF)
        )
        if problem is not None:
            self._end(on_search, problem)

    def _add(self, on_search: OnSearch, fix: Fix) -> None:
        with self._lock:
            if self._on_search is not on_search:
                return
            self._fixes.append(fix)
            enough = fix.accuracy_m <= self.good_m or len(self._fixes) >= self.most_fixes
        if enough:
            self._end(on_search)
        else:
            on_search(Search(self._best))

    def _end(self, on_search: OnSearch, problem: LocationProblem | None = None) -> None:
        if self._on_search is on_search:
            self.stop()
            on_search(Search(self._best, over=True, problem=problem))

    @property
    def _best(self) -> Fix | None:
        return min(self._fixes, key=lambda fix: fix.accuracy_m, default=None)


@dataclass
class AndroidReceiver(Receiver):
    """Android's location service. `make_listener(on_location, on_disabled)` makes the Java listener."""

    manager: Any
    looper: Any
    make_listener: Callable[[Callable[[Any], None], Callable[[], None]], Any]
    _listener: Any = None

    @override
    def start(self, on_fix: Callable[[Fix], None], on_off: Callable[[], None]) -> LocationProblem | None:
        present = [name for name in PROVIDERS if name in self._all()]
        if not present:
            return LocationProblem.NO_RECEIVER
        if not self._enabled(present):
            return LocationProblem.OFF

        def on_disabled() -> None:
            if not self._enabled(present):
                on_off()

        self._listener = self.make_listener(lambda location: _pass_on(location, on_fix), on_disabled)
        for name in self._enabled(present):
            self.manager.requestLocationUpdates(name, EVERY_MS, EVERY_M, self._listener, self.looper)
        return None

    @override
    def stop(self) -> None:
        listener, self._listener = self._listener, None
        if listener is not None:
            self.manager.removeUpdates(listener)

    def _all(self) -> Sequence[str]:
        return [str(name) for name in self.manager.getAllProviders().toArray()]

    def _enabled(self, names: Sequence[str]) -> list[str]:
        return [name for name in names if self.manager.isProviderEnabled(name)]


def _pass_on(location: Any, on_fix: Callable[[Fix], None]) -> None:
    """Pass a location on, unless it has no accuracy: then it is of no use."""
    accuracy_m = float(location.getAccuracy())
    if location.hasAccuracy() and accuracy_m > 0:
        on_fix(Fix(float(location.getLatitude()), float(location.getLongitude()), accuracy_m))


def permission_request(
    permissions: list[str],
    check: Callable[[str], bool],
    request: Callable[[list[str], Callable[[Sequence[str], Sequence[bool]], None]], None],
) -> Callable[[Callable[[bool], None]], None]:
    """A function that asks the person for all `permissions` not granted before. Android's dialog lies over the app."""

    def ask(answer: Callable[[bool], None]) -> None:
        def answered(_permissions: Sequence[str], granted: Sequence[bool]) -> None:
            answer(len(granted) > 0 and all(granted))  # nothing is granted where the dialog was interrupted

        if all(check(each) for each in permissions):
            answer(True)
        else:
            request(permissions, answered)

    return ask


def android_receiver(jnius: Any) -> AndroidReceiver:
    """Android's location service, through the module `jnius`."""
    context = jnius.autoclass("org.kivy.android.PythonActivity").mActivity
    looper = jnius.autoclass("android.os.Looper").getMainLooper()
    manager = context.getSystemService("location")
    return AndroidReceiver(manager, looper, listener_class(jnius))
