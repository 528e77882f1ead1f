"""`rowend demo`: the whole road, from a tap in the field to the report."""

import re
import signal
import subprocess
import sys
from pathlib import Path

import pytest
import requests

from server.cli import main as cli
from server.cli.demo import FARM
from server.db.database import open_database
from server.db.meta import set_meta
from server.farms.registry import all_farms
from server.runtime.settings import Settings
from shared_models.log.store import reading
from tests.fixtures.programs import IN_BACKGROUND
from tests.server.support.service import ZONE

DEMO = [sys.executable, "-m", "server.cli.main", "demo", "--port", "0"]


def test_the_demo_plays_a_day_once_and_shows_it_again(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    words = ["demo", "--once", "--port", "0", "--data", str(tmp_path / "demo")]

    assert cli.run(words) == 0
    first, errors = capfd.readouterr()
    assert cli.run(words) == 0
    second, _ = capfd.readouterr()
    assert cli.run(["verify", "--data", str(tmp_path / "demo")]) == 0

    assert errors == ""
    assert f"Made {FARM}" in first
    assert "0 not synced yet" in first
    assert "is already here" in second
    assert "entries made" not in second
    assert _report(second) == _report(first)
    for word in ("North 1", "Ines", "7:00 AM", "working", "effective", "counted", "ready", "wait", "/enter/"):
        assert word in first, word


@pytest.mark.parametrize("ending", [signal.SIGINT, signal.SIGTERM])
def test_the_demo_goes_on_serving_its_office(tmp_path: Path, ending: signal.Signals) -> None:
    """Without --once the printed link opens the office with nothing typed, until Ctrl-C or `kill`."""
    _played(tmp_path)
    command = [*IN_BACKGROUND, *DEMO, "--data", str(tmp_path)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as program:  # noqa: S603 - our own
        assert program.stdout is not None
        link = next(line for line in program.stdout if "/enter/" in line).split()[-1]
        assert "Stop with Ctrl-C" in program.stdout.readline()
        with requests.Session() as browser:
            door = browser.get(link, timeout=20)
            office = browser.post(link, timeout=20)
        program.send_signal(ending)
        _, errors = program.communicate(timeout=20)

    assert (door.status_code, office.status_code, errors, program.returncode) == (200, 200, "", 0)
    assert FARM in door.text
    assert "No planting yet" in office.text


def test_the_demo_keeps_out_of_a_real_farm(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    cli.run(["farm", "new", "Our own", "--zone", ZONE, "--data", str(tmp_path)])

    assert cli.run(["demo", "--once", "--port", "0", "--data", str(tmp_path)]) == 2
    assert "another folder" in capsys.readouterr().err


def test_a_demo_that_was_stopped_in_its_day_says_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _played(tmp_path, state="")
    (tmp_path / "phone").mkdir()

    assert cli.run(["demo", "--once", "--port", "0", "--data", str(tmp_path)]) == 1
    assert "another folder with --data" in capsys.readouterr().err


def _played(data: Path, state: str = "played") -> None:
    cli.run(["farm", "new", FARM, "--zone", ZONE, "--data", str(data)])
    engine = open_database(Settings.in_directory(data).database_url)
    with reading(engine) as connection:
        (farm,) = all_farms(connection)
    set_meta(engine, "demo", farm.id)
    set_meta(engine, "demo day", state)
    engine.dispose()


def _report(printed: str) -> str:
    return re.sub(r"The office: .*", "", printed[printed.index(f"\n{FARM}, ") :])
