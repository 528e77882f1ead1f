"""The service behind a real socket."""

import http.client
import signal
import socket
import subprocess
import sys
from pathlib import Path

import pytest

from server.runtime.uvicorn_server import listen, serving
from shared_models.errors import UsageError
from shared_models.sync.wire import MAX_BODY_BYTES, pack
from tests.fixtures.programs import IN_BACKGROUND
from tests.server.support.service import Service

HOST = "127.0.0.1"


def ask(port: int, method: str, path: str, body: bytes = b"", bearer: str = "") -> tuple[int, bytes]:
    """Status and body of an answer over a real connection."""
    line = http.client.HTTPConnection(HOST, port, timeout=20)
    line.request(method, path, body, {"Authorization": f"Bearer {bearer}"})
    answer = line.getresponse()
    text = answer.read()
    line.close()
    return answer.status, text


def test_a_taken_port_is_reported_with_what_to_do() -> None:
    with listen(HOST, 0) as taken, pytest.raises(UsageError, match="--port"):
        listen(HOST, taken.getsockname()[1])


def test_a_short_answer_does_not_wait_for_its_parts_to_be_acknowledged() -> None:
    """Without it every page and every sync takes 40 ms longer."""
    with listen(HOST, 0) as listening, socket.create_connection(listening.getsockname()):
        taken, _ = listening.accept()
        with taken:
            assert taken.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY)


def test_a_sender_of_too_much_gets_the_answer(service: Service, farm: str) -> None:
    """Over a real connection the answer arrives although the body was not read to its end into memory."""
    phone = service.phone(farm)
    with listen(HOST, 0) as listening, serving(service.app, listening):
        status, text = ask(listening.getsockname()[1], "POST", "/v1/sync", b"x" * (2 * MAX_BODY_BYTES), phone.bearer)

    assert status == 413
    assert b"too-much" in text


def test_a_phone_syncs_over_a_real_connection(service: Service, farm: str) -> None:
    phone = service.phone(farm)
    phone.add_bed("North 1")
    with listen(HOST, 0) as listening, serving(service.app, listening):
        status, _ = ask(listening.getsockname()[1], "POST", "/v1/sync", pack(phone.page({})), phone.bearer)

    assert status == 200
    assert list(service.beds(farm).values()) == ["North 1"]


@pytest.mark.parametrize("ending", [signal.SIGINT, signal.SIGTERM])
def test_the_served_program_prints_its_address_and_ends_cleanly(tmp_path: Path, ending: signal.Signals) -> None:
    words = ["server.cli.main", "serve", "--port", "0", "--data", str(tmp_path / "data")]
    command = [*IN_BACKGROUND, sys.executable, "-m", *words]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as program:  # noqa: S603 - our own
        assert program.stdout is not None
        assert program.stderr is not None
        first_line = program.stdout.readline()
        port = int(first_line.split("127.0.0.1:")[1].split(".")[0])
        _, health = ask(port, "GET", "/healthz")
        program.send_signal(ending)
        program.wait(timeout=20)
        rest, errors = program.stdout.read(), program.stderr.read()

    assert health == b'{"status":"ok"}'
    assert "rowend serve --host 0.0.0.0" in rest
    assert "rowend farm new" in rest
    assert (program.returncode, errors) == (0, "")
