"""Test doubles of the app context: quiet hardware, a sync that goes nowhere, navigation that is only recorded."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from mobile.demo.fake_phone import FakePhone
from mobile.device.haptics.desk import DeskBuzzer
from mobile.device.haptics.protocol import Haptic
from mobile.device.hardware import Hardware
from mobile.device.keep_awake.desk import DeskKeepAwake
from mobile.device.speaker.desk import NullSpeaker
from mobile.device.tts.desk import DeskTTS
from mobile.presenters.base.presenter import AppContext
from mobile.presenters.base.routes import Route
from mobile.sync.scheduler import SyncStatus
from shared_models.sync.pairing_link import PairingLink


@dataclass
class QuietSync:
    """Stands in for the sync scheduler; goes nowhere."""

    status: SyncStatus = field(default_factory=SyncStatus)
    wakes: int = 0
    pairings: list[tuple[PairingLink, str]] = field(default_factory=list)

    def start(self) -> None:
        """Nothing to start."""

    def end(self) -> None:
        """Nothing to end."""

    def wake(self) -> None:
        self.wakes += 1

    def pair(self, link: PairingLink, name: str) -> None:
        self.pairings.append((link, name))


@dataclass
class QuietNavigator:
    """Records where a presenter went; "back" is the Back button."""

    went: list[tuple[str, dict[str, Any]]] = field(default_factory=list)

    def go(self, route: Route, *, instead: bool = False, **args: Any) -> None:  # noqa: ARG002 - the app's own matter
        self.went.append((route.value, args))

    def back(self) -> None:
        self.went.append(("back", {}))

    def soon(self, step: Callable[[], None]) -> None:
        step()

    @property
    def last(self) -> str:
        return self.went[-1][0]


def hardware_of(phone: FakePhone) -> Hardware:
    return Hardware(clock=phone.clock, language=lambda: "en")


class QuietContext(AppContext):
    """The app context of a fake phone; it records vibrations and navigation."""

    navigator: QuietNavigator
    sync: QuietSync

    def __init__(self, phone: FakePhone) -> None:
        self.buzzer, self.screen = DeskBuzzer(), DeskKeepAwake()
        self.speaker, self.tts = NullSpeaker(), DeskTTS()
        hardware = Hardware(
            phone.clock, self.buzzer, self.screen, speaker=self.speaker, tts=self.tts, language=lambda: "en"
        )
        super().__init__(phone.notebook, hardware, QuietNavigator(), QuietSync())
        self.tune()

    @property
    def haptics(self) -> list[Haptic]:
        return self.buzzer.played
