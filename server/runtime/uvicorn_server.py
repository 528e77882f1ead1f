"""The service as a running program: the socket it listens on, and uvicorn behind it."""

from __future__ import annotations

import gc
import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import uvicorn
from starlette.applications import Starlette

from shared_models.errors import WrongUse

#: requests under way get this long when the service is told to stop
_FAREWELL_S = 10


def listen(host: str, port: int) -> socket.socket:
    """A socket that takes connections from now on; port 0 is any free one.

    Raises:
        WrongUse: when the port is taken or the host is not this machine's.
    """
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    try:
        listening = socket.create_server((host, port), family=family)
    except OSError as problem:
        raise WrongUse(
            f"The service cannot listen on {host}, port {port} ({problem.strerror}).",
            "Choose another port with --port, or an address of this machine with --host.",
        ) from problem
    # connections take it over; else the second part of a short answer waits 40 ms for word that the first arrived
    listening.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
    return listening


def serve_until_stopped(app: Starlette, listening: socket.socket, certificate: Path | None = None) -> None:
    """Serve until Ctrl-C or a signal to end; with a certificate (and its key, in one file), by TLS only."""
    settle()
    with suppress(KeyboardInterrupt):
        _server(app, certificate).run(sockets=[listening])


def settle() -> None:
    """What is loaded by now stays for good: do not look through it for garbage at every large sync."""
    gc.freeze()


@contextmanager
def serving(app: Starlette, listening: socket.socket, certificate: Path | None = None) -> Iterator[threading.Thread]:
    """Serve in a thread until the block ends."""
    server = _server(app, certificate)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, name="service")
    thread.start()
    try:
        yield thread
    finally:
        server.should_exit = True
        thread.join()


def _server(app: Starlette, certificate: Path | None) -> uvicorn.Server:
    # no access log: it would write down the office's key
    return uvicorn.Server(
        uvicorn.Config(
            app,
            log_level="warning",
            access_log=False,
            timeout_graceful_shutdown=_FAREWELL_S,
            ssl_certfile=certificate,
        )
    )
