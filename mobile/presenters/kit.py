"""What every presenter has at hand, and how a tap that cannot be done is told."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any, Protocol

from mobile.handset import Parts, Pulse
from mobile.notebook import Notebook
from mobile.presenters.places import Place
from mobile.presenters.trouble import in_words
from mobile.rounds import News
from mobile.speech import Speech
from shared_models.errors import RowendError
from shared_models.reports.farm import FarmFacts, farm_facts
from shared_models.words import LengthUnits


class Post(Protocol):
    """Takes the log to the service and back, in its own time."""

    news: News

    def start(self) -> None:
        """Begin."""

    def end(self) -> None:
        """Go no more."""

    def nudge(self) -> None:
        """Go now, if there is anywhere to go."""

    def pair(self, server: str, code: str, name: str) -> None:
        """Join a farm's service, then go."""


class Ways(Protocol):
    """Ways through the app."""

    def go(self, place: Place, *, instead: bool = False, **asked: Any) -> None:
        """To a room; `instead` of the one that is open, so that the way back leads past it."""

    def back(self) -> None:
        """To the room before."""


@dataclass(slots=True)
class Kit:
    """What every presenter has at hand."""

    notebook: Notebook
    parts: Parts
    ways: Ways
    post: Post
    speech: Speech = field(default_factory=Speech)

    def tune(self) -> None:
        """Talk as this phone's person and the farm want it: after their settings, or the farm, have changed."""
        notebook, facts = self.notebook, self.facts()
        language, units = notebook.setting("language") or "en", notebook.setting("units") or facts.units
        self.speech = Speech(language, LengthUnits(units), facts.zone)

    def facts(self) -> FarmFacts:
        """The farm. Until its record is here, its clock is the phone's own."""
        with self.notebook.reading() as session:
            facts = farm_facts(session, self.notebook.farm)
        own: Any = self.notebook.now().at.astimezone().tzinfo
        return facts if facts.name else replace(facts, zone=own)

    def today(self) -> date:
        """The day it is, on the clock people here go by."""
        return self.speech.local(self.notebook.now().at).date()


class Presenter:
    """What a screen shows, as finished texts in `view`, and what a tap on it means.

    `read` looks in the notebook again; `view` only puts into words what was read, so it may be asked for often.
    """

    #: whether something in the view changes by itself, once a second
    runs = False
    #: whether coming here is a good moment to sync
    sync_here = False

    def __init__(self, kit: Kit) -> None:
        self.kit = kit
        self.trouble = ""

    @property
    def view(self) -> Any:
        """What the screen shows."""
        raise NotImplementedError

    def read(self) -> None:
        """Look in the notebook."""

    def row_key(self) -> Callable[[], None] | None:
        """What the hardware's row key does here; None where it does nothing."""
        return None

    def step_back(self) -> bool:
        """A step back within the room; False where the way back leads out of it."""
        return False

    def look_again(self) -> None:
        """Something changed elsewhere."""
        self._try(self.read)

    def attempt(self, action: Callable[..., None], *told: Any) -> None:
        """Do what a tap asks for. What cannot be done is felt, and told in `trouble` until the next tap."""
        self.trouble = ""
        if not self._try(lambda: action(*told)):
            self.kit.parts.buzzer.feel(Pulse.REFUSAL)
        self._try(self.read)

    def _try(self, step: Callable[[], None]) -> bool:
        try:
            step()
        except RowendError as problem:
            self.trouble = in_words(self.kit.speech, problem)
            return False
        return True
