"""The scripted day, played through the notebook and handed over by the courier: a demo, and food for tests."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

import requests

from mobile.demo.fake_phone import PretendPhone
from mobile.demo.story import FIRST_DAY, at, script
from mobile.sync.client import SyncClient
from shared_models.errors import RowendError


def main(arguments: list[str] | None = None) -> int:
    """Play the day on a phone kept in a folder, then hand it over; the exit status of the program."""
    parser = argparse.ArgumentParser(prog="python -m mobile.demo.fieldday", description=__doc__)
    parser.add_argument("--data", type=Path, required=True, help="folder of the pretend phone")
    parser.add_argument("--server", required=True, help="address of the service")
    parser.add_argument("--code", required=True, help="one-time pairing code")
    told = parser.parse_args(arguments)
    try:
        _play(told.data, told.server, told.code)
    except RowendError as problem:
        print(problem, file=sys.stderr)  # noqa: T201 - this is a program
        return 1
    return 0


def _play(folder: Path, server: str, code: str) -> None:
    phone = PretendPhone(folder, at(FIRST_DAY, 6))
    with requests.Session() as session:
        SyncClient(phone.notebook, session).pair(server, code, "Field phone")
        entries = sum(1 for _ in script(phone))
        print(f"{entries} entries made offline; {phone.notebook.only_here} only on the phone.")  # noqa: T201
        done = SyncClient(phone.notebook, session).sync()
        print(f"Back at the barn: {done.sent} handed over, {phone.notebook.only_here} only on the phone.")  # noqa: T201


if __name__ == "__main__":
    sys.exit(main())
