"""The phone's program: chooses the real parts and starts.

Kivy is set up, and the first frame drawn, before the database is imported; so the imports stand in the functions.
"""

from __future__ import annotations

import argparse
import os
import random
import secrets
import sys
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from mobile.device.deep_links.desk import DeskDeepLinks
from mobile.device.parts import Parts, choose_parts

if TYPE_CHECKING:
    from mobile.app import RowendApp
    from mobile.log.notebook import Notebook
    from mobile.sync.client import Progress, SyncClient
    from mobile.sync.scheduler import SyncScheduler, SyncStatus

DESK_WINDOW = (412, 915)


def main(arguments: list[str] | None = None) -> int:
    """Run the app until its window is closed; the exit status of the program."""
    parser = argparse.ArgumentParser(prog="rowend-phone", description="Log paper-chain planting, row by row.")
    parser.add_argument("--data", type=Path, help="folder of the notebook; without it, the app's own folder")
    parser.add_argument("--link", help="a pairing link to follow, as rowend pair prints it")
    options = parser.parse_args(arguments)
    os.environ["KIVY_NO_ARGS"] = "1"
    parts = choose_parts() if options.link is None else replace(choose_parts(), deep_links=DeskDeepLinks(options.link))
    phone_app(parts, options.data).run()
    return 0


def phone_app(parts: Parts, folder: Path | None) -> RowendApp:
    """The app on this machine, with its notebook in a folder."""
    if hasattr(sys, "getandroidapilevel"):
        from jnius import autoclass  # noqa: PLC0415 - only a phone has it

        os.environ.update(measures_of_the_glass(autoclass))

    from kivy.config import Config  # noqa: PLC0415 - Kivy reads its surroundings when it is first imported

    if not hasattr(sys, "getandroidapilevel"):
        width, height = DESK_WINDOW
        Config.set("graphics", "width", width)
        Config.set("graphics", "height", height)
        Config.set("input", "mouse", "mouse,disable_multitouch")

    from mobile.app import build_app  # noqa: PLC0415 - as above

    def make_rounds(notebook: Notebook, tell: Callable[[SyncStatus], None]) -> SyncScheduler:
        return _make_rounds(parts, notebook, tell)

    app = build_app(parts, lambda: _open_notebook(parts, folder or Path(app.user_data_dir)), make_rounds)
    app.bind(on_start=lambda _: _rest_when_untouched())
    return app


def _rest_when_untouched() -> None:
    from kivy.clock import Clock  # noqa: PLC0415 - Kivy reads its surroundings when it is first imported
    from kivy.core.window import Window  # noqa: PLC0415 - importing it opens the window

    from mobile.device.idle import IdleThrottle  # noqa: PLC0415 - as above

    IdleThrottle(Clock, Window)


def measures_of_the_glass(autoclass: Callable[[str], Any]) -> dict[str, str]:
    """What Kivy is to take for the density of an Android phone's glass, and for its person's text size.

    Left to itself, Kivy 2.3.1 counts the text size twice (kivy/metrics.py): its density is Android's `scaledDensity`,
    which has it in it, and it multiplies sp by it once more.
    """
    resources = autoclass("org.kivy.android.PythonActivity").mActivity.getResources()
    return {
        "KIVY_METRICS_DENSITY": str(resources.getDisplayMetrics().density),
        "KIVY_METRICS_FONTSCALE": str(resources.getConfiguration().fontScale),
    }


def _open_notebook(parts: Parts, folder: Path) -> Notebook:
    from mobile.log.notebook import Notebook  # noqa: PLC0415 - draw first, import after

    return Notebook(folder, now=parts.clock, random_bits=lambda: secrets.randbits(80))


def _make_rounds(parts: Parts, notebook: Notebook, tell: Callable[[SyncStatus], None]) -> SyncScheduler:
    import requests  # noqa: PLC0415 - draw first, import after

    from mobile.sync.client import SyncClient  # noqa: PLC0415 - as above
    from mobile.sync.scheduler import SyncScheduler  # noqa: PLC0415 - as above

    def make_courier(on_progress: Callable[[Progress], None]) -> SyncClient:
        return SyncClient(notebook, requests.Session(), discovery=parts.discovery, on_progress=on_progress)

    last = notebook.setting("last_sync")
    last_success = datetime.fromisoformat(last) if last else None
    return SyncScheduler(make_courier, lambda: datetime.now(UTC), tell, random.SystemRandom(), last_success)


if __name__ == "__main__":
    sys.exit(main())
