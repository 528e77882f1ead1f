"""What every presenter has at hand, and how a tap that cannot be done is told."""

from __future__ import annotations

import logging
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any, Protocol

from mobile.device.haptics.protocol import Haptic
from mobile.device.parts import Parts
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

#: how this phone answers a tap, and for which light it is dressed, until its person says otherwise
USUAL = {"vibration": "on", "sound": "on", "voice": "off", "light": "sun"}


class Sync(Protocol):
    """Takes the log to the service and back, in its own time."""

    status: SyncStatus

    def start(self) -> None:
        """Begin."""

    def end(self) -> None:
        """Go no more."""

    def wake(self) -> None:
        """Go now, if there is anywhere to go."""

    def pair(self, link: PairingLink, name: str) -> None:
        """Join a farm's service, then go."""


class Navigator(Protocol):
    """Ways through the app."""

    def go(self, route: Route, *, instead: bool = False, **args: Any) -> None:
        """To a room; `instead` of the one that is open, so that the way back leads past it."""

    def back(self) -> None:
        """To the room before."""

    def soon(self, step: Callable[[], None]) -> None:
        """Do this in the app's own thread, then look again: for what another thread tells."""


@dataclass(slots=True)
class AppContext:
    """What every presenter has at hand."""

    notebook: Notebook
    parts: Parts
    navigator: Navigator
    sync: Sync
    localizer: Localizer = field(default_factory=Localizer)
    bundles: Bundles = field(init=False)

    def __post_init__(self) -> None:
        self.bundles = Bundles(self.notebook, self.parts.sharer, self.navigator.soon, self.tune)

    def wish(self, name: str) -> str:
        """One of the person's wishes for this phone."""
        return self.notebook.setting(name) or USUAL[name]

    def feel(self, haptic: Haptic, said: str = "") -> None:
        """Tell what a tap did to the hand and the ear, and in words what was `said`, as this phone's person wants it.

        The tap is done by then: a part that fails is written down, and nothing is taken back for it.
        """
        parts, language = self.parts, self.localizer.language
        told: dict[str, Callable[[], None]] = {
            "vibration": lambda: parts.buzzer.feel(haptic),
            "sound": lambda: parts.speaker.play(haptic),
            "voice": lambda: parts.tts.speak(said, language) if said else None,
        }
        for name, tell in told.items():
            try:
                if self.wish(name) == "on":
                    tell()
            except Exception:
                log.exception("no %s for %s", name, haptic.name)

    def tune(self) -> None:
        """Talk as this phone's person and the farm want it: after their settings, or the farm, have changed."""
        notebook, facts = self.notebook, self.facts()
        language, units = notebook.setting("language") or "en", notebook.setting("units") or facts.units
        self.localizer = Localizer(language, LengthUnits(units), facts.zone)

    def facts(self) -> FarmFacts:
        """The farm. Until its record is here, its clock is the phone's own."""
        with self.notebook.reading() as session:
            facts = farm_facts(session, self.notebook.farm)
        own: Any = self.notebook.now().at.astimezone().tzinfo
        return facts if facts.name else replace(facts, zone=own)

    def today(self) -> date:
        return self.localizer.local(self.notebook.now().at).date()


class Presenter:
    """What a screen shows, as finished texts in `view`, and what a tap on it means.

    `read` looks in the notebook again; `view` only puts into words what was read, so it may be asked for often.
    """

    #: whether something in the view changes by itself, once a second
    runs = False
    #: whether coming here is a good moment to sync
    sync_here = False

    def __init__(self, context: AppContext) -> None:
        self.context = context
        self.trouble = ""

    @property
    def view(self) -> Any:
        raise NotImplementedError

    def read(self) -> None:
        """Look in the notebook."""

    def after_tap(self) -> None:
        """Get ready to show what a tap did: look again, unless the tap itself gave what is to be shown."""
        self.read()

    def row_key(self) -> Callable[[], None] | None:
        """What the hardware's row key does here; None where it does nothing."""
        return None

    def long_key(self) -> Callable[[], None] | None:
        """What it does when it is held; None where it does nothing."""
        return None

    def step_back(self) -> bool:
        """A step back within the room; False where the way back leads out of it."""
        return False

    def leave(self) -> None:
        """The room is left: nothing may go on running for it."""

    def put_down(self) -> None:
        """The phone is put away, or something else lies over the app."""

    def look_again(self) -> None:
        """Something changed elsewhere."""
        self._try(self.read)

    def attempt(self, action: Callable[..., None], *args: Any) -> None:
        """Do what a tap asks for. What cannot be done is felt, and told in `trouble` until the next tap."""
        self.trouble = ""
        if self._try(lambda: action(*args)):
            self._try(self.after_tap)
        else:
            self.context.feel(Haptic.REFUSAL, self.trouble)
            self._try(self.read)

    def _try(self, step: Callable[[], None]) -> bool:
        try:
            step()
        except RowendError as problem:
            self.trouble = in_words(self.context.localizer, problem)
            return False
        return True
