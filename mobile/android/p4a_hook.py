"""A hook of python-for-android: compile the translations, and put the entry point on top of the app's files."""  # noqa: INP001 - found by its path

import runpy
import shutil
from pathlib import Path
from typing import Any


def before_apk_build(toolchain: Any) -> None:
    """The app's files stand together, and are about to be packed."""
    here, app = Path(__file__).parent, Path(toolchain.args.private)
    for source in runpy.run_path(str(here.parents[1] / "setup.py"))["compile_catalogs"](app):
        source.unlink()
    shutil.copyfile(here / "main.py", app / "main.py")
