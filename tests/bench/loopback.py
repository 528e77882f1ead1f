"""A real HTTP server on the loopback, for as long as a block lasts."""

from collections.abc import Iterator
from contextlib import contextmanager

from starlette.applications import Starlette

from server.runtime import uvicorn_server


@contextmanager
def serving(app: Starlette) -> Iterator[str]:
    """Serve an application as the service is served; its address."""
    uvicorn_server.freeze_garbage_collector()
    with uvicorn_server.listen("127.0.0.1", 0) as listening, uvicorn_server.serving(app, listening):
        yield f"http://127.0.0.1:{listening.getsockname()[1]}"
