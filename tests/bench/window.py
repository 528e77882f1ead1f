"""The app's window: its first frame, its memory, and what an idle screen costs, beside a bare Kivy app.

Each is a program of its own (`app_probe.py`) on a display without a screen. They take turns, and the medians count.
"""

import json
import os
import statistics
import subprocess
import sys
import time
from pathlib import Path

from tests.bench.measure import Size, print_line, print_ratio
from tests.fixtures.display import virtual_display

TIMES, TIMES_FULL = 3, 9


def bench_window(size: Size) -> None:
    """First frames are counted from the start of the process."""
    runs: dict[str, list[dict[str, float]]] = {"bare": [], "rowend": []}
    with virtual_display() as name:
        for number in range(TIMES_FULL if size.full else TIMES):
            for which, figures in runs.items():
                figures.append(_run_probe(which, size.folder / f"{which}-{number}", name))
    bare, ours = (
        {each: statistics.median(run[each] for run in each_app) for each in each_app[0]} for each_app in runs.values()
    )
    print_ratio("first frame of a window", bare["first_s"], ours["first_s"])
    print_ratio("first frame, seconds of the core", bare["first_busy_s"], ours["first_busy_s"])
    print_line(f"first screen ready after {ours['ready_s'] * 1000:.0f} ms")
    print_ratio("memory of the open app", bare["memory_mb"], ours["memory_mb"], unit="MB", factor=1.0)
    print_line(f"idle screen: bare {bare['idle_pct']:.2f} % of a core, ours {ours['idle_pct']:.2f} %")


def _run_probe(which: str, folder: Path, display: str) -> dict[str, float]:
    folder.mkdir()
    environment = os.environ | {
        "DISPLAY": display,
        "SDL_VIDEODRIVER": "x11",
        "KIVY_NO_ARGS": "1",
        "KIVY_NO_CONSOLELOG": "1",
    }
    environment |= {"KIVY_HOME": str(folder / "kivy")}
    command = [sys.executable, "-m", "tests.bench.app_probe", which, str(folder), repr(time.monotonic())]
    done = subprocess.run(command, env=environment, capture_output=True, text=True, check=True)  # noqa: S603 - our own command
    figures: dict[str, float] = json.loads(done.stdout.splitlines()[-1])
    return figures
