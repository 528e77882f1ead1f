"""Every screen of the phone's app, photographed on the walk that the rules are measured on."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from tests.conftest import KIVY_UNDER_TESTS
from tests.fixtures.display import virtual_display

if TYPE_CHECKING:
    from tests.screens.harness.tour import Field
    from tests.screens.harness.window import Glass


def take(folder: Path) -> Iterator[Path]:
    """English at three sizes; on the small glass both languages, in both lights."""
    with virtual_display() as display, tempfile.TemporaryDirectory() as home:
        providers = {"DISPLAY": display, "SDL_VIDEODRIVER": "x11", "KIVY_HOME": home}
        os.environ.update(KIVY_UNDER_TESTS, **providers)
        yield from _all_sizes(folder, Path(home) / "field")


def _all_sizes(folder: Path, notebook: Path) -> Iterator[Path]:
    from tests.screens.harness.tour import farm_at_half_past_four  # noqa: PLC0415 - as above
    from tests.screens.harness.window import SMALL, TABLET, TALL  # noqa: PLC0415 - Kivy reads its surroundings when imported

    field = farm_at_half_past_four(notebook)
    for light, language, glasses in (
        ("sun", "en", (SMALL, TALL, TABLET)),
        ("sun", "es", (SMALL,)),
        ("dusk", "en", (SMALL,)),
        ("dusk", "es", (SMALL,)),
    ):
        for glass in glasses:
            yield from _one_walk(folder, field, glass, language, light)


def _one_walk(folder: Path, field: Field, glass: Glass, language: str, light: str) -> Iterator[Path]:
    from tests.screens.harness.field import app_on  # noqa: PLC0415 - as above
    from tests.screens.harness.probe import running  # noqa: PLC0415 - as above
    from tests.screens.harness.tour import walk  # noqa: PLC0415 - as above

    units = "metres" if language == "es" else "feet"
    field.phone.notebook.change_settings(language=language, units=units, light=light)
    with running(app_on(field.phone, field.sync), glass) as probe:
        for place, stop in enumerate(walk(probe, field), 1):
            name = f"phone-{glass.width_dp}-{language}-{light}-{place:02}-{stop.name}.png"
            yield probe.picture(folder / name)
