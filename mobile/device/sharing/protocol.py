"""How a bundle leaves the phone as a file, and how one comes in.

On Android no permission is needed for either: the system copies, or the person chooses. Files are read and written in
the caller's thread, which is never the screen's.
"""

from collections.abc import Callable
from pathlib import Path
from typing import BinaryIO, Protocol

#: how the name of a bundle's file ends
SUFFIX = ".bundle"

Opened = Callable[[], BinaryIO]
"""Opens the chosen file for reading."""


class Sharer(Protocol):
    """Gives files to others, and takes one from them."""

    #: whether the person picks the file to take; else the newest in the app's folder is taken
    has_picker: bool

    def share(self, file: Path) -> str:
        """Give a file to others; return the folder it is in from now on, empty where the system asks the person."""

    def choose(self, folder: Path, on_chosen: Callable[[Opened | None], None]) -> None:
        """Have a file chosen; `on_chosen` is called once, maybe in another thread, with None where none was."""
