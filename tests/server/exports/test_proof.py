"""`rowend verify FILE`: exports, planting records, bundles and backups are checked where the farm's records are not."""

import json
import random
import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import delete

from server.cli import main as cli
from server.farms.edits import edit
from shared_models.core.revision import digest
from shared_models.log.fork import branch_off
from shared_models.log.store import writing
from shared_models.records.tables import SignedHead, table_of
from shared_models.sync.wire import Page, pack, unpack
from tests.server.exports.conftest import run
from tests.server.support.service import Phone, Service
from tests.shared_models.log.device import run_of

EDITS = 4


@dataclass
class Desk:
    """Somebody with files from the farm, on a machine without its records."""

    data: Path
    capture: pytest.CaptureFixture[str]

    def write(self, name: str, *words: str | Path) -> Path:
        file = self.data / "files" / name
        file.parent.mkdir(exist_ok=True)
        assert run(self.data, *words, file) == 0
        self.capture.readouterr()
        return file

    def check(self, file: Path) -> tuple[int, str]:
        """The exit status and what is printed."""
        status = cli.run(["verify", str(file)])
        printed, errors = self.capture.readouterr()
        return status, printed + errors


@pytest.fixture
def desk(service: Service, phone: Phone, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Desk:
    """The phone has some lines, a few corrections came from the office, and wages are known."""
    ana = phone.write("person", name="Ana")
    bed = phone.add_bed("North 2")
    phone.sync(service)
    for rows in range(1, EDITS):
        edit(service.engine, phone.farm, "bed", bed, {"rows": rows}, ana, service.fakes.time)
    edit(service.engine, phone.farm, "person", ana, {"wage_per_hour": 21.5}, None, service.fakes.time)
    return Desk(tmp_path, capsys)


@pytest.fixture
def export(desk: Desk) -> Path:
    return desk.write("out", "export", "--out") / "records.json"


FILES: dict[str, Callable[[Desk], Path]] = {
    "export": lambda desk: desk.write("out", "export", "--out") / "records.json",
    "export without wages": lambda desk: desk.write("out", "export", "--no-private", "--out") / "records.json",
    "planting record": lambda desk: desk.write("north.html", "export", "--record", "North 2", "--out"),
    "bundle": lambda desk: desk.write("card", "bundle", "--out"),
    "backup": lambda desk: desk.write("farm.db", "backup", "--to"),
}


@pytest.mark.parametrize("kind", FILES)
def test_a_good_file_is_proven_by_device(desk: Desk, phone: Phone, kind: str) -> None:
    status, said = desk.check(FILES[kind](desk))

    assert status == 0, said
    assert f"is a{'n' if 'export' in kind else ''} {kind.partition(' without')[0]}." in said
    assert "Everything in this file is proven." in said
    name = "Device" if kind == "bundle" else "Field phone"
    numbers = "line 3 is as the device signed it" if kind == "planting record" else "lines 1 to 3 are as the device"
    assert f"{name} ({phone.device}): {numbers}" in said
    assert ("Office only" in said) == (kind in {"export", "backup"})


@pytest.mark.parametrize("kind", ["export", "planting record"])
def test_no_letter_can_be_changed_unnoticed(desk: Desk, tmp_path: Path, kind: str) -> None:
    text = FILES[kind](desk).read_text()
    chosen, changed = random.Random(5), tmp_path / "changed"
    places = [chosen.randrange(len(text)) for _ in range(40)]

    for place in places:
        letter = "7" if text[place] != "7" else "8"
        changed.write_text(text[:place] + letter + text[place + 1 :])
        status, said = desk.check(changed)
        assert status == 1, (text[place - 20 : place + 20], said)
        assert "Everything in this file is proven." not in said


@pytest.mark.parametrize("kind", ["export", "planting record"])
def test_a_changed_line_is_named(desk: Desk, phone: Phone, kind: str) -> None:
    file = FILES[kind](desk)
    file.write_text(file.read_text().replace('North 2\\"', 'North 9\\"'))

    status, said = desk.check(file)

    assert status == 1
    assert f"Field phone ({phone.device}): line 3 was changed." in said


def test_a_changed_record_is_named(desk: Desk, export: Path) -> None:
    document = json.loads(export.read_text())
    (bed,) = (each for each in document["records"]["bed"] if each["name"] == "North 2")
    bed["rows"] = 7
    del document["records"]["person"][0]["name"]
    document["records"]["weather"].append({"id": "made up"})
    document["records"]["bed"] = [bed]
    export.write_text(json.dumps(document, indent=1))

    status, said = desk.check(export)

    assert status == 1
    assert f"bed North 2 ({bed['id']}): not what the lines say: rows." in said
    assert "bed North 1" in said
    assert "it was taken out." in said
    assert "not what the lines say: name." in said
    assert "weather made up: no line in this file says so." in said
    assert "something in it was changed" in said


def rechained(log: dict[str, Any], old: str, new: str) -> None:
    """Change a line and work out the chain anew, as a forger would who lacks the key."""
    (part,) = log["parts"]
    last = bytes.fromhex(part["digest"])
    for line in part["lines"]:
        line[1] = line[1].replace(old, new)
        last = digest(last, line[1])
        line[0] = last.hex()
    log["last_digest"] = last.hex()


def test_a_forged_chain_does_not_fit_the_signature(desk: Desk, phone: Phone, export: Path) -> None:
    document = json.loads(export.read_text())
    (log,) = (each for each in document["logs"] if each["device"] == phone.device)
    rechained(log, "North 2", "North 9")
    export.write_text(json.dumps(document))

    status, said = desk.check(export)

    assert status == 1
    assert f"Field phone ({phone.device}): the signature does not fit. Line" in said


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"key": "AAAA"}, "the key in this file belongs to another device."),
        ({"last_line": 2}, "line 2 has another digest than this file says."),
        ({"branch": ["00000000-0000-7000-8000-0000000000aa", 0, "ab" * 32]}, "belongs to another device."),
    ],
)
def test_a_log_under_another_name_is_refused(
    desk: Desk, phone: Phone, export: Path, change: dict[str, Any], sentence: str
) -> None:
    document = json.loads(export.read_text())
    (log,) = (each for each in document["logs"] if each["device"] == phone.device)
    log |= change
    export.write_text(json.dumps(document))

    status, said = desk.check(export)

    assert status == 1
    assert sentence in said


def test_what_is_not_signed_is_said(desk: Desk, service: Service, phone: Phone) -> None:
    signed = table_of(SignedHead)
    with writing(service.engine, phone.farm) as connection:
        connection.execute(delete(signed).where(signed.c.seq > 1))

    for kind in ("export", "backup"):
        status, said = desk.check(FILES[kind](desk))
        assert status == 1
        assert f"The last 2 entries of Field phone ({phone.device}) are not signed yet." in said
    status, said = desk.check(FILES["planting record"](desk))
    assert status == 1
    assert f"Field phone ({phone.device}) is not signed yet." in said


def test_records_without_their_logs_prove_nothing(desk: Desk, export: Path) -> None:
    document = json.loads(export.read_text())
    del document["logs"], document["signed"]
    export.write_text(json.dumps(document))

    assert desk.check(export) == (1, desk_says(export, "No logs are in this file"))


def desk_says(file: Path, sentence: str) -> Any:
    """Any text with this sentence."""

    class Containing(str):
        __slots__ = ()

        def __eq__(self, other: object) -> bool:
            return isinstance(other, str) and str(file) in other and sentence in other

        __hash__ = str.__hash__

    return Containing()


def test_lines_of_a_bundle_are_checked_too(desk: Desk, phone: Phone, tmp_path: Path) -> None:
    forged, card = run_of(phone.device, "no line"), tmp_path / "card"
    (page,) = [unpack(FILES["bundle"](desk).read_bytes())]
    (mine,) = (each for each in page.runs if each.device == phone.device)
    late = type(mine)(mine.device, 2, mine.texts[2:], mine.digest, mine.key, mine.signature)

    for some, sentence in (
        ([forged], "line 1 was changed."),
        ([late], f"Lines 3 to 3 of device {phone.device} go on from lines that are not in this file."),
    ):
        card.write_bytes(pack(Page(phone.farm, {}, some)))
        status, said = desk.check(card)
        assert status == 1
        assert sentence in said


def test_a_backup_with_a_changed_line_or_record_is_found(desk: Desk, phone: Phone) -> None:
    for statement, sentence in (
        ("UPDATE bed SET rows = 99 WHERE name = 'North 2'", "differs from its log in rows"),
        ("UPDATE line SET text = replace(text, 'North 2', 'North 9')", f"({phone.device}): line 3 was changed."),
        ("UPDATE meta SET value = 'other' WHERE name = 'projections'", "its records were not compared"),
    ):
        backup = FILES["backup"](desk)
        with closing(sqlite3.connect(backup)) as opened, opened:
            opened.execute(statement)
        status, said = desk.check(backup)
        assert status == 1, said
        assert sentence in said
        backup.unlink()


@pytest.mark.parametrize(
    ("content", "status", "sentence"),
    [
        (b"", 2, "is not a file that Rowend writes. Choose records.json"),
        (b"\x1f\x8bnonsense", 1, "cannot be checked: it is not a file from Rowend"),
        (b"{", 1, "cannot be checked: it is not an export of records"),
        (b'{"farm": "nowhere", "records": {}}', 1, "it is not an export of records (farm"),
        (b"[" * 9999, 2, "is not a file that Rowend writes"),
        (b'{"a":' * 9999, 1, "cannot be checked: it is not an export of records"),
        (b"<html>\xff", 1, "it is not UTF-8 text"),
        (b"<html><p>Hello", 1, "it is not a planting record with its logs"),
        (b"SQLite format 3\0" + b"\0" * 100, 1, "is damaged and cannot be read"),
        (None, 2, "cannot be read (No such file or directory). Check the name."),
    ],
)
def test_what_is_no_such_file_gets_one_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], content: bytes | None, status: int, sentence: str
) -> None:
    file = tmp_path / "some file"
    if content is not None:
        file.write_bytes(content)

    assert cli.run(["verify", str(file)]) == status

    assert sentence in capsys.readouterr().err


def test_a_branch_proves_the_device_that_wrote_it(desk: Desk, service: Service, phone: Phone) -> None:
    with writing(service.engine, phone.farm) as connection:
        (branch,) = branch_off(connection, phone.farm, phone.device, 1)

    status, said = desk.check(FILES["export"](desk))

    assert status == 0, said
    assert f"Field phone ({branch}), split off {phone.device} after line 1: lines 2 to 3 are as the device" in said
