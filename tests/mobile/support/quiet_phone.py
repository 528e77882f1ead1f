"""What a hand holds in the tests: a phone's quiet parts, a post that goes nowhere, ways that are only remembered."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from mobile.demo.fake_phone import PretendPhone
from mobile.device.haptics import Haptic
from mobile.device.location import NoLocator
from mobile.device.parts import Parts, QuietAwake, QuietBuzzer
from mobile.device.speaker import QuietSpeaker
from mobile.device.tts import QuietVoice
from mobile.presenters.base.presenter import AppContext
from mobile.presenters.base.routes import Route
from mobile.sync.scheduler import SyncStatus
from shared_models.core.moments import Moment
from shared_models.sync.pairing_link import PairingLink


@dataclass
class QuietSync:
    """Stands where the rounds do; goes nowhere."""

    news: SyncStatus = field(default_factory=SyncStatus)
    nudges: int = 0
    pairings: list[tuple[PairingLink, str]] = field(default_factory=list)

    def start(self) -> None:
        """Nothing to start."""

    def end(self) -> None:
        """Nothing to end."""

    def wake(self) -> None:
        self.nudges += 1

    def pair(self, link: PairingLink, name: str) -> None:
        self.pairings.append((link, name))


@dataclass
class QuietNavigator:
    """Remembers where a presenter wanted to go; "back" is the way back."""

    went: list[tuple[str, dict[str, Any]]] = field(default_factory=list)

    def go(self, place: Route, *, instead: bool = False, **asked: Any) -> None:  # noqa: ARG002 - the app's own matter
        self.went.append((place.value, asked))

    def back(self) -> None:
        self.went.append(("back", {}))

    def soon(self, step: Callable[[], None]) -> None:
        step()

    @property
    def last(self) -> str:
        return self.went[-1][0]


@dataclass
class PhoneClock:
    """The pretend phone's clock as one of its parts."""

    phone: PretendPhone

    def moment(self) -> Moment:
        return self.phone.clock()


def parts_of(phone: PretendPhone) -> Parts:
    return Parts(QuietBuzzer(), QuietAwake(), NoLocator(), PhoneClock(phone))


class QuietContext(AppContext):
    """A kit on a pretend phone that remembers what was felt and where the way led."""

    navigator: QuietNavigator
    sync: QuietSync

    def __init__(self, phone: PretendPhone) -> None:
        self.buzzer, self.screen = QuietBuzzer(), QuietAwake()
        self.speaker, self.voice = QuietSpeaker(), QuietVoice()
        clock = PhoneClock(phone)
        parts = Parts(self.buzzer, self.screen, NoLocator(), clock, speaker=self.speaker, voice=self.voice)
        super().__init__(phone.notebook, parts, QuietNavigator(), QuietSync())
        self.tune()

    @property
    def felt(self) -> list[Haptic]:
        return self.buzzer.felt
