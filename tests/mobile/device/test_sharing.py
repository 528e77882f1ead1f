"""Files leave the phone and come in through the system's own ways."""

import os
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from mobile.device.sharing.android import AndroidSharer
from mobile.device.sharing.desk import DeskSharer
from mobile.device.sharing.protocol import Opened


class Intent:
    """android.content.Intent."""

    ACTION_SEND, CATEGORY_OPENABLE, EXTRA_STREAM, EXTRA_TITLE = "send", "openable", "stream", "title"
    FLAG_GRANT_READ_URI_PERMISSION = 1

    def __init__(self, action: str) -> None:
        self.action = action
        self.fields: dict[str, Any] = {}

    def setType(self, kind: str) -> None:  # noqa: N802 - Android's name
        self.fields["type"] = kind

    def addCategory(self, category: str) -> None:  # noqa: N802 - as above
        self.fields["category"] = category

    def putExtra(self, name: str, value: Any) -> None:  # noqa: N802 - as above
        self.fields[name] = value

    def addFlags(self, flags: int) -> None:  # noqa: N802 - as above
        self.fields["flags"] = flags

    @staticmethod
    def createChooser(intent: Any, _title: None) -> Any:  # noqa: N802 - as above
        return ("chooser", intent)


@dataclass
class Android:
    """A phone with downloads and a person who chooses; a URI is the path of a file."""

    folder: Path
    sdk: int = 33
    started: list[Any] = field(default_factory=list)
    inserted: list[tuple[str, dict[str, str]]] = field(default_factory=list)
    downloads: bool = True
    answer: Callable[[int, int, Any], None] = print

    def sharer(self) -> AndroidSharer:
        return AndroidSharer(self, self, self)

    # jnius

    def autoclass(self, name: str) -> Any:
        return {
            "android.content.Intent": Intent,
            "android.os.Build$VERSION": SimpleNamespace(SDK_INT=self.sdk),
            "android.content.ContentValues": _Values,
            "android.provider.MediaStore$Downloads": SimpleNamespace(EXTERNAL_CONTENT_URI="downloads"),
        }[name]

    def cast(self, _name: str, value: Any) -> Any:
        return value

    # android.activity

    def bind(self, on_activity_result: Callable[[int, int, Any], None]) -> None:
        self.answer = on_activity_result

    # the activity and its content resolver

    def startActivity(self, intent: Any) -> None:  # noqa: N802 - Android's name
        self.started.append(intent)

    def startActivityForResult(self, intent: Any, request: int) -> None:  # noqa: N802 - as above
        self.started.append((intent, request))

    def getContentResolver(self) -> Any:  # noqa: N802 - as above
        return self

    def insert(self, collection: str, values: Any) -> Path | None:
        self.inserted.append((collection, dict(values)))
        return self.folder / values["_display_name"] if self.downloads else None

    def openFileDescriptor(self, uri: Path, mode: str) -> Any:  # noqa: N802 - as above
        flags = os.O_RDONLY if mode == "r" else os.O_WRONLY | os.O_CREAT | os.O_TRUNC
        return SimpleNamespace(detachFd=lambda: os.open(uri, flags, 0o600))

    def chosen(self, uri: Path | None) -> None:
        _, request = self.started[-1]
        self.answer(request, 0 if uri is None else -1, None if uri is None else SimpleNamespace(getData=lambda: uri))


class _Values(dict[str, str]):
    def put(self, name: str, value: str) -> None:
        self[name] = value


@pytest.fixture
def bundle(tmp_path: Path) -> Path:
    file = tmp_path / "Ines-2026-05-14.bundle"
    file.write_bytes(b"entries")
    return file


@pytest.fixture
def outside(tmp_path: Path) -> Path:
    (tmp_path / "outside").mkdir()
    return tmp_path / "outside"


def test_a_bundle_goes_among_the_downloads_and_on_to_the_share_sheet(bundle: Path, outside: Path) -> None:
    android = Android(outside)

    where = android.sharer().share(bundle)

    (sheet, sent), (collection, values) = android.started[0], android.inserted[0]
    assert where == "Download/Rowend"
    assert (outside / bundle.name).read_bytes() == b"entries"
    assert (collection, values["relative_path"], values["_display_name"]) == (
        "downloads", "Download/Rowend", bundle.name,
    )  # fmt: skip
    assert (sheet, sent.action, sent.fields["stream"]) == ("chooser", "send", outside / bundle.name)
    assert sent.fields["flags"] == Intent.FLAG_GRANT_READ_URI_PERMISSION


def test_downloads_that_take_nothing_are_trouble(bundle: Path, outside: Path) -> None:
    with pytest.raises(OSError, match="take no file"):
        Android(outside, downloads=False).sharer().share(bundle)


def test_an_older_android_asks_where_to_put_it(bundle: Path, outside: Path) -> None:
    """There an app may not write among the downloads without a permission for all files."""
    android = Android(outside, sdk=28)

    where = android.sharer().share(bundle)
    intent, _ = android.started[0]
    android.chosen(outside / "card")

    assert where == ""
    assert (intent.action, intent.fields["title"]) == ("android.intent.action.CREATE_DOCUMENT", bundle.name)
    _wait_for(lambda: (outside / "card").exists() and (outside / "card").read_bytes() == b"entries")


def test_a_file_is_chosen_in_the_systems_own_picker(bundle: Path, outside: Path) -> None:
    android, chosen = Android(outside), list[Opened | None]()
    sharer = android.sharer()

    sharer.choose(outside, chosen.append)
    intent, _ = android.started[0]
    android.answer(12345, -1, SimpleNamespace(getData=lambda: "somebody else's"))
    android.chosen(bundle)
    android.chosen(bundle)

    assert (intent.action, intent.fields["category"]) == ("android.intent.action.OPEN_DOCUMENT", "openable")
    (opened,) = chosen
    assert opened is not None
    with opened() as file:
        assert file.read() == b"entries"


def test_who_turns_back_from_the_picker_chose_nothing(outside: Path) -> None:
    android, chosen = Android(outside), list[Opened | None]()
    android.sharer().choose(outside, chosen.append)

    android.chosen(None)

    assert chosen == [None]


def test_on_a_desk_files_lie_in_the_apps_folder(tmp_path: Path, bundle: Path) -> None:
    (tmp_path / "older.bundle").write_bytes(b"old")
    os.utime(tmp_path / "older.bundle", (1, 1))
    (tmp_path / "a letter.txt").write_bytes(b"no bundle")
    chosen = list[Opened | None]()

    where = DeskSharer().share(bundle)
    DeskSharer().choose(tmp_path, chosen.append)
    DeskSharer().choose(tmp_path / "empty", chosen.append)

    assert where == str(bundle.parent)
    assert chosen[1] is None
    assert chosen[0] is not None
    with chosen[0]() as file:
        assert file.read() == b"entries"


def _wait_for(done: Callable[[], bool]) -> None:
    end = time.monotonic() + 10
    while not done():
        assert time.monotonic() < end, "it did not come to be"
        time.sleep(0.01)
