"""The phone's app: which screen is open, navigation, when to sync. Nothing happens at import.

The first frame is drawn before the database, and all that needs it, is imported.
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
from typing_extensions import override

from mobile.device.hardware import Hardware
from mobile.device.hardware_keys.presses import KeyPresses
from mobile.presenters.base.routes import Route
from mobile.screens.base import theme
from mobile.screens.base.splash import SplashScreen
from shared_models.errors import StorageError

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
    hardware: Hardware,
    open_notebook: Callable[[], Notebook],
    make_sync: Callable[[Notebook, Callable[[SyncStatus], None]], Sync],
) -> RowendApp:
    """The app with its hardware. The notebook is opened, and sync is made, after the first frame."""
    return RowendApp(hardware, open_notebook, make_sync)


class RowendApp(App):
    """Shows one screen at a time, without transitions."""

    title = "Rowend"
    _context: AppContext
    _sync: Sync

    def __init__(
        self,
        hardware: Hardware,
        open_notebook: Callable[[], Notebook],
        make_sync: Callable[[Notebook, Callable[[SyncStatus], None]], Sync],
    ) -> None:
        super().__init__()
        self._hardware, self._open_notebook, self._make_sync = hardware, open_notebook, make_sync
        self._trail: list[tuple[Route, dict[str, Any]]] = []
        self._keys = KeyPresses(Clock.schedule_once)
        self._begun = False
        self.screen: Any = None

    # from the first frame to the first screen

    @override
    def build(self) -> RelativeLayout:
        """Make the splash; the rest follows once it is drawn."""
        from kivy.core.window import Window  # noqa: PLC0415 - importing it opens the window

        if Window.width >= dp(TABLET_DP):
            Metrics.fontscale *= TABLET_TEXT
        theme.use_light("sun")  # for the splash
        Window.bind(on_flip=self._on_first_frame, on_key_down=self._key_down, on_key_up=self._key_up)
        frame = RelativeLayout()
        self.screen = SplashScreen()
        self.screen.bind(on_retry=lambda _: self._open())
        frame.add_widget(self.screen)
        return frame

    def _on_first_frame(self, window: Any) -> None:
        window.unbind(on_flip=self._on_first_frame)
        Clock.schedule_once(lambda _: self._open())

    def _open(self) -> None:
        notebook = None
        try:
            notebook = self._open_notebook()
            self._begin(notebook)
        except StorageError as problem:
            language = (notebook and notebook.setting("language")) or self._hardware.language()
            if notebook is not None:
                notebook.close()
            self._show_trouble(problem, language)

    def _show_trouble(self, problem: StorageError, language: str) -> None:
        from mobile.i18n.localizer import Localizer  # noqa: PLC0415 - draw first, import after
        from mobile.presenters.base.error_messages import in_words  # noqa: PLC0415 - as above

        localizer = Localizer(language)
        self.screen.show_trouble(in_words(localizer, problem), localizer.t("Try again"))

    def _begin(self, notebook: Notebook) -> None:
        from mobile.presenters.base.presenter import AppContext  # noqa: PLC0415 - draw first, import after
        from mobile.presenters.row.row import opening  # noqa: PLC0415 - as above

        self._sync = self._make_sync(notebook, self._on_status)
        self._context = AppContext(notebook, self._hardware, self, self._sync)
        self._context.tune()
        self._trail = [(Route.TODAY, {})]
        route, planting = opening(self._context)
        self.go(route, **planting)
        self._begun = True
        self._sync.start()
        self._sync.wake()
        self._hardware.speaker.prepare()
        self._hardware.deep_links.listen(lambda link: self.soon(lambda: self._open_link(link)))

    # navigation

    def go(self, route: Route, *, instead: bool = False, **args: Any) -> None:
        """Open a screen, `instead` of the current one, so that Back skips that. Today clears the history."""
        screen = self._make_screen(route, args)
        kept = [] if route is Route.TODAY else self._trail[: -1 if instead else None]
        self._trail = [*kept, (route, args)]
        self._show(screen)

    def back(self) -> None:
        screen = self._make_screen(*self._trail[-2])
        self._trail.pop()
        self._show(screen)

    def _make_screen(self, route: Route, args: dict[str, Any]) -> Any:
        from mobile.screens.routes import ROUTES  # noqa: PLC0415 - draw first, import after

        theme.use_light(self._context.preference("light"))
        presenter, screen = ROUTES[route]
        return screen(presenter(self._context, **args))

    def _open_link(self, link: str) -> None:
        """Show a pairing link and ask; while pairing, in place of the older one."""
        self.go(Route.PAIR, instead=self._trail[-1][0] is Route.PAIR, link=link)

    def _show(self, screen: Any) -> None:
        self._keys.disarm()
        self._hardware.keys.capture(on=screen.presenter.row_key() is not None)
        self.screen.leave()
        self.root.remove_widget(self.screen)
        self.root.add_widget(screen)
        self.screen = screen
        if screen.presenter.sync_here:
            self._sync.wake()

    # keys

    def _key_down(self, _window: object, key: int, *_: object) -> bool:
        if key == BACK and len(self._trail) > 1:
            if not self.screen.step_back():
                self.screen.do(self.back)
            return True
        if key not in ROW_KEYS or not self._begun:
            return False
        screen = self.screen
        short, long = screen.presenter.row_key(), screen.presenter.long_key()
        if short is None:
            return False
        self._keys.down(key, partial(screen.do, short), None if long is None else partial(screen.do, long))
        return True

    def _key_up(self, _window: object, key: int, *_: object) -> None:
        self._keys.up(key)

    # calls from other threads

    def soon(self, step: Callable[[], None]) -> None:
        """Run a step in the app's own thread, then reload the screen."""
        Clock.schedule_once(lambda _: self._do_soon(step))

    def _do_soon(self, step: Callable[[], None]) -> None:
        if self._begun:
            step()
            self.screen.reload()

    def _on_status(self, status: SyncStatus) -> None:
        """Take the sync thread's status."""
        Clock.schedule_once(lambda _: self._show_status(status))

    def _show_status(self, status: SyncStatus) -> None:
        if not self._begun:
            return
        with suppress(StorageError):  # the next tap shows the disk's trouble; no entry is lost with this
            if status.success and not status.under_way:
                self._context.notebook.change_settings(last_sync=status.success.isoformat())
                self._context.tune()
        self.screen.reload()

    # pause, resume, stop

    @override
    def on_pause(self) -> bool:
        """Let Android pause the app; everything is on the disk already."""
        self._keys.reset()
        if self._begun:
            self.screen.presenter.pause()
        return True

    @override
    def on_resume(self) -> None:
        """Reload, since entries and time zone may have changed; sync, since there may be a network."""
        if self._begun:
            with suppress(StorageError):  # the screen shows what cannot be read now
                self._context.tune()
            self.screen.reload()
            self._sync.wake()

    @override
    def on_stop(self) -> None:
        if self._begun:
            self._begun = False
            self.screen.leave()
            self._sync.end()
            self._context.notebook.close()
