"""Hand-setting rates.

They bound what plants per person-hour can be when everything is set by hand. They are no benchmark for chain trays: at
6 in and 1,000 ft/h a chain already sets 2,000 plants an hour. The day of 10 hours is assumed; the books do not say.
"""

from datetime import UTC, datetime

import pytest

from shared_models.trade.pace.pace import TimedRow, Work, work
from tests.published.conftest import Check

WATTS_207 = "Watts, Vegetable Gardening (1912), section 207 (as quoted in a transcription); over an assumed 10-h day"
WATTS_CREW = "Watts, Vegetable Gardening (1912), Transplanting part 3 (as quoted in a transcription); assumed 10-h day"
HORTSCIENCE = "HortScience 53(8):1133 (2018), abstract: 1,316,111 cuttings in 2,109 h; quotient computed"
BARTOK = "Bartok, trade column on output per person: 1,200 flats by 4 people are 300 each (as quoted in the column)"
DAY_S = 10 * 3600.0


def a_day(plants: float, crew: int, seconds: float = DAY_S) -> Work:
    return work(TimedRow(datetime(2026, 5, 4, 11, tzinfo=UTC), seconds, 0.0, plants * 100.0, 100.0, crew))


@pytest.mark.parametrize(("plants", "per_person_h"), [(8000, 800), (5000, 500)])
def test_one_laborer_by_hand(published: Check, plants: int, per_person_h: float) -> None:
    got = a_day(plants, 1).plants_per_person_h or 0.0
    published(WATTS_207, f"{plants:,} plants a day: plants per person-hour", got, per_person_h, 0.5)


@pytest.mark.parametrize(("plants", "per_person_h"), [(40_000, 286), (50_000, 357)])
def test_a_crew_of_fourteen(published: Check, plants: int, per_person_h: float) -> None:
    """A dozen boys and two men, all fourteen counted."""
    got = a_day(plants, 14).plants_per_person_h or 0.0
    published(WATTS_CREW, f"crew of 14, {plants:,} plants a day: plants per person-hour", got, per_person_h, 0.5)


def test_cuttings_under_glass(published: Check) -> None:
    got = Work(plants=1_316_111, person_s=2109 * 3600.0).plants_per_person_h or 0.0
    published(HORTSCIENCE, "cuttings per person-hour", got, 624, 0.5)


def test_flats_per_person(published: Check) -> None:
    got = (a_day(1200, 4, seconds=8 * 3600.0).plants_per_person_h or 0.0) * 8
    published(BARTOK, "flats per person in an 8-h day", got, 300, 1e-6)
