"""Location: one search at a time, reported step by step, and the receivers off as soon as nobody waits."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from types import ModuleType, SimpleNamespace
from typing import Any

import pytest

from mobile.device.location.android import AndroidLocator, AndroidReceiver, android_receiver, permission_request
from mobile.device.location.android_listener import listener_class
from mobile.device.location.desk import DeskLocator
from mobile.device.location.protocol import Fix, LocationProblem, Search

NEAR, FAR = Fix(50.0, 8.0, 4.0), Fix(50.1, 8.0, 12.0)


@dataclass
class Sky:
    """A receiver that the test feeds with fixes."""

    problem: LocationProblem | None = None
    on: bool = False
    on_fix: Callable[[Fix], None] = print
    on_off: Callable[[], None] = print

    def start(self, on_fix: Callable[[Fix], None], on_off: Callable[[], None]) -> LocationProblem | None:
        self.on_fix, self.on_off, self.on = on_fix, on_off, self.problem is None
        return self.problem

    def stop(self) -> None:
        self.on = False


def allowed(answer: Callable[[bool], None]) -> None:
    answer(True)


def refused(answer: Callable[[bool], None]) -> None:
    answer(False)


def test_a_search_reports_each_step_and_the_best_fix_so_far() -> None:
    sky, searches = Sky(), list[Search]()

    AndroidLocator(sky, allowed).start(searches.append)
    sky.on_fix(FAR)
    sky.on_fix(NEAR)
    sky.on_fix(FAR)

    assert searches == [Search(asking=True), Search(), Search(FAR), Search(NEAR), Search(NEAR)]
    assert sky.on


def test_a_good_fix_ends_the_search_and_the_listening() -> None:
    sky, searches = Sky(), list[Search]()
    good = Fix(50.0, 8.0, 3.0)

    AndroidLocator(sky, allowed).start(searches.append)
    sky.on_fix(FAR)
    sky.on_fix(good)
    sky.on_fix(FAR)

    assert searches[-1] == Search(good, over=True)
    assert len(searches) == 4
    assert not sky.on


def test_without_a_good_fix_the_best_of_many_counts() -> None:
    sky, searches = Sky(), list[Search]()

    AndroidLocator(sky, allowed, most_fixes=3).start(searches.append)
    for fix in (FAR, NEAR, FAR):
        sky.on_fix(fix)

    assert searches[-1] == Search(NEAR, over=True)
    assert not sky.on


@pytest.mark.parametrize("problem", [LocationProblem.OFF, LocationProblem.NO_RECEIVER])
def test_a_problem_ends_the_search(problem: LocationProblem) -> None:
    searches: list[Search] = []

    AndroidLocator(Sky(problem), allowed).start(searches.append)

    assert searches[-1] == Search(over=True, problem=problem)


def test_without_permission_nothing_listens() -> None:
    sky, searches = Sky(), list[Search]()

    AndroidLocator(sky, refused).start(searches.append)

    assert searches[-1] == Search(over=True, problem=LocationProblem.NOT_ALLOWED)
    assert not sky.on


def test_receivers_switched_off_on_the_way_end_the_search() -> None:
    sky, searches = Sky(), list[Search]()
    AndroidLocator(sky, allowed).start(searches.append)
    sky.on_fix(FAR)

    sky.on_off()

    assert searches[-1] == Search(FAR, over=True, problem=LocationProblem.OFF)
    assert not sky.on


def test_a_stopped_search_listens_and_reports_no_more() -> None:
    sky, searches = Sky(), list[Search]()
    locator = AndroidLocator(sky, allowed)
    locator.start(searches.append)
    steps = len(searches)

    locator.stop()
    locator.stop()
    sky.on_fix(NEAR)

    assert len(searches) == steps
    assert not sky.on


def test_stopped_while_the_person_is_asked_nothing_listens() -> None:
    answers: list[Callable[[bool], None]] = []
    sky, searches = Sky(), list[Search]()
    locator = AndroidLocator(sky, answers.append)
    locator.start(searches.append)

    locator.stop()
    answers[0](True)

    assert searches == [Search(asking=True)]
    assert not sky.on


def test_a_new_search_ends_the_one_before() -> None:
    sky, first, second = Sky(), list[Search](), list[Search]()
    locator = AndroidLocator(sky, allowed)
    locator.start(first.append)
    steps, on_fix = len(first), sky.on_fix

    locator.start(second.append)
    on_fix(NEAR)
    sky.on_fix(FAR)

    assert len(first) == steps
    assert second[-1] == Search(FAR)


def test_a_desk_gives_one_fix_or_none() -> None:
    searches: list[Search] = []

    DeskLocator().start(searches.append)
    DeskLocator(NEAR).start(searches.append)

    assert searches == [Search(over=True, problem=LocationProblem.NO_RECEIVER), Search(NEAR, over=True)]


# on Android


@dataclass
class Manager:
    """Android's LocationManager, as far as it is asked here."""

    there: list[str] = field(default_factory=lambda: ["passive", "network", "gps", "fused"])
    on: set[str] = field(default_factory=lambda: {"passive", "gps", "fused"})
    listeners: list[tuple[Any, ...]] = field(default_factory=list)

    def getAllProviders(self) -> Any:  # noqa: N802 - Java's name
        return SimpleNamespace(toArray=lambda: self.there)

    def isProviderEnabled(self, name: str) -> bool:  # noqa: N802 - Java's name
        return name in self.on

    def requestLocationUpdates(self, *args: Any) -> None:  # noqa: N802 - Java's name
        self.listeners.append(args)

    def removeUpdates(self, listener: Any) -> None:  # noqa: N802 - Java's name
        self.listeners = [each for each in self.listeners if each[3] is not listener]


def java_method(signature: str, name: str | None = None) -> Callable[[Any], Any]:
    """As in pyjnius: what Java calls is kept beside the method that answers."""

    def mark(method: Any) -> Any:
        method.java = (name or method.__name__, signature)
        return method

    return mark


def fake_jnius(manager: Manager) -> Any:
    classes = {
        "org.kivy.android.PythonActivity": SimpleNamespace(
            mActivity=SimpleNamespace(getSystemService={"location": manager}.get)
        ),
        "android.os.Looper": SimpleNamespace(getMainLooper=lambda: "main looper"),
    }
    jnius = ModuleType("jnius")
    vars(jnius).update(autoclass=classes.__getitem__, PythonJavaClass=object, java_method=java_method)
    return jnius


def call(listener: Any, name: str, signature: str, *args: Any) -> None:
    """What Java does: it knows a method by its name and signature alone."""
    found = {
        vars(each)["java"]: each for each in vars(type(listener)).values() if "java" in getattr(each, "__dict__", ())
    }
    found[name, signature](listener, *args)


def location(accuracy_m: float, *, has_accuracy: bool = True) -> Any:
    return SimpleNamespace(
        getLatitude=lambda: 50.0,
        getLongitude=lambda: 8.0,
        getAccuracy=lambda: accuracy_m,
        hasAccuracy=lambda: has_accuracy,
    )


def java_list(*items: Any) -> Any:
    return SimpleNamespace(size=lambda: len(items), get=items.__getitem__)


@pytest.fixture
def manager() -> Manager:
    return Manager()


def listening(manager: Manager) -> tuple[AndroidReceiver, list[Fix], list[str]]:
    receiver, heard, gone = android_receiver(fake_jnius(manager)), list[Fix](), list[str]()
    receiver.start(heard.append, lambda: gone.append("off"))
    return receiver, heard, gone


def test_android_is_asked_for_a_fix_each_second_on_its_main_thread_until_the_search_ends(manager: Manager) -> None:
    receiver, _, _ = listening(manager)
    requests = [(name, every_ms, every_m, looper) for name, every_ms, every_m, _, looper in manager.listeners]

    receiver.stop()

    assert requests == [("gps", 1000, 0.0, "main looper"), ("fused", 1000, 0.0, "main looper")]
    assert manager.listeners == []


def test_locations_arrive_one_by_one_or_since_android_12_in_lists(manager: Manager) -> None:
    _, heard, _ = listening(manager)
    listener = manager.listeners[0][3]

    call(listener, "onLocationChanged", "(Landroid/location/Location;)V", location(12))
    call(listener, "onLocationChanged", "(Ljava/util/List;)V", java_list(location(9), location(5)))

    assert heard == [Fix(50.0, 8.0, 12), Fix(50.0, 8.0, 9), Fix(50.0, 8.0, 5)]


def test_a_location_that_does_not_say_how_far_off_it_is_counts_for_nothing(manager: Manager) -> None:
    _, heard, _ = listening(manager)
    listener = manager.listeners[0][3]

    call(listener, "onLocationChanged", "(Landroid/location/Location;)V", location(0))
    call(listener, "onLocationChanged", "(Landroid/location/Location;)V", location(7, has_accuracy=False))

    assert heard == []


def test_every_call_of_every_android_is_answered(manager: Manager) -> None:
    """A call without an answer would raise in Android's own thread."""
    listener = listener_class(fake_jnius(manager))(print, print)

    call(listener, "onStatusChanged", "(Ljava/lang/String;ILandroid/os/Bundle;)V", "gps", 2, None)
    call(listener, "onProviderEnabled", "(Ljava/lang/String;)V", "gps")
    call(listener, "onFlushComplete", "(I)V", 1)


def test_only_the_last_receiver_that_goes_off_is_reported(manager: Manager) -> None:
    _, _, gone = listening(manager)
    listener = manager.listeners[0][3]

    manager.on = {"gps"}
    call(listener, "onProviderDisabled", "(Ljava/lang/String;)V", "fused")
    one_left = list(gone)
    manager.on = set()
    call(listener, "onProviderDisabled", "(Ljava/lang/String;)V", "gps")

    assert (one_left, gone) == ([], ["off"])


@pytest.mark.parametrize(
    ("there", "on", "problem"),
    [
        (["passive"], {"passive"}, LocationProblem.NO_RECEIVER),
        (["passive", "gps"], {"passive"}, LocationProblem.OFF),
        (["gps"], {"gps"}, None),
    ],
)
def test_a_phone_without_gps_or_with_location_switched_off_says_so(
    there: list[str], on: set[str], problem: LocationProblem | None
) -> None:
    manager = Manager(there, on)

    assert android_receiver(fake_jnius(manager)).start(print, print) is problem
    assert len(manager.listeners) == (problem is None)


@pytest.mark.parametrize(
    ("has", "granted", "problem"),
    [
        (True, [], None),
        (False, [True, True], None),
        (False, [False, True], LocationProblem.NOT_ALLOWED),
        (False, [], LocationProblem.NOT_ALLOWED),
    ],
    ids=["has it", "grants it", "only about", "interrupted"],
)
def test_the_person_is_asked_for_permission_once(
    manager: Manager, has: bool, granted: list[bool], problem: LocationProblem | None
) -> None:
    """Granted only about, a fix would be off by a mile."""
    requests: list[list[str]] = []

    def request(wanted: list[str], answered: Callable[[Sequence[str], Sequence[bool]], None]) -> None:
        requests.append(wanted)
        answered(wanted, granted)

    ask = permission_request(["fine", "coarse"], lambda _: has, request)
    searches: list[Search] = []

    AndroidLocator(android_receiver(fake_jnius(manager)), ask).start(searches.append)

    assert searches[-1].problem is problem
    assert bool(manager.listeners) == (problem is None)
    assert requests == ([] if has else [["fine", "coarse"]])
