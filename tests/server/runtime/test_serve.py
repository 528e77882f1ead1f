"""`rowend serve --tls` and what `rowend pair` then prints."""

import signal
import ssl
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from server.cli import main as cli
from server.runtime.certificate import FILE_NAME
from shared_models.sync.pairing_link import read_link

HOST = "127.0.0.1"


def test_a_service_with_tls_tells_its_certificate_in_the_pairing_link(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    data = tmp_path / "farm data"
    assert cli.run(["farm", "new", "Heronbrook", "--zone", "UTC", "--data", str(data)]) == 0
    command = [sys.executable, "-m", "server.cli.main", "serve", "--tls", "--port", "0", "--data", str(data)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as program:  # noqa: S603 - our own
        assert program.stdout is not None
        assert program.stderr is not None
        address = program.stdout.readline().split()[2].rstrip(".")
        shown = ssl.get_server_certificate((HOST, int(address.rpartition(":")[2])))
        program.send_signal(signal.SIGINT)
        program.wait(timeout=20)
        errors = program.stderr.read()
    capsys.readouterr()

    assert cli.run(["pair", "--data", str(data)]) == 0

    printed = capsys.readouterr().out
    link = read_link(next(line for line in printed.splitlines() if line.startswith("Link")).split()[1])
    assert (program.returncode, errors) == (0, "")
    assert address.startswith(f"https://{HOST}:")
    assert link.addresses == (address,)
    assert link.pin is not None
    assert link.code == printed.split()[1].replace("-", "")
    assert "█▀" in printed
    assert shown.strip() in (data / FILE_NAME).read_text()
    assert stat.S_IMODE((data / FILE_NAME).stat().st_mode) == 0o600


def test_a_terminal_without_block_characters_gets_the_link_alone(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    data = str(tmp_path / "data")
    assert cli.run(["farm", "new", "Heronbrook", "--zone", "UTC", "--data", data]) == 0
    monkeypatch.setattr("server.cli.farm.pairing_qr_text", lambda _link: "\ud83d")  # what no encoding can say

    assert cli.run(["pair", "--data", data]) == 0
    assert "Link     rowend://pair?" in capsys.readouterr().out


def test_a_service_that_cannot_prove_who_it_is_is_not_announced(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.run(["serve", "--announce", "--data", str(tmp_path / "data")]) == 2
    assert "Add --tls" in capsys.readouterr().err
    assert not (tmp_path / "data").exists()
