"""Every screen keeps the rules of the glass: at every size, in both languages, with larger text too."""

from collections.abc import Iterator
from dataclasses import replace

import pytest
from kivy.uix.scrollview import ScrollView

from mobile.presenters.base.routes import Route
from tests.screens.conftest import RunApp
from tests.screens.harness import rules
from tests.screens.harness.field import app_on
from tests.screens.harness.probe import Probe
from tests.screens.harness.tour import STOPS, Field, farm_at_half_past_four, walk
from tests.screens.harness.window import SMALL, TABLET, TALL, Glass

#: every size in both languages and at both text sizes; all of it together where there is least screen
WALKS = [
    (replace(glass, font_scale=scale), language)
    for glass, scale, language in (
        (SMALL, 1.0, "es"),
        (SMALL, 1.5, "en"),
        (SMALL, 1.5, "es"),
        (TALL, 1.0, "en"),
        (TALL, 1.5, "es"),
        (TABLET, 1.0, "es"),
        (TABLET, 1.5, "en"),
    )
]


@pytest.fixture(scope="module")
def field(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Field]:
    """One farm for all measurements; nothing of it is changed by looking."""
    field = farm_at_half_past_four(tmp_path_factory.mktemp("field"))
    yield field
    field.phone.notebook.close()


@pytest.mark.parametrize(("glass", "language"), WALKS, ids=str)
def test_every_screen_keeps_the_rules(run_app: RunApp, field: Field, glass: Glass, language: str) -> None:
    units = "feet" if language == "en" else "metres"
    field.phone.notebook.change_settings(language=language, units=units, light="sun")

    assert faults_of_a_walk(run_app(app_on(field.phone, field.sync), glass), field) == {}


def test_every_screen_can_be_read_at_dusk(run_app: RunApp, field: Field) -> None:
    """The other colours; sizes are the same."""
    field.phone.notebook.change_settings(language="en", units="feet", light="dusk")

    assert faults_of_a_walk(run_app(app_on(field.phone, field.sync), SMALL), field) == {}


def faults_of_a_walk(probe: Probe, field: Field) -> dict[str, list[str]]:
    found = {}
    for stop in walk(probe, field):
        least_mm = rules.IN_ROW_TARGET_MM if stop.in_row else rules.TARGET_MM
        found[stop.name] = probe.faults(target_mm=least_mm)
        for area in scrolling(probe):
            assert not stop.in_row, f"{stop.name} scrolls"
            area.scroll_y = 0
            found[f"{stop.name}, scrolled"] = probe.faults(target_mm=least_mm)

    return {name: faults for name, faults in found.items() if faults}


def scrolling(probe: Probe) -> list[ScrollView]:
    areas = [seen.widget for seen in probe.screen() if isinstance(seen.widget, ScrollView)]
    return [area for area in areas if area.viewport_size[1] > area.height + 1]


def test_the_walk_leads_through_every_room() -> None:
    """A screen that is added is measured, and photographed."""
    first_names = {stop.name.replace("-", "_") for stop in STOPS}
    called = {Route.NEW: "new", Route.BED: "new_bed", Route.SOWING: "new_sowing", Route.PLANTING: "new_planting"}
    called |= {Route.PERSON: "new_person", Route.PHONE: "this_phone", Route.SOIL: "soil_bed"}
    called |= {Route.STAND: "stand_planting"}

    assert {called.get(place, place.value) for place in Route} <= first_names
