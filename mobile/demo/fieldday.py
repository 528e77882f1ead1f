"""A command that plays the scripted day on a fake phone, then syncs it: a demo, and data for tests."""

import argparse
import sys
from pathlib import Path

import requests

from mobile.demo.fake_phone import FakePhone
from mobile.demo.story import FIRST_DAY, at, script
from mobile.sync.client import SyncClient
from shared_models.errors import RowendError


def main(args: list[str] | None = None) -> int:
    """Play the day on a phone kept in a folder, then sync it; return the exit status."""
    parser = argparse.ArgumentParser(prog="python -m mobile.demo.fieldday", description=__doc__)
    parser.add_argument("--data", type=Path, required=True, help="folder of the fake phone")
    parser.add_argument("--server", required=True, help="address of the service")
    parser.add_argument("--code", required=True, help="one-time pairing code")
    options = parser.parse_args(args)
    try:
        _play(options.data, options.server, options.code)
    except RowendError as problem:
        print(problem, file=sys.stderr)  # noqa: T201 - this is a program
        return 1
    return 0


def _play(folder: Path, server: str, code: str) -> None:
    phone = FakePhone(folder, at(FIRST_DAY, 6))
    with requests.Session() as session:
        SyncClient(phone.notebook, session).pair(server, code, "Field phone")
        entries = sum(1 for _ in script(phone))
        print(f"{entries} entries made offline; {phone.notebook.only_here} not synced yet.")  # noqa: T201
        done = SyncClient(phone.notebook, session).sync()
        print(f"Back at the barn: {done.sent} sent, {phone.notebook.only_here} not synced yet.")  # noqa: T201


if __name__ == "__main__":
    sys.exit(main())
