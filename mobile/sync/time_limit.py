"""A limit on the time that one answer takes: a socket's own timeout begins anew with every byte that drips in."""
# mypy: disallow-subclassing-any=False

import http.client
import io
import time
from collections.abc import Callable
from typing import Any

from requests.adapters import HTTPAdapter
from typing_extensions import override
from urllib3 import HTTPConnectionPool, HTTPSConnectionPool

#: from the end of a request to the end of its answer
ANSWER_S = 180.0


class TimedAdapter(HTTPAdapter):
    """Connects as usual; an answer that is not read to its end after `limit_s` seconds ends with a timeout."""

    def __init__(self, clock: Callable[[], float] = time.monotonic, limit_s: float = ANSWER_S) -> None:
        self._clock, self._limit_s = clock, limit_s
        super().__init__()

    @override
    def init_poolmanager(self, *args: Any, **kwargs: Any) -> None:
        super().init_poolmanager(*args, **kwargs)
        self.poolmanager.pool_classes_by_scheme = {
            "http": self._timed(HTTPConnectionPool),
            "https": self._timed(HTTPSConnectionPool),
        }

    def _timed(self, pool: type[HTTPConnectionPool]) -> type[HTTPConnectionPool]:
        """A pool whose connections read their answers by `_TimedReader`."""
        clock, limit_s = self._clock, self._limit_s

        class Response(http.client.HTTPResponse):
            def __init__(self, *args: Any, **kwargs: Any) -> None:
                super().__init__(*args, **kwargs)
                self.fp = io.BufferedReader(_TimedReader(self.fp, clock, clock() + limit_s))

        connection = type("TimedConnection", (pool.ConnectionCls,), {"response_class": Response})
        return type("TimedPool", (pool,), {"ConnectionCls": connection})


class _TimedReader(io.RawIOBase):
    """What arrives at a socket; TimeoutError once it is `until`."""

    def __init__(self, arriving: io.BufferedReader, clock: Callable[[], float], until: float) -> None:
        super().__init__()
        self._arriving, self._clock, self._until = arriving, clock, until

    @override
    def readable(self) -> bool:
        return True

    @override
    def readinto(self, buffer: Any) -> int:
        if self._clock() > self._until:
            raise TimeoutError
        piece = self._arriving.read1(len(buffer))
        buffer[: len(piece)] = piece
        return len(piece)

    @override
    def close(self) -> None:
        self._arriving.close()
        super().close()
