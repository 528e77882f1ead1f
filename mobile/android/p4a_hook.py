"""A hook of python-for-android: the entry point goes on top of the app's files."""  # noqa: INP001 - found by its path

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any


def before_apk_build(toolchain: Any) -> None:
    """The app's files stand together, and are about to be packed."""
    shutil.copyfile(Path(__file__).with_name("main.py"), Path(toolchain.args.private) / "main.py")
