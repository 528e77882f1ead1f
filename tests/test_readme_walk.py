"""The README's walk through a day, run as it is written: every command line, in its order, in a fresh terminal."""

import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

import pytest

from tests.fixtures.display import virtual_display

ROOT = Path(__file__).parent.parent
WALK = (ROOT / "README.md").read_text().partition("## A walk through a day")[2].partition("\n## ")[0]
LINES = [line.strip() for block in re.findall(r"```\n(.*?)```", WALK, re.DOTALL) for line in block.splitlines()]
COMMANDS = [line for line in LINES if line]
PHONE_WAIT_S = 60


@pytest.fixture
def terminal(tmp_path: Path) -> Iterator[dict[str, Any]]:
    """A terminal in the folder where `make run` was: nothing more on its PATH, a screen, and any port that is free."""
    (tmp_path / ".venv").symlink_to(sys.prefix)
    with virtual_display() as display:
        surroundings = os.environ | {"PYTHONPATH": str(ROOT), "ROWEND_PORT": "0", "DISPLAY": display}
        yield {"cwd": tmp_path, "env": surroundings, "text": True, "stdout": subprocess.PIPE, "stderr": subprocess.PIPE}


@contextmanager
def going_on(line: str, terminal: dict[str, Any]) -> Iterator[subprocess.Popen[str]]:
    """A command line that goes on until Ctrl-C."""
    with subprocess.Popen(["sh", "-c", f"exec {line}"], **terminal) as program:  # noqa: S603, S607 - the README's own
        try:
            yield program
        finally:
            program.send_signal(signal.SIGINT)
            program.communicate(timeout=20)


def test_every_command_of_the_walk_works_as_written(terminal: dict[str, Any]) -> None:
    """The farm is made, its service runs with TLS, a phone's window opens, and the reports and the backup are there."""
    printed: dict[str, str] = {}
    with ExitStack() as still_running:
        for line in COMMANDS:
            name = " ".join(line.split()[:2]).removeprefix(".venv/bin/")
            if name == "rowend serve":
                program = still_running.enter_context(going_on(line, terminal))
                assert program.stdout is not None
                printed[name] = "".join(next(program.stdout) for _ in range(2))
            elif name.startswith("rowend-phone"):
                with going_on(line, terminal):
                    _wait_for_a_file(terminal["cwd"] / "myphone")
            else:
                done = subprocess.run(["sh", "-c", line], **terminal, check=False)  # noqa: S603, S607 - as above
                assert (done.returncode, done.stderr) == (0, ""), line
                printed[name] = done.stdout

    assert re.search(r"Serving at https://.*\n.*Your Farm has no owner yet.*https://.*/enter/", printed["rowend serve"])
    assert re.search(r"Link +rowend://pair\?at=https://.*&pin=", printed["rowend pair"])
    assert "Your Farm" in printed["rowend verify"]
    assert (terminal["cwd"] / "myfarm-backup.db").exists()


def _wait_for_a_file(folder: Path) -> None:
    end = time.monotonic() + PHONE_WAIT_S
    while not (folder.exists() and any(folder.iterdir())):
        assert time.monotonic() < end, "the phone's window did not open"
        time.sleep(0.1)
