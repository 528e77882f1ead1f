"""Run the service: the socket it listens on, and uvicorn."""

import gc
import socket
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from ipaddress import ip_network
from pathlib import Path

import uvicorn
from starlette.applications import Starlette

from server.runtime.connections import BoundedListener, BoundedServer
from server.runtime.repeated_warnings import limit_repeated_warnings
from shared_models.errors import UsageError

#: how long requests under way may take when the service stops
_GRACE_S = 10


def listen(host: str, port: int) -> BoundedListener:
    """Open a socket that takes a bounded number of connections; port 0 is any free one.

    Raises:
        UsageError: the port is taken, or the host is not this machine's.
    """
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    try:
        listening = socket.create_server((host, port), family=family)
    except OSError as problem:
        raise UsageError(
            f"The service cannot listen on {host}, port {port} ({problem.strerror}).",
            "Choose another port with --port, or an address of this machine with --host.",
        ) from problem
    # connections inherit it; without it the second part of a short answer waits 40 ms for an acknowledgement
    listening.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
    return BoundedListener(listening)


def check_proxies(proxies: Sequence[str]) -> None:
    """Check that each is the address of a proxy, or of its network.

    Raises:
        UsageError: when one is something else, or stands for every address.
    """
    for proxy in proxies:
        try:
            everybody = not ip_network(proxy).prefixlen
        except ValueError:
            everybody = True
        if everybody:
            raise UsageError(
                f"{proxy} is not the address of a proxy.",
                "Name the proxy by its address, such as 127.0.0.1, or its network, such as 172.18.0.0/16.",
            )


def serve_until_stopped(
    app: Starlette, listening: BoundedListener, certificate: Path | None = None, proxies: Sequence[str] = ()
) -> None:
    """Serve until Ctrl-C or SIGTERM; with a certificate (a PEM file with its key), by TLS only.

    What `X-Forwarded-For` and `X-Forwarded-Proto` say counts from these proxies only.
    """
    freeze_garbage_collector()
    with suppress(KeyboardInterrupt):
        _server(app, listening, certificate, proxies).run(sockets=[listening])


def freeze_garbage_collector() -> None:
    """Exempt what is loaded so far from garbage collection, which else would walk it at every large sync."""
    gc.freeze()


@contextmanager
def serving(
    app: Starlette, listening: BoundedListener, certificate: Path | None = None, proxies: Sequence[str] = ()
) -> Iterator[threading.Event]:
    """Serve in a thread until the block ends, as `serve_until_stopped`.

    Yields:
        An event, set when the service ends by itself. Wait for it, not for the thread: Python 3.11 takes a thread
        whose join was interrupted for one that has ended.
    """
    server, ended = _server(app, listening, certificate, proxies), threading.Event()

    def run() -> None:
        try:
            server.run(sockets=[listening])
        finally:
            ended.set()

    thread = threading.Thread(target=run, name="service")
    thread.start()
    try:
        yield ended
    finally:
        server.should_exit = True
        thread.join()


def _server(
    app: Starlette, listening: BoundedListener, certificate: Path | None, proxies: Sequence[str]
) -> uvicorn.Server:
    # no access log: it would hold the one-time links
    config = uvicorn.Config(
        app,
        log_level="warning",
        access_log=False,
        timeout_graceful_shutdown=_GRACE_S,
        ssl_certfile=certificate,
        proxy_headers=bool(proxies),  # uvicorn's default is to believe every program of this machine
        forwarded_allow_ips=list(proxies),
    )
    limit_repeated_warnings()
    return BoundedServer(config, listening)
