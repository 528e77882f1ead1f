"""A whole field day with fingers: through the real screens, from an empty phone to the figures in the office.

It is the story that the demo plays through a notebook, or two beds of it: a broken chain, tray changes, a depth change,
two crews, misses and fills, a clock set wrong, a phone killed in the middle of a row; and fingers that slip.
"""

from pathlib import Path
from typing import cast

import pytest
from sqlmodel import Session

from mobile.demo import story
from mobile.demo.fake_phone import FakePhone
from shared_models.core.units import MM_PER_FOOT, SECONDS_PER_HOUR, feet_to_mm
from shared_models.core.vocabulary import Feel
from shared_models.log.store import reading
from shared_models.reports.common.context import ReportContext
from shared_models.reports.pace.rates import By
from shared_models.reports.sheets.day import DaySheet, day_sheet
from tests.fixtures.network import no_signal
from tests.journeys.support.farm_service import FarmService, FieldPhone
from tests.screens.conftest import RunApp
from tests.screens.harness.robot import Fingers
from tests.screens.test_sync import PAIRED_WAIT_S, app_near

BEDS, SOWING = ("North 1", "North 3"), "SC-0318"
ROWS, ROW_FT, PLANTS = 4, 100, 600


def play(robot: Fingers) -> story.Farm:
    """Set up by touch, then two beds of the story's day, and a stand count."""
    phone, farm = cast(FakePhone, robot), story.Farm()  # it has what the story needs of one
    for part in (
        story.set_up(phone, farm, BEDS, [SOWING]),
        story.soil(phone, farm, "North 1", Feel.MOIST, tilled_h=14),
        story.north_1(phone, farm),
        story.north_3(phone, farm),
    ):
        for _ in part:
            pass
    robot.clock.wait(3600)
    robot.count_stand(farm.plantings["North 1"], 2, round(feet_to_mm(10)), 57)
    return farm


def sync(robot: Fingers, code: str) -> None:
    robot.home()
    robot.tap("Sync")
    robot.tap("Pair this phone")
    robot.answer({"address": "barn.test", "code": code, "name": "Field phone"})


def summary(robot: Fingers, planting: str) -> dict[str, str]:
    """What the phone shows of a planted bed."""
    robot.open(planting)
    facts = {fact.name: fact.figure for fact in robot.screen.view.facts}
    assert all(robot.probe.shows(figure) for figure in facts.values())
    return facts


def sheet(phone: FieldPhone, service: FarmService | None = None) -> DaySheet:
    """The day as the phone computes it, or the service."""
    engine = phone.phone.notebook.engine if service is None else service.engine
    with reading(engine) as connection, Session(connection) as session:
        return day_sheet(ReportContext.of(session, phone.phone.notebook.farm), story.DAY, phone.phone.clock.true)


def test_a_field_day_from_an_empty_phone_to_the_office(run_app: RunApp, tmp_path: Path) -> None:
    service = FarmService(tmp_path / "barn")
    phone = FieldPhone.at(service, tmp_path / "phone", seed=1, now=story.at(story.DAY, 6, 30))
    robot = Fingers(phone.phone, lambda: run_app(app_near(phone)))

    farm = play(robot)
    entries = phone.phone.notebook.only_here
    phone.fail_with(no_signal)
    sync(robot, service.code())
    probe = robot.probe
    probe.wait_until(lambda: probe.shows("cannot be reached"), "the lost network is shown", PAIRED_WAIT_S)
    kept = phone.phone.notebook.only_here
    sync(robot, service.code())
    probe.wait_until(lambda: probe.shows("All synced"), "all is synced", PAIRED_WAIT_S)

    here, there = sheet(phone), sheet(phone, service)
    assert kept == entries
    assert service.records() == phone.records()
    assert there.rows == here.rows
    assert there.rates == here.rates
    assert there.stands == here.stands
    assert service.faults() == []
    assert robot.sheet.noted(farm.plantings["North 1"]) == [(0, 0), (2, 2), (0, 0), (1, 1)]
    assert robot.sheet.noted(farm.plantings["North 3"]) == [(0, 0), (0, 0), (1, 0), (0, 0)]
    for bed in BEDS:
        planting = farm.plantings[bed]
        (line,) = (each for each in there.rates[By.BED].lines if each.key == farm.beds[bed])
        assert line.work.rows == ROWS
        assert line.work.length_mm == ROWS * ROW_FT * MM_PER_FOOT
        assert line.work.plants == pytest.approx(ROWS * PLANTS)
        assert line.work.field_time_s == pytest.approx(robot.sheet.field_s(planting), abs=0.1)
        assert line.work.stop_time_s == pytest.approx(robot.sheet.stopped_s(planting), abs=0.1)
        shown = summary(robot, planting)
        assert shown["planted"] == f"{ROWS * ROW_FT} ft"
        an_hour = ROWS * ROW_FT / robot.sheet.field_s(planting) * SECONDS_PER_HOUR
        assert float(shown["row feet an hour"]) == pytest.approx(an_hour, abs=0.6)
    (north,) = (each for each in there.stands.plantings if each.planting_id == farm.plantings["North 1"])
    assert (north.misses, north.filled, north.planted) == (3, 3, 1.0)
    assert north.counted is not None
    assert north.counted.stand.proportion == pytest.approx(57 / 60)
