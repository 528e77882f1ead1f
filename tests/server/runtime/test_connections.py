"""However many connections idle, drip or hang up, over real sockets: others are answered at once."""

import logging
import select
import socket
import ssl
import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path

import pytest

from server.runtime.certificate import certificate_in
from server.runtime.connections import ConnectionLimits
from server.runtime.repeated_warnings import RepeatedWarnings
from server.runtime.uvicorn_server import listen, serving
from shared_models.sync.wire import pack
from tests.server.runtime.test_running import HOST, ask
from tests.server.support.service import Service

HEALTHY = (200, b'{"status":"ok"}')
#: an answer takes a few milliseconds; nobody else may make it take a second
AT_ONCE_S = 1.0
PAIR = b"POST /v1/pair HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 10000\r\n\r\n"
STARTS = {
    "idle": b"",
    "in the middle of the head": b"GET /healthz HTTP/1.1\r\nX-More: ",
    "in the middle of the body": PAIR + b'{"code":',
    "answered": b"GET /healthz HTTP/1.1\r\nHost: x\r\n\r\n",
}


@contextmanager
def served(service: Service, limits: ConnectionLimits | None = None) -> Iterator[int]:
    with listen(HOST, 0) as listening:
        if limits:
            listening.limits = limits
        with serving(service.app, listening):
            yield listening.getsockname()[1]


def connected(port: int, start: bytes) -> socket.socket:
    connection = socket.create_connection((HOST, port), timeout=20)
    connection.sendall(start)
    return connection


def rest_of(connection: socket.socket) -> bytes:
    """All that still comes, up to the end of the connection."""
    pieces = []
    try:
        while piece := connection.recv(65536):
            pieces.append(piece)
    except ConnectionResetError:
        pass  # what was not read is thrown away
    return b"".join(pieces)


@pytest.mark.parametrize("start", STARTS.values(), ids=STARTS)
def test_hundreds_of_connections_hold_nobody_up(service: Service, start: bytes) -> None:
    with served(service) as port, ExitStack() as many:
        crowd = []
        for _ in range(300):
            crowd.append(many.enter_context(connected(port, start)))
            if start == STARTS["answered"]:
                assert crowd[-1].recv(1)
        times_s = []
        for _ in range(3):  # the computer that runs the tests may be busy otherwise
            began = time.monotonic()
            assert ask(port, "GET", "/healthz") == HEALTHY
            times_s.append(time.monotonic() - began)
        rest_of(crowd[0])  # the oldest was closed, so this comes to an end

    assert min(times_s) < AT_ONCE_S


def test_a_connection_too_many_takes_the_place_of_one_of_the_crowd(service: Service) -> None:
    """Whoever comes from another address than those that flood the service keeps the connection."""
    limits = ConnectionLimits(most=8)
    with served(service, limits) as port, ExitStack() as many:
        other = socket.socket()
        other.bind(("127.0.0.2", 0))
        other.connect((HOST, port))
        for _ in range(20):
            many.enter_context(connected(port, b""))
        other.sendall(b"GET /healthz HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n")
        answered = rest_of(other)
        other.close()

    assert answered.startswith(b"HTTP/1.1 200")


@pytest.mark.parametrize("start", STARTS.values(), ids=STARTS)
def test_a_connection_that_takes_too_long_is_closed(service: Service, start: bytes) -> None:
    limits = ConnectionLimits(head_s=0.1, body_pause_s=0.1)
    with served(service, limits) as port, connected(port, start) as connection:
        assert rest_of(connection).count(b"HTTP/1.1") == (start == STARTS["answered"])
        assert ask(port, "GET", "/healthz") == HEALTHY


def test_a_body_that_drips_is_given_up_though_it_never_pauses(service: Service) -> None:
    limits = ConnectionLimits(body_s=0.2)
    with served(service, limits) as port, connected(port, PAIR) as connection:
        connection.settimeout(0.01)
        sent, closed = 0, False
        while not closed:
            try:
                closed = connection.recv(1) == b""
            except TimeoutError:
                connection.sendall(b"x")
                sent += 1
            except OSError:
                closed = True

    assert 0 < sent < 2000


def test_an_answer_that_nobody_reads_is_given_up(service: Service) -> None:
    """More requests than the system keeps for a connection, and none of the answers is taken."""
    limits = ConnectionLimits(answer_pause_s=0.1)
    with served(service, limits) as port, connected(port, b"") as connection:
        connection.settimeout(0.05)
        with suppress(TimeoutError, ConnectionError):
            while True:
                connection.sendall(b"GET /openapi.json HTTP/1.1\r\nHost: x\r\n\r\n" * 1000)
        ended = select.poll()
        ended.register(connection, 0)  # only that the other side has hung up
        assert ended.poll(20_000)
        assert ask(port, "GET", "/healthz") == HEALTHY


def test_connections_that_begin_no_tls_hold_nobody_up(service: Service, tmp_path: Path) -> None:
    certificate = certificate_in(tmp_path, datetime(2026, 5, 14, 11, tzinfo=UTC))
    with listen(HOST, 0) as listening, ExitStack() as many:
        listening.limits = ConnectionLimits(most=100, head_s=0.5)
        with serving(service.app, listening, certificate.file):
            port = listening.getsockname()[1]
            crowd = [many.enter_context(connected(port, b"\x16\x03")) for _ in range(150)]
            began = time.monotonic()
            shown = ssl.get_server_certificate((HOST, port))
            took_s = time.monotonic() - began
            assert [rest_of(connection) for connection in crowd] == [b""] * 150

    assert "BEGIN CERTIFICATE" in shown
    assert took_s < AT_ONCE_S


def test_more_requests_at_work_than_connections_are_answered_that_the_service_is_busy(service: Service) -> None:
    """Nobody can be displaced, since the service works on all of them."""
    go_on, at_work = threading.Event(), threading.Semaphore(0)

    @service.app.get("/slow")
    def slow() -> str:
        at_work.release()
        return str(go_on.wait(20))

    with served(service, ConnectionLimits(most=2)) as port, ExitStack() as many:
        working = [many.enter_context(connected(port, b"GET /slow HTTP/1.0\r\n\r\n")) for _ in range(2)]
        for _ in working:
            assert at_work.acquire(timeout=20)
        answer = ask(port, "GET", "/healthz")
        go_on.set()
        answers = [rest_of(connection) for connection in working]

    assert answer == (503, b"Service Unavailable")
    assert all(each.startswith(b"HTTP/1.1 200") for each in answers)


@pytest.mark.parametrize("sender", ["a phone", "a stranger"])
def test_an_upload_that_ends_early_writes_no_traceback(
    service: Service, farm: str, caplog: pytest.LogCaptureFixture, sender: str
) -> None:
    phone = service.phone(farm)
    bearer = phone.bearer if sender == "a phone" else "x.y"
    head = f"POST /v1/sync HTTP/1.1\r\nHost: x\r\nAuthorization: Bearer {bearer}\r\nContent-Length: 100000\r\n\r\n"
    with served(service) as port:
        for start in (head.encode() + pack(phone.page({}))[:50], PAIR + b"{"):
            connected(port, start).close()
            assert ask(port, "GET", "/healthz") == HEALTHY

    assert caplog.records == []


def test_warnings_that_repeat_are_logged_once_a_minute() -> None:
    once_a_minute = RepeatedWarnings()

    def logged(level: int, message: str, second: int, name: str = "uvicorn.error") -> str | None:
        record = logging.LogRecord(name, level, "", 0, message, None, None)
        record.created = 1_800_000_000.0 + second
        return record.getMessage() if once_a_minute.filter(record) else None

    assert [logged(logging.WARNING, "Invalid", second) for second in (0, 1, 59)] == ["Invalid", None, None]
    assert logged(logging.WARNING, "Other", 2) == "Other"
    assert logged(logging.WARNING, "Invalid", 61) == "Invalid (and 2 times before)"
    assert [logged(logging.ERROR, "Mistake", second) for second in (0, 1)] == ["Mistake", "Mistake"]
    assert [logged(logging.ERROR, "No file", second, "asyncio") for second in (0, 1)] == ["No file", None]
