"""Where the phone is: one search at a time, told step by step, and the receivers off as soon as nobody waits."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from types import ModuleType, SimpleNamespace
from typing import Any

import pytest

from mobile.device.location import (
    AndroidReceiver,
    Fix,
    Hindrance,
    NoLocator,
    PhoneLocator,
    Search,
    android_receiver,
    asking_for,
    listener_class,
)

NEAR, FAR = Fix(50.0, 8.0, 4.0), Fix(50.1, 8.0, 12.0)


@dataclass
class Sky:
    """A receiver that hears what the test lets it hear."""

    hindrance: Hindrance | None = None
    on: bool = False
    hear: Callable[[Fix], None] = print
    off: Callable[[], None] = print

    def start(self, hear: Callable[[Fix], None], off: Callable[[], None]) -> Hindrance | None:
        self.hear, self.off, self.on = hear, off, self.hindrance is None
        return self.hindrance

    def stop(self) -> None:
        self.on = False


def allowed(answer: Callable[[bool], None]) -> None:
    answer(True)


def refused(answer: Callable[[bool], None]) -> None:
    answer(False)


def test_a_search_tells_each_step_and_the_best_so_far() -> None:
    sky, told = Sky(), list[Search]()

    PhoneLocator(sky, allowed).look(told.append)
    sky.hear(FAR)
    sky.hear(NEAR)
    sky.hear(FAR)

    assert told == [Search(asking=True), Search(), Search(FAR), Search(NEAR), Search(NEAR)]
    assert sky.on


def test_a_good_fix_ends_the_search_and_the_listening() -> None:
    sky, told = Sky(), list[Search]()
    good = Fix(50.0, 8.0, 3.0)

    PhoneLocator(sky, allowed).look(told.append)
    sky.hear(FAR)
    sky.hear(good)
    sky.hear(FAR)

    assert told[-1] == Search(good, over=True)
    assert len(told) == 4
    assert not sky.on


def test_without_a_good_fix_the_best_of_many_counts() -> None:
    sky, told = Sky(), list[Search]()

    PhoneLocator(sky, allowed, most_fixes=3).look(told.append)
    for fix in (FAR, NEAR, FAR):
        sky.hear(fix)

    assert told[-1] == Search(NEAR, over=True)
    assert not sky.on


@pytest.mark.parametrize("hindrance", [Hindrance.OFF, Hindrance.NO_RECEIVER])
def test_what_hinders_a_fix_is_told(hindrance: Hindrance) -> None:
    told: list[Search] = []

    PhoneLocator(Sky(hindrance), allowed).look(told.append)

    assert told[-1] == Search(over=True, hindrance=hindrance)


def test_without_leave_nothing_listens() -> None:
    sky, told = Sky(), list[Search]()

    PhoneLocator(sky, refused).look(told.append)

    assert told[-1] == Search(over=True, hindrance=Hindrance.NOT_ALLOWED)
    assert not sky.on


def test_receivers_switched_off_on_the_way_end_the_search() -> None:
    sky, told = Sky(), list[Search]()
    PhoneLocator(sky, allowed).look(told.append)
    sky.hear(FAR)

    sky.off()

    assert told[-1] == Search(FAR, over=True, hindrance=Hindrance.OFF)
    assert not sky.on


def test_given_up_nobody_listens_and_nobody_is_told() -> None:
    sky, told = Sky(), list[Search]()
    locator = PhoneLocator(sky, allowed)
    locator.look(told.append)
    steps = len(told)

    locator.give_up()
    locator.give_up()
    sky.hear(NEAR)

    assert len(told) == steps
    assert not sky.on


def test_given_up_while_the_person_is_asked_nothing_listens() -> None:
    answers: list[Callable[[bool], None]] = []
    sky, told = Sky(), list[Search]()
    locator = PhoneLocator(sky, answers.append)
    locator.look(told.append)

    locator.give_up()
    answers[0](True)

    assert told == [Search(asking=True)]
    assert not sky.on


def test_a_new_search_ends_the_one_before() -> None:
    sky, first, second = Sky(), list[Search](), list[Search]()
    locator = PhoneLocator(sky, allowed)
    locator.look(first.append)
    steps, hear = len(first), sky.hear

    locator.look(second.append)
    hear(NEAR)
    sky.hear(FAR)

    assert len(first) == steps
    assert second[-1] == Search(FAR)


def test_a_desk_knows_one_place_or_none() -> None:
    told: list[Search] = []

    NoLocator().look(told.append)
    NoLocator(NEAR).look(told.append)

    assert told == [Search(over=True, hindrance=Hindrance.NO_RECEIVER), Search(NEAR, over=True)]


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

    def requestLocationUpdates(self, *asked: Any) -> None:  # noqa: N802 - Java's name
        self.listeners.append(asked)

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


def call(listener: Any, name: str, signature: str, *told: Any) -> None:
    """What Java does: it knows a method by its name and signature alone."""
    found = {
        vars(each)["java"]: each for each in vars(type(listener)).values() if "java" in getattr(each, "__dict__", ())
    }
    found[name, signature](listener, *told)


def location(accuracy_m: float, *, told: bool = True) -> Any:
    return SimpleNamespace(
        getLatitude=lambda: 50.0, getLongitude=lambda: 8.0, getAccuracy=lambda: accuracy_m, hasAccuracy=lambda: told
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


def test_android_is_asked_for_a_fix_a_second_on_its_main_thread_and_asked_no_more_afterwards(manager: Manager) -> None:
    receiver, _, _ = listening(manager)
    asked = [(name, every_ms, every_m, looper) for name, every_ms, every_m, _, looper in manager.listeners]

    receiver.stop()

    assert asked == [("gps", 1000, 0.0, "main looper"), ("fused", 1000, 0.0, "main looper")]
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
    call(listener, "onLocationChanged", "(Landroid/location/Location;)V", location(7, told=False))

    assert heard == []


def test_every_call_of_every_android_is_answered(manager: Manager) -> None:
    """A call without an answer would raise in Android's own thread."""
    listener = listener_class(fake_jnius(manager))(print, print)

    call(listener, "onStatusChanged", "(Ljava/lang/String;ILandroid/os/Bundle;)V", "gps", 2, None)
    call(listener, "onProviderEnabled", "(Ljava/lang/String;)V", "gps")
    call(listener, "onFlushComplete", "(I)V", 1)


def test_only_when_the_last_receiver_goes_off_is_it_told(manager: Manager) -> None:
    _, _, gone = listening(manager)
    listener = manager.listeners[0][3]

    manager.on = {"gps"}
    call(listener, "onProviderDisabled", "(Ljava/lang/String;)V", "fused")
    one_left = list(gone)
    manager.on = set()
    call(listener, "onProviderDisabled", "(Ljava/lang/String;)V", "gps")

    assert (one_left, gone) == ([], ["off"])


@pytest.mark.parametrize(
    ("there", "on", "hindrance"),
    [
        (["passive"], {"passive"}, Hindrance.NO_RECEIVER),
        (["passive", "gps"], {"passive"}, Hindrance.OFF),
        (["gps"], {"gps"}, None),
    ],
)
def test_a_phone_without_gps_or_with_location_switched_off_says_so(
    there: list[str], on: set[str], hindrance: Hindrance | None
) -> None:
    manager = Manager(there, on)

    assert android_receiver(fake_jnius(manager)).start(print, print) is hindrance
    assert len(manager.listeners) == (hindrance is None)


@pytest.mark.parametrize(
    ("has", "granted", "hindrance"),
    [
        (True, [], None),
        (False, [True, True], None),
        (False, [False, True], Hindrance.NOT_ALLOWED),
        (False, [], Hindrance.NOT_ALLOWED),
    ],
    ids=["has it", "grants it", "only about", "interrupted"],
)
def test_on_a_phone_the_person_is_asked_for_leave_once(
    manager: Manager, has: bool, granted: list[bool], hindrance: Hindrance | None
) -> None:
    """Granted only about, a fix would be off by a mile."""
    asked: list[list[str]] = []

    def request(wanted: list[str], answered: Callable[[Sequence[str], Sequence[bool]], None]) -> None:
        asked.append(wanted)
        answered(wanted, granted)

    ask = asking_for(["fine", "coarse"], lambda _: has, request)
    told: list[Search] = []

    PhoneLocator(android_receiver(fake_jnius(manager)), ask).look(told.append)

    assert told[-1].hindrance is hindrance
    assert bool(manager.listeners) == (hindrance is None)
    assert asked == ([] if has else [["fine", "coarse"]])
