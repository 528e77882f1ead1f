"""Links reach the app: the one that opened it, and those that are followed later."""

from collections.abc import Callable
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

from mobile.device.deep_links.android import AndroidDeepLinks
from mobile.device.deep_links.desk import DeskDeepLinks

LINK = "rowend://pair?at=https://10.0.0.7:8000&code=BCDFGHJK"


@dataclass
class Intent:
    """Android's message to an activity."""

    data: str | None = None
    flags: int = 0

    def getDataString(self) -> str | None:  # noqa: N802 - Android's name
        return self.data

    def getFlags(self) -> int:  # noqa: N802 - as above
        return self.flags


class Events:
    """python-for-android's module `android.activity`."""

    follow: Callable[[Any], None]

    def bind(self, on_new_intent: Callable[[Any], None]) -> None:
        self.follow = on_new_intent


def heard_on_a_phone(started_by: Intent, *later: Intent) -> list[str]:
    heard: list[str] = []
    events = Events()
    AndroidDeepLinks(SimpleNamespace(getIntent=lambda: started_by), events).listen(heard.append)
    for intent in later:
        events.follow(intent)
    return heard


def test_the_link_that_opened_the_app_is_heard() -> None:
    assert heard_on_a_phone(Intent(LINK)) == [LINK]


def test_an_app_that_was_opened_by_its_icon_hears_none() -> None:
    assert heard_on_a_phone(Intent()) == []


def test_a_link_that_is_followed_later_is_heard() -> None:
    assert heard_on_a_phone(Intent(), Intent(), Intent(LINK)) == [LINK]


def test_a_link_that_was_followed_long_ago_is_not_opened_again() -> None:
    """Opened from the list of recent apps, Android hands out the first intent once more."""
    assert heard_on_a_phone(Intent(LINK, flags=0x10000000 | 0x00100000)) == []


def test_a_desk_hears_the_link_it_was_started_with() -> None:
    heard: list[str] = []

    DeskDeepLinks().listen(heard.append)
    DeskDeepLinks(LINK).listen(heard.append)

    assert heard == [LINK]
