"""Android's share sheet and file picker."""

import os
import shutil
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

from typing_extensions import override

from mobile.device.sharing.protocol import Opened, Sharer
from mobile.device.worker import BackgroundWorker


class AndroidSharer(Sharer):
    """Android's share sheet and file picker. `events` is python-for-android's module `android.activity`.

    From Android 10 on, a bundle is put among the phone's downloads, from where it can be shared and taken by cable.
    Before, an app may not put anything there without a permission for all files: the person chooses a place instead,
    such as a memory card. Names: android.content.Intent, android.provider.MediaStore and
    android.content.ContentResolver in Android's reference.
    """

    has_picker = True
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
        self._worker = BackgroundWorker("sharing")
        self._on_chosen: Callable[[Opened | None], None] | None = None
        self._to_write: Path | None = None
        events.bind(on_activity_result=self._on_result)

    @override
    def share(self, file: Path) -> str:
        if self._sdk < self.FIRST_WITH_DOWNLOADS:
            self._to_write = file
            intent = self._document("CREATE")
            intent.putExtra(self._intent.EXTRA_TITLE, file.name)
            self._activity.startActivityForResult(intent, self.WRITE)
            return ""
        uri = self._insert_download(file)
        intent = self._intent(self._intent.ACTION_SEND)
        intent.setType(self.TYPE)
        intent.putExtra(self._intent.EXTRA_STREAM, self._jnius.cast("android.os.Parcelable", uri))
        intent.addFlags(self._intent.FLAG_GRANT_READ_URI_PERMISSION)
        self._activity.startActivity(self._intent.createChooser(intent, None))
        return self.SHARED_IN

    @override
    def choose(self, folder: Path, on_chosen: Callable[[Opened | None], None]) -> None:
        self._on_chosen = on_chosen
        self._activity.startActivityForResult(self._document("OPEN"), self.READ)

    def _document(self, verb: str) -> Any:
        intent = self._intent(f"android.intent.action.{verb}_DOCUMENT")
        intent.addCategory(self._intent.CATEGORY_OPENABLE)
        intent.setType("*/*" if verb == "OPEN" else self.TYPE)
        return intent

    def _insert_download(self, file: Path) -> Any:
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
        with file.open("rb") as source, os.fdopen(self._open_fd(uri, "wt"), "wb") as target:
            shutil.copyfileobj(source, target)

    def _open_fd(self, uri: Any, mode: str) -> int:
        """A document's file descriptor, so that no byte goes through Java."""
        return int(self._activity.getContentResolver().openFileDescriptor(uri, mode).detachFd())

    def _on_result(self, request: int, result: int, answer: Any) -> None:
        """Take the person's choice of a document, or of none, in Android's thread."""
        uri = answer.getData() if result == self.OK and answer is not None else None
        if request == self.READ and self._on_chosen is not None:
            on_chosen, self._on_chosen = self._on_chosen, None
            on_chosen(None if uri is None else lambda: os.fdopen(self._open_fd(uri, "r"), "rb"))
        elif request == self.WRITE and self._to_write is not None and uri is not None:
            self._worker.do(partial(self._copy, self._to_write, uri))
