"""The phone's process is killed with no warning, again and again, anywhere in the scripted day."""

import os
import random
import signal
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import pytest

from mobile.demo.fake_phone import FakePhone
from mobile.demo.story import FIRST_DAY, script
from mobile.log.notebook import Notebook
from mobile.log.phone_log import FILE_NAME
from shared_models.log import log
from shared_models.log.store import reading
from tests.journeys.support.farm_service import copy_database

KILLS = 200
DAWN = datetime.combine(FIRST_DAY, datetime.min.time(), UTC)


@dataclass(frozen=True)
class NotebookState:
    """The head of a notebook's log, and its open row."""

    seq: int
    digest: str
    planting: str | None
    row: int | None


def state_of(notebook: Notebook) -> NotebookState:
    with reading(notebook.engine) as connection:
        seq, digest = log.holds(connection, notebook.farm).get(notebook.device, (0, ""))
    planting = notebook.current_planting()
    row = notebook.row_state(planting).open if planting else None
    return NotebookState(seq, digest, planting, row.row if row else None)


@pytest.fixture(scope="module")
def undisturbed(tmp_path_factory: pytest.TempPathFactory) -> list[NotebookState]:
    """The state after each entry when nobody kills anything."""
    phone = FakePhone(tmp_path_factory.mktemp("whole"), DAWN)
    states = [state_of(phone.notebook)]
    states += [state_of(phone.notebook) for _ in script(phone)]
    return states


def test_killed_anywhere_the_phone_has_every_confirmed_entry_and_is_in_its_row(
    undisturbed: list[NotebookState], tmp_path: Path
) -> None:
    """Killed at any moment, the phone has every entry it confirmed, and opens in the row it was in.

    The day is played once; at 200 random entries another process goes on from there on a copy of the notebook, says
    how many entries it has confirmed, and gets SIGKILL a moment after one of the next.
    """
    draw = random.Random(20260514)
    phone = FakePhone(tmp_path / "day", DAWN)
    day = script(phone)
    played = 0

    for kill, start in enumerate(sorted(draw.randrange(len(undisturbed) - 4) for _ in range(KILLS))):
        for _ in range(start - played):
            next(day)
        played = start
        folder = tmp_path / str(kill)
        copy_database(tmp_path / "day" / FILE_NAME, folder / FILE_NAME)
        confirmed = start + go_on_until_killed(phone, day, folder, draw.randrange(4), draw.expovariate(200))
        reopened = FakePhone(folder, DAWN).notebook

        # the entry that was being written when the signal came may be on the disk, or not
        assert state_of(reopened) in undisturbed[confirmed : confirmed + 2], f"kill {kill} after {confirmed} entries"
        reopened.close()


def go_on_until_killed(phone: FakePhone, day: Iterator[str], folder: Path, after: int, linger_s: float) -> int:
    """Go on with the day in another process, kill it a moment after so many entries; the entries it confirmed."""
    read_end, write_end = os.pipe()
    child = os.fork()
    if child == 0:
        _play_on(phone, day, folder, write_end)
    os.close(write_end)
    confirmed = 0
    while confirmed < after:
        confirmed += len(os.read(read_end, after - confirmed))
    signal.sigtimedwait([], linger_s)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    while rest := os.read(read_end, 4096):
        confirmed += len(rest)
    os.close(read_end)
    return confirmed


def _play_on(phone: FakePhone, day: Iterator[str], folder: Path, write_end: int) -> None:
    try:
        phone.move_to(folder)
        for _ in day:
            os.write(write_end, b".")
        signal.pause()
    finally:
        os._exit(1)
