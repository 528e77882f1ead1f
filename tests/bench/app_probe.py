"""Measure one app's window, for `window.py`: `python -m tests.bench.app_probe bare|rowend FOLDER STARTED`."""

import json
import resource
import sys
import time
from pathlib import Path
from typing import Any

SETTLE_S, IDLE_S = 3.0, 10.0


def main(which: str, folder: str, started: str) -> None:
    """Run the app until it is measured; print the figures as one line of JSON."""
    app: Any = _bare() if which == "bare" else _rowend(Path(folder))
    figures: dict[str, float] = {}

    def since_start() -> float:
        return time.monotonic() - float(started)

    def first_frame(window: Any) -> None:
        figures.update(first_s=since_start(), first_busy_s=_cpu_s())
        window.unbind(on_flip=first_frame)

    def check_ready(_: float) -> None:
        ready = getattr(app, "_begun", True)
        if not ready:
            return
        ticking.cancel()
        figures.update(ready_s=since_start())
        Clock.schedule_once(start_idle, SETTLE_S)

    def start_idle(_: float) -> None:
        figures.update(memory_mb=_memory_mb(), idle_pct=_cpu_s())
        Clock.schedule_once(end_idle, IDLE_S)

    def end_idle(_: float) -> None:
        figures.update(idle_pct=(_cpu_s() - figures["idle_pct"]) / IDLE_S * 100)
        app.stop()

    from kivy.clock import Clock  # noqa: PLC0415 - the app sets Kivy up before it is first imported

    def on_start(*_: object) -> None:
        from kivy.core.window import Window  # noqa: PLC0415 - importing it opens the window

        Window.bind(on_flip=first_frame)

    app.bind(on_start=on_start)
    ticking = Clock.schedule_interval(check_ready, 0)
    app.run()
    print(json.dumps(figures))  # noqa: T201 - this is a program


def _cpu_s() -> float:
    used = resource.getrusage(resource.RUSAGE_SELF)
    return used.ru_utime + used.ru_stime


def _memory_mb() -> float:
    """Resident memory, shared libraries included."""
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
    return pages * resource.getpagesize() / 1e6


def _bare() -> Any:
    from kivy.app import App  # noqa: PLC0415 - each app imports its own
    from kivy.uix.label import Label  # noqa: PLC0415 - as above

    class BareApp(App):  # type: ignore[misc]  # Kivy ships no types
        def build(self) -> Any:
            return Label(text="Rowend")

    return BareApp()


def _rowend(folder: Path) -> Any:
    from mobile.device.hardware import choose_hardware  # noqa: PLC0415 - as above
    from mobile.main import phone_app  # noqa: PLC0415 - as above

    return phone_app(choose_hardware(), folder)


if __name__ == "__main__":
    main(*sys.argv[1:])
