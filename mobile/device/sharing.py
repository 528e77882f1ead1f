"""How a bundle leaves the phone as a file, and how one comes in: through the system's own ways.

A seam with a real and a pretend side, as in `handset.py`. On Android no permission is needed for either: the system
copies, or the person chooses. Files are read and written in the thread of whoever asks: never in the screen's.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any, BinaryIO, Protocol

from mobile.device.worker import BackgroundWorker

#: how the name of a bundle's file ends
SUFFIX = ".bundle"

Opened = Callable[[], BinaryIO]
"""Opens the file that a person chose, to be read."""


class Sharer(Protocol):
    """Gives files to others, and takes one from them."""

    #: whether the person is asked for a file to take; else the newest in the app's folder is taken
    asks: bool

    def share(self, file: Path) -> str:
        """Give a file to others; the folder it is found in from now on, empty where the system asks the person."""

    def choose(self, folder: Path, tell: Callable[[Opened | None], None]) -> None:
        """Take a file; `tell` is called once, maybe in another thread, with None where none was chosen."""


class DeskSharer:
    """On a desk: files lie in the app's folder, and people put them there and take them away by themselves."""

    asks = False

    def share(self, file: Path) -> str:
        """It stays where it is."""
        return str(file.parent)

    def choose(self, folder: Path, tell: Callable[[Opened | None], None]) -> None:
        """The newest bundle that was put into the folder."""
        there = sorted(folder.glob(f"*{SUFFIX}"), key=lambda file: file.stat().st_mtime)
        tell((lambda: there[-1].open("rb")) if there else None)


class PhoneSharer:
    """Android's share sheet and file picker. `events` is python-for-android's module `android.activity`.

    From Android 10 on, a bundle is put among the phone's downloads, from where it can be shared and taken by cable.
    Before, an app may not put anything there without a permission for all files: the person chooses a place instead,
    such as a memory card. Names: android.content.Intent, android.provider.MediaStore and
    android.content.ContentResolver in Android's reference.
    """

    asks = True
    FIRST_WITH_DOWNLOADS = 29
    SHARED_IN = "Download/Rowend"
    #: our requests for a file to read and for a place to write, among those of others
    READ, WRITE = 0x4252, 0x4257
    OK = -1
    TYPE = "application/octet-stream"

    def __init__(self, jnius: Any, activity: Any, events: Any) -> None:
        self._jnius, self._activity = jnius, activity
        self._intent = jnius.autoclass("android.content.Intent")
        self._sdk = int(jnius.autoclass("android.os.Build$VERSION").SDK_INT)
        self._aside = BackgroundWorker("sharing")
        self._tell: Callable[[Opened | None], None] | None = None
        self._to_write: Path | None = None
        events.bind(on_activity_result=self._on_result)

    def share(self, file: Path) -> str:
        """Put it among the downloads and open the share sheet; on an older Android, ask for a place."""
        if self._sdk < self.FIRST_WITH_DOWNLOADS:
            self._to_write = file
            asked = self._document("CREATE")
            asked.putExtra(self._intent.EXTRA_TITLE, file.name)
            self._activity.startActivityForResult(asked, self.WRITE)
            return ""
        uri = self._among_downloads(file)
        sent = self._intent(self._intent.ACTION_SEND)
        sent.setType(self.TYPE)
        sent.putExtra(self._intent.EXTRA_STREAM, self._jnius.cast("android.os.Parcelable", uri))
        sent.addFlags(self._intent.FLAG_GRANT_READ_URI_PERMISSION)
        self._activity.startActivity(self._intent.createChooser(sent, None))
        return self.SHARED_IN

    def choose(self, folder: Path, tell: Callable[[Opened | None], None]) -> None:  # noqa: ARG002 - the system asks
        """Open the file picker."""
        self._tell = tell
        self._activity.startActivityForResult(self._document("OPEN"), self.READ)

    def _document(self, verb: str) -> Any:
        asked = self._intent(f"android.intent.action.{verb}_DOCUMENT")
        asked.addCategory(self._intent.CATEGORY_OPENABLE)
        asked.setType("*/*" if verb == "OPEN" else self.TYPE)
        return asked

    def _among_downloads(self, file: Path) -> Any:
        values = self._jnius.autoclass("android.content.ContentValues")()
        for name, value in (("_display_name", file.name), ("mime_type", self.TYPE), ("relative_path", self.SHARED_IN)):
            values.put(name, value)
        downloads = self._jnius.autoclass("android.provider.MediaStore$Downloads").EXTERNAL_CONTENT_URI
        uri = self._activity.getContentResolver().insert(downloads, values)
        if uri is None:
            raise OSError("the phone's downloads take no file")
        self._copy(file, uri)
        return uri

    def _copy(self, file: Path, uri: Any) -> None:
        with file.open("rb") as source, os.fdopen(self._handle(uri, "wt"), "wb") as target:
            shutil.copyfileobj(source, target)

    def _handle(self, uri: Any, mode: str) -> int:
        """A document as a file of the system's, so that no byte goes through Java."""
        return int(self._activity.getContentResolver().openFileDescriptor(uri, mode).detachFd())

    def _on_result(self, request: int, result: int, answer: Any) -> None:
        """Android's thread: the person chose a document, or none."""
        uri = answer.getData() if result == self.OK and answer is not None else None
        if request == self.READ and self._tell is not None:
            tell, self._tell = self._tell, None
            tell(None if uri is None else lambda: os.fdopen(self._handle(uri, "r"), "rb"))
        elif request == self.WRITE and self._to_write is not None and uri is not None:
            self._aside.do(partial(self._copy, self._to_write, uri))
