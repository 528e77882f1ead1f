"""History screens by real touches: the pace of the day and a bed's history."""

import pytest

from mobile.screens.history.bed_history import Moisture
from shared_models.core.vocabulary import Feel
from tests.mobile.conftest import Crew, crew
from tests.screens.conftest import RunApp
from tests.screens.harness.field import app_on
from tests.screens.harness.probe import Probe

__all__ = ["crew"]


@pytest.fixture
def probe(run_app: RunApp, crew: Crew) -> Probe:
    """Two rows: Ines in ten minutes, June in twenty; after a soil check, all two hours ago."""
    crew.notebook.check_soil(crew.bed, feel=Feel.MOIST)
    for name, seconds in (("Ines", 600), ("June", 1200)):
        planting = crew.notebook.add("planting", bed=crew.bed, sowing=crew.sowing)
        crew.notebook.set_crew(planting, [crew.notebook.add("person", name=name)])
        crew.notebook.start_row(planting)
        crew.wait(seconds)
        crew.notebook.end_row(planting)
    crew.wait(7200)
    probe = run_app(app_on(crew.phone))
    probe.tap("History")
    return probe


def test_the_pace_by_crew_is_four_taps_away_and_drawn_to_scale(probe: Probe) -> None:
    probe.tap("Pace")
    probe.tap("By hour")
    probe.tap("By crew")

    assert probe.shows("Ines · 600 ft/h")
    assert probe.shows("June · 300 ft/h")
    longer, shorter = (seen.widget for seen in probe.screen() if type(seen.widget).__name__ == "Bar")
    assert (longer.share, shorter.share) == (1, 0.5)
    assert longer.width == shorter.width > 0.8 * probe.window.width


def test_the_way_back_leads_out_of_the_choosing_then_to_what_can_be_looked_up(probe: Probe) -> None:
    probe.tap("Pace")
    probe.tap("Row feet an hour")
    probe.tap("Plants an hour, each person")
    changed = probe.shows("2,400 plants/h each")
    probe.tap("By hour")
    probe.tap("Back")
    closed = probe.shows("2,400 plants/h each")
    probe.tap("Back")

    assert (changed, closed) == (True, True)
    assert probe.shows("What do you want to see?")


def test_a_bed_shows_its_life_and_leads_to_its_soil_check(probe: Probe) -> None:
    probe.tap("Beds and soil")
    probe.tap("North 1")
    drawn = [seen.widget for seen in probe.screen() if isinstance(seen.widget, Moisture)]
    shown = (probe.shows("Plantings"), probe.shows("100 ft · 300 ft/h · 100% planted"))
    probe.tap("Soil check")

    assert len(drawn) == 1
    assert shown == (True, True)
    assert probe.shows("What kind of soil?")
