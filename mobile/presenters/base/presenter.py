"""Presenters, the context they share, and how a tap that fails is reported."""

import logging
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any, Protocol

from mobile.device.haptics.protocol import Haptic
from mobile.device.hardware import Hardware
from mobile.i18n.localizer import Localizer
from mobile.log.notebook import Notebook
from mobile.presenters.base.error_messages import in_words
from mobile.presenters.base.routes import Route
from mobile.sync.bundles import Bundles
from mobile.sync.scheduler import SyncStatus
from shared_models.core.vocabulary import LengthUnits
from shared_models.errors import RowendError
from shared_models.reports.common.farm import FarmFacts, farm_facts
from shared_models.sync.pairing_link import PairingLink

log = logging.getLogger(__name__)

#: defaults of how this phone answers a tap, and of its screen colors
USUAL = {"vibration": "on", "sound": "on", "voice": "off", "light": "sun"}


class Sync(Protocol):
    """Syncs the log with the service in the background."""

    status: SyncStatus

    def start(self) -> None:
        """Start syncing in the background."""

    def end(self) -> None:
        """Stop syncing."""

    def wake(self) -> None:
        """Sync now, if this phone is paired."""

    def pair(self, link: PairingLink, name: str) -> None:
        """Pair with a farm's service, then sync."""


class Navigator(Protocol):
    """Navigation between screens."""

    def go(self, route: Route, *, instead: bool = False, **args: Any) -> None:
        """Open a screen; `instead` of the current one, so that Back skips that."""

    def back(self) -> None:
        """Open the screen before."""

    def soon(self, step: Callable[[], None]) -> None:
        """Run a step in the app's own thread, then reload: for a result from another thread."""


@dataclass(slots=True)
class AppContext:
    """What every presenter needs: the notebook, the hardware, navigation, sync, the language."""

    notebook: Notebook
    hardware: Hardware
    navigator: Navigator
    sync: Sync
    localizer: Localizer = field(default_factory=Localizer)
    bundles: Bundles = field(init=False)

    def __post_init__(self) -> None:
        self.bundles = Bundles(self.notebook, self.hardware.sharer, self.navigator.soon, self.tune)

    def preference(self, name: str) -> str:
        """A setting of `USUAL`, or its default."""
        return self.notebook.setting(name) or USUAL[name]

    def feedback(self, haptic: Haptic, words: str = "") -> None:
        """Confirm a tap by vibration, sound and spoken `words`, as far as the phone's settings want each.

        The tap is done by then: a part that fails is logged, and nothing is undone.
        """
        hardware, language = self.hardware, self.localizer.language
        outputs: dict[str, Callable[[], None]] = {
            "vibration": lambda: hardware.buzzer.buzz(haptic),
            "sound": lambda: hardware.speaker.play(haptic),
            "voice": lambda: hardware.tts.speak(words, language) if words else None,
        }
        for name, run in outputs.items():
            try:
                if self.preference(name) == "on":
                    run()
            except Exception:
                log.exception("no %s for %s", name, haptic.name)

    def tune(self) -> None:
        """Apply language (until one is chosen, the system's), units and time zone, after any of them changed."""
        notebook, facts = self.notebook, self.facts()
        language, units = notebook.setting("language"), notebook.setting("units") or facts.units
        self.localizer = Localizer(language or self.hardware.language(), LengthUnits(units), facts.zone)

    def facts(self) -> FarmFacts:
        """The farm's settings; until its record has arrived, in the phone's own time zone."""
        with self.notebook.reading() as session:
            facts = farm_facts(session, self.notebook.farm)
        own: Any = self.notebook.now().at.astimezone().tzinfo
        return facts if facts.name else replace(facts, zone=own)

    def today(self) -> date:
        return self.localizer.local(self.notebook.now().at).date()


class Presenter:
    """The finished texts of a screen (`view`) and the actions of its taps.

    `read` reads the notebook; `view` only formats what was read, so it may be called often.
    """

    #: whether something in the view changes by itself, once a second
    ticks = False
    #: whether coming here is a good moment to sync
    sync_here = False

    def __init__(self, context: AppContext) -> None:
        self.context = context
        self.trouble = ""

    @property
    def localizer(self) -> Localizer:
        return self.context.localizer

    @property
    def t(self) -> Callable[..., str]:
        return self.context.localizer.t

    @property
    def view(self) -> Any:
        raise NotImplementedError

    def read(self) -> None:
        """Read the notebook."""

    def after_tap(self) -> None:
        """Prepare to show what a tap did: read again, unless the tap itself returned what to show."""
        self.read()

    def row_key(self) -> Callable[[], None] | None:
        """The action of the hardware's row key; None where it has none."""
        return None

    def long_key(self) -> Callable[[], None] | None:
        """The action of holding that key."""
        return None

    def step_back(self) -> bool:
        """Go a step back within the screen; False where Back leaves it."""
        return False

    def back(self) -> None:
        """Leave by the Back button."""
        self.context.navigator.back()

    def leave(self) -> None:
        """Stop what runs: the screen is taken away."""

    def pause(self) -> None:
        """The phone was put away, or something else covers the app."""

    def reload(self) -> None:
        """Read again, since something changed elsewhere."""
        self._try(self.read)

    def attempt(self, action: Callable[..., None], *args: Any) -> None:
        """Run the action of a tap. A failure is felt, and stays in `trouble` until the next tap."""
        self.trouble = ""
        if self._try(lambda: action(*args)):
            self._try(self.after_tap)
        else:
            self.context.feedback(Haptic.REFUSAL, self.trouble)
            self._try(self.read)

    def _try(self, step: Callable[[], None]) -> bool:
        try:
            step()
        except RowendError as problem:
            self.trouble = in_words(self.context.localizer, problem)
            return False
        return True
