"""The phone's program: chooses the real hardware and starts.

Kivy is set up, and the first frame drawn, before the database is imported; so imports are inside functions.
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
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from mobile.device.deep_links.desk import DeskDeepLinks
from mobile.device.hardware import Hardware, choose_hardware, on_android

if TYPE_CHECKING:
    from mobile.app import RowendApp
    from mobile.log.notebook import Notebook
    from mobile.sync.client import Progress, SyncClient
    from mobile.sync.scheduler import SyncScheduler, SyncStatus

DESK_WINDOW = (412, 915)


def main(args: list[str] | None = None) -> int:
    """Run the app until its window is closed; return the exit status."""
    parser = argparse.ArgumentParser(prog="rowend-phone", description="Log paper-chain planting, row by row.")
    parser.add_argument("--data", type=Path, help="folder of the notebook; without it, the app's own folder")
    parser.add_argument("--link", help="a pairing link to open, as rowend pair prints it")
    options = parser.parse_args(args)
    os.environ["KIVY_NO_ARGS"] = "1"
    hardware = choose_hardware()
    if options.link is not None:
        hardware = replace(hardware, deep_links=DeskDeepLinks(options.link))
    phone_app(hardware, options.data).run()
    return 0


def phone_app(hardware: Hardware, folder: Path | None) -> RowendApp:
    """The app on this machine, with its notebook in a folder."""
    if on_android():
        from jnius import autoclass  # noqa: PLC0415 - only a phone has it

        os.environ.update(android_metrics(autoclass))

    from kivy.config import Config  # noqa: PLC0415 - Kivy reads its environment when first imported

    if not on_android():
        width, height = DESK_WINDOW
        Config.set("graphics", "width", width)
        Config.set("graphics", "height", height)
        Config.set("input", "mouse", "mouse,disable_multitouch")

    from mobile.app import build_app  # noqa: PLC0415 - as above

    app = build_app(
        hardware,
        lambda: _open_notebook(hardware, folder or Path(app.user_data_dir)),
        partial(_make_scheduler, hardware),
    )
    app.bind(on_start=lambda _: _throttle_when_idle())
    return app


def _throttle_when_idle() -> None:
    from kivy.clock import Clock  # noqa: PLC0415 - Kivy reads its environment when first imported
    from kivy.core.window import Window  # noqa: PLC0415 - importing it opens the window

    from mobile.device.idle import IdleThrottle  # noqa: PLC0415 - as above

    IdleThrottle(Clock, Window)


def android_metrics(autoclass: Callable[[str], Any]) -> dict[str, str]:
    """Kivy's settings for an Android display's density and its person's text size.

    Left to itself, Kivy 2.3.1 counts the text size twice (kivy/metrics.py): its density is Android's `scaledDensity`,
    which has it in it, and it multiplies sp by it once more.
    """
    resources = autoclass("org.kivy.android.PythonActivity").mActivity.getResources()
    return {
        "KIVY_METRICS_DENSITY": str(resources.getDisplayMetrics().density),
        "KIVY_METRICS_FONTSCALE": str(resources.getConfiguration().fontScale),
    }


def _open_notebook(hardware: Hardware, folder: Path) -> Notebook:
    from mobile.log.notebook import Notebook  # noqa: PLC0415 - draw first, import after

    return Notebook(
        folder, now=hardware.clock, random_bits=lambda: secrets.randbits(80), keystore=hardware.open_keystore(folder)
    )


def _make_scheduler(hardware: Hardware, notebook: Notebook, on_status: Callable[[SyncStatus], None]) -> SyncScheduler:
    import requests  # noqa: PLC0415 - draw first, import after

    from mobile.sync.client import SyncClient  # noqa: PLC0415 - as above
    from mobile.sync.scheduler import SyncScheduler  # noqa: PLC0415 - as above

    def make_client(on_progress: Callable[[Progress], None]) -> SyncClient:
        return SyncClient(notebook, requests.Session(), discovery=hardware.discovery, on_progress=on_progress)

    last = notebook.setting("last_sync")
    last_success = datetime.fromisoformat(last) if last else None
    return SyncScheduler(make_client, lambda: datetime.now(UTC), on_status, random.SystemRandom(), last_success)


if __name__ == "__main__":
    sys.exit(main())
