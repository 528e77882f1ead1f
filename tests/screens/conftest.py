"""`run_app` runs an app behind a glass of a chosen size, on a display that needs no screen."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any, Protocol

import pytest

from tests.fixtures.display import virtual_display

if TYPE_CHECKING:
    from tests.screens.harness.probe import Probe
    from tests.screens.harness.window import Glass


class RunApp(Protocol):
    """`run_app(make_app, glass)`: start an app; starting another (or the same again) ends the one before."""

    def __call__(self, make_app: Callable[[], Any], glass: Glass | None = None) -> Probe: ...


@pytest.fixture(scope="session")
def display() -> Iterator[None]:
    """One display for all screens of this test process."""
    with virtual_display() as name, pytest.MonkeyPatch.context() as providers:
        providers.setenv("DISPLAY", name)
        providers.setenv("SDL_VIDEODRIVER", "x11")
        yield
        from kivy.base import EventLoop  # noqa: PLC0415 - Kivy reads its surroundings when it is first imported

        EventLoop.exit()


@pytest.fixture
def run_app(display: None) -> Iterator[RunApp]:  # noqa: ARG001 - it only has to be there
    """Run apps, one at a time; nothing of them is left after the test."""
    from tests.screens.harness.probe import running  # noqa: PLC0415 - as above
    from tests.screens.harness.window import SMALL  # noqa: PLC0415 - as above

    with contextlib.ExitStack() as now:

        def start(make_app: Callable[[], Any], glass: Glass | None = None) -> Probe:
            now.close()
            return now.enter_context(running(make_app, glass or SMALL))

        yield start
