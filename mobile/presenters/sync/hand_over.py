"""Handing over: what only this phone holds, how the last round went, pairing."""

from __future__ import annotations

from dataclasses import dataclass

from mobile.presenters.base.presenter import Kit, Presenter
from mobile.presenters.base.routes import Place
from mobile.presenters.sync.status import Held, failure, held, last_success, progress


@dataclass(frozen=True, slots=True)
class HandOverView:
    """The state of handing over, and three things to do about it."""

    title: str
    held: Held
    service: str
    last: str
    progress: str
    failure: str
    sync: str
    can_sync: bool
    pair: str
    bundle: str
    back: str


class HandOverPresenter(Presenter):
    """Shows what the rounds do, and sends them on their way."""

    sync_here = True

    def __init__(self, kit: Kit) -> None:
        super().__init__(kit)
        self.read()

    def read(self) -> None:
        """Count what is only here."""
        self._held = held(self.kit)

    def sync(self) -> None:
        """Now."""
        self.kit.post.nudge()

    def pair(self) -> None:
        """With a code from the office."""
        self.kit.ways.go(Place.PAIR)

    def bundle(self) -> None:
        """As a file, where there is no network."""
        self.kit.ways.go(Place.BUNDLE)

    def back(self) -> None:
        """To the room before."""
        self.kit.ways.back()

    def _service(self, server: str) -> str:
        """Where it is, as people type it; what stands before that makes the line too long to read."""
        return self.kit.speech.say("Service: {address}", address=server.partition("://")[2] or server)

    @property
    def view(self) -> HandOverView:
        """How handing over stands, in words."""
        say, server = self.kit.speech.say, self.kit.notebook.setting("server")
        paired = server is not None
        return HandOverView(
            title=say("Hand over"),
            held=self._held,
            service=self._service(server) if paired else say("This phone is not paired yet."),
            last=last_success(self.kit),
            progress=progress(self.kit),
            failure=failure(self.kit),
            sync=say("Sync now"),
            can_sync=paired and not self.kit.post.news.under_way,
            pair=say("Pair again") if paired else say("Pair this phone"),
            bundle=say("By file, without a network"),
            back=say("Back"),
        )
