"""The phone's app: which room is open, the ways between rooms, when to sync. Nothing happens at import.

The first frame is drawn before the database, and all that knows it, is imported.
"""
# mypy: disallow-subclassing-any=False
# (Kivy ships no types)

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from functools import partial
from typing import TYPE_CHECKING, Any

from kivy.app import App
from kivy.clock import Clock
from kivy.metrics import Metrics, dp
from kivy.uix.relativelayout import RelativeLayout

from mobile.device.hardware_keys.presses import KeyPresses
from mobile.device.parts import Parts
from mobile.presenters.base.routes import Route
from mobile.screens.base import theme
from mobile.screens.base.splash import Opening
from shared_models.errors import StoreTrouble

if TYPE_CHECKING:
    from mobile.log.notebook import Notebook
    from mobile.presenters.base.presenter import AppContext, Sync
    from mobile.sync.scheduler import SyncStatus

#: a tablet lies farther from the eye than a phone in the hand
TABLET_DP, TABLET_TEXT = 600, 1.4
BACK = 27
#: space, enter, enter on the number pad; volume up and down, play/pause and stop of a phone, headset or remote (SDL)
ROW_KEYS = frozenset({32, 13, 271, 0x40000080, 0x40000081, 0x40000105, 0x40000078})


def build_app(
    parts: Parts,
    open_notebook: Callable[[], Notebook],
    make_post: Callable[[Notebook, Callable[[SyncStatus], None]], Sync],
) -> RowendApp:
    """The app with its parts. The notebook is opened, and the post is made, after the first frame."""
    return RowendApp(parts, open_notebook, make_post)


class RowendApp(App):
    """One room at a time; nothing slides or fades."""

    title = "Rowend"
    _context: AppContext
    _post: Sync

    def __init__(
        self,
        parts: Parts,
        open_notebook: Callable[[], Notebook],
        make_post: Callable[[Notebook, Callable[[SyncStatus], None]], Sync],
    ) -> None:
        super().__init__()
        self._parts, self._open_notebook, self._make_post = parts, open_notebook, make_post
        self._trail: list[tuple[Route, dict[str, Any]]] = []
        self._keys = KeyPresses(Clock.schedule_once)
        self._begun = False
        self.room: Any = None

    # from the first frame to the first room

    def build(self) -> RelativeLayout:
        """A page with the app's name; the rest follows once it is on the glass."""
        from kivy.core.window import Window  # noqa: PLC0415 - importing it opens the window

        if Window.width >= dp(TABLET_DP):
            Metrics.fontscale *= TABLET_TEXT
        theme.wear("sun")  # the paper of the splash
        Window.bind(on_flip=self._drawn, on_key_down=self._key_down, on_key_up=self._key_up)
        frame = RelativeLayout()
        self.room = Opening()
        self.room.bind(on_retry=lambda _: self._open())
        frame.add_widget(self.room)
        return frame

    def _drawn(self, window: Any) -> None:
        window.unbind(on_flip=self._drawn)
        Clock.schedule_once(lambda _: self._open())

    def _open(self) -> None:
        notebook = None
        try:
            notebook = self._open_notebook()
            self._begin(notebook)
        except StoreTrouble as problem:
            if notebook is not None:
                notebook.close()
            self.room.tell(str(problem))

    def _begin(self, notebook: Notebook) -> None:
        from mobile.presenters.base.presenter import AppContext  # noqa: PLC0415 - draw first, import after
        from mobile.presenters.row.row import opening  # noqa: PLC0415 - as above

        self._post = self._make_post(notebook, self._tell)
        self._context = AppContext(notebook, self._parts, self, self._post)
        self._context.tune()
        self._trail = [(Route.TODAY, {})]
        place, planting = opening(self._context)
        self.go(place, **planting)
        self._begun = True
        self._post.start()
        self._post.wake()
        self._parts.speaker.prepare()
        self._parts.deep_links.listen(lambda link: self.soon(lambda: self._follow(link)))

    # ways

    def go(self, place: Route, *, instead: bool = False, **asked: Any) -> None:
        """To a room; `instead` of the one that is open, so that the way back leads past it. Today ends every way."""
        room = self._enter(place, asked)
        kept = [] if place is Route.TODAY else self._trail[: -1 if instead else None]
        self._trail = [*kept, (place, asked)]
        self._show(room)

    def back(self) -> None:
        """To the room before, as it is now."""
        room = self._enter(*self._trail[-2])
        self._trail.pop()
        self._show(room)

    def _enter(self, place: Route, asked: dict[str, Any]) -> Any:
        from mobile.screens.routes import ROUTES  # noqa: PLC0415 - draw first, import after

        theme.wear(self._context.wish("light"))
        presenter, room = ROUTES[place]
        return room(presenter(self._context, **asked))

    def _follow(self, link: str) -> None:
        """A pairing link: show it, and ask. Whoever pairs already sees the newer one."""
        self.go(Route.PAIR, instead=self._trail[-1][0] is Route.PAIR, link=link)

    def _show(self, room: Any) -> None:
        self._keys.disarm()
        self._parts.keys.capture(on=room.presenter.row_key() is not None)
        self.room.leave()
        self.root.remove_widget(self.room)
        self.root.add_widget(room)
        self.room = room
        if room.presenter.sync_here:
            self._post.wake()

    # keys

    def _key_down(self, _window: object, key: int, *_: object) -> bool:
        if key == BACK and len(self._trail) > 1:
            if not self.room.step_back():
                self.room.do(self.back)
            return True
        if key not in ROW_KEYS or not self._begun:
            return False
        room = self.room
        short, long = room.presenter.row_key(), room.presenter.long_key()
        if short is None:
            return False
        self._keys.down(key, partial(room.do, short), None if long is None else partial(room.do, long))
        return True

    def _key_up(self, _window: object, key: int, *_: object) -> None:
        self._keys.up(key)

    # what other threads tell

    def soon(self, step: Callable[[], None]) -> None:
        """Do this in the app's own thread, and show how things are then."""
        Clock.schedule_once(lambda _: self._do_soon(step))

    def _do_soon(self, step: Callable[[], None]) -> None:
        if self._begun:
            step()
            self.room.look_again()

    # the courier's news, told in its own thread

    def _tell(self, news: SyncStatus) -> None:
        Clock.schedule_once(lambda _: self._hear(news))

    def _hear(self, news: SyncStatus) -> None:
        if not self._begun:
            return
        with suppress(StoreTrouble):  # of the disk's trouble the next tap tells; no entry is lost with this
            if news.success and not news.under_way:
                self._context.notebook.change_settings(last_sync=news.success.isoformat())
                self._context.tune()
        self.room.look_again()

    # the phone's life

    def on_pause(self) -> bool:
        """A call, or another app: everything is on the disk already."""
        self._keys.reset()
        if self._begun:
            self.room.presenter.put_down()
        return True

    def on_resume(self) -> None:
        """Back in the hand: things may have changed, the time zone too, and there may be a network."""
        if self._begun:
            with suppress(StoreTrouble):  # what cannot be read now is told by the room
                self._context.tune()
            self.room.look_again()
            self._post.wake()

    def on_stop(self) -> None:
        """The app is closed."""
        if self._begun:
            self._begun = False
            self.room.leave()
            self._post.end()
            self._context.notebook.close()
