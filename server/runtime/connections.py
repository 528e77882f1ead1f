"""Bounds on connections: how many there are, and how long each may idle, dawdle or leave an answer unread.

Uvicorn has none of these: idle connections would stay until no file could be opened any more.
"""

from __future__ import annotations

import logging
import socket
import time
from asyncio import Transport
from collections import Counter
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

import h11
import uvicorn
from typing_extensions import override
from uvicorn.protocols.http.h11_impl import H11Protocol

logger = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class ConnectionLimits:
    """How many connections, and how many seconds for each part of a request."""

    #: well below the 1,024 files that a program may open on most systems
    most: int = 256
    #: to connect, and to send the head of a request
    head_s: float = 15.0
    #: without a byte of a request's body
    body_pause_s: float = 20.0
    #: for a whole body: 1 MiB on a connection of 70 kbit/s
    body_s: float = 120.0
    #: without the other side reading any of its answer
    answer_pause_s: float = 60.0


LIMITS = ConnectionLimits()
#: connections over the limit while all others are worked on: they are answered that the service is busy
_SPARE = 32
#: connections that wait in the system until they are accepted
_BACKLOG = 1024


@dataclass(frozen=True, slots=True)
class _Accepted:
    connection: socket.socket
    host: str
    since: float


class BoundedListener(socket.socket):
    """A listening socket. A connection too many takes the place of one on which nothing is worked.

    That is the oldest one of the address that has the most of them, so whoever floods the service displaces itself.
    """

    def __init__(self, listening: socket.socket, clock: Callable[[], float] = time.monotonic) -> None:
        super().__init__(fileno=listening.detach())
        self.limits = LIMITS
        #: by file descriptor, the connections on which HTTP has begun
        self.established: Callable[[], Mapping[int, TimedProtocol]] = dict
        self._clock = clock
        self._open: list[_Accepted] = []
        self._closing: list[socket.socket] = []

    @override
    def accept(self) -> tuple[socket.socket, Any]:
        self._closing = [each for each in self._closing if each.fileno() != -1]
        if len(self._closing) >= _SPARE:
            raise BlockingIOError  # until the event loop has closed them
        connection, address = super().accept()
        self._open = [each for each in self._open if each.connection.fileno() != -1]
        self._open.append(_Accepted(connection, str(address[0]), self._clock()))
        if len(self._open) > self.limits.most:
            self._make_room()
        return connection, address

    def end_handshakes(self) -> None:
        """Close the connections on which TLS takes too long."""
        before, established = self._clock() - self.limits.head_s, self.established()
        for each in self._open:
            if each.since < before and each.connection.fileno() not in established:
                _shut(each.connection)

    def _make_room(self) -> None:
        established = self.established()
        *others, newest = self._open
        idle = [each for each in others if not _is_working(established.get(each.connection.fileno()))]
        if idle:
            ((crowd, _),) = Counter(each.host for each in idle).most_common(1)
            displaced = next(each for each in idle if each.host == crowd)
        elif len(others) < self.limits.most + _SPARE:
            return
        else:
            displaced = newest
        self._open.remove(displaced)
        self._closing.append(displaced.connection)
        protocol = established.get(displaced.connection.fileno())
        if protocol is not None:
            protocol.transport.abort()
        _shut(displaced.connection)


def _is_working(protocol: TimedProtocol | None) -> bool:
    return protocol is not None and protocol.is_working


def _shut(connection: socket.socket) -> None:
    """End a connection that belongs to the event loop, which closes it then."""
    with suppress(OSError):  # the other side was faster
        connection.shutdown(socket.SHUT_RDWR)


class TimedProtocol(H11Protocol):
    """HTTP on one connection, with the time each part of a request has taken."""

    @override
    def connection_made(self, transport: Transport) -> None:  # type: ignore[override]  # as uvicorn's own
        super().connection_made(transport)
        #: kept, since a transport that was closed does not know it any more
        self.descriptor: int = transport.get_extra_info("socket").fileno()
        self._state: object = None
        self._since = self._received = self._sent = self.loop.time()
        self._unsent = 0
        # with 0, uvicorn answers that the service is busy; its own count would take in those that are idle
        working = sum(isinstance(each, TimedProtocol) and each.is_working for each in self.connections)
        self.limit_concurrency = 0 if working >= (self.limit_concurrency or LIMITS.most) else None

    @override
    def data_received(self, data: bytes) -> None:
        self._received = self.loop.time()
        super().data_received(data)

    @override
    def on_response_complete(self) -> None:
        self._since = self.loop.time()
        super().on_response_complete()

    @property
    def is_working(self) -> bool:
        """Whether the service has a whole request to answer: the other side is not what it waits for."""
        cycle = self.cycle
        return cycle is not None and not cycle.response_complete and not cycle.more_body and not self._unsent

    def end_if_overdue(self, limits: ConnectionLimits) -> None:
        """Close the connection when its other side takes too long."""
        now, unsent = self.loop.time(), self.transport.get_write_buffer_size()
        if unsent != self._unsent:
            self._unsent, self._sent = unsent, now
        if self.conn.their_state is not self._state:
            self._state, self._since = self.conn.their_state, now
        if self._is_overdue(now, limits):
            self.transport.abort()

    def _is_overdue(self, now: float, limits: ConnectionLimits) -> bool:
        if self._unsent:
            return now - self._sent > limits.answer_pause_s
        if self._state is h11.IDLE:
            return now - self._since > limits.head_s
        if self._state is h11.SEND_BODY:
            paused = not self.flow.read_paused and now - self._received > limits.body_pause_s
            return paused or now - self._since > limits.body_s
        return False


class BoundedServer(uvicorn.Server):
    """Uvicorn with these bounds on the connections of a listener."""

    def __init__(self, config: uvicorn.Config, listener: BoundedListener) -> None:
        config.http = TimedProtocol
        config.loop = "asyncio"  # others accept connections past the listener
        config.limit_concurrency = listener.limits.most
        config.backlog = _BACKLOG
        super().__init__(config)
        self._listener = listener
        listener.established = self._established

    @override
    async def on_tick(self, counter: int) -> bool:
        try:
            self._end_overdue()
        except Exception:  # else it would end the service
            logger.exception("connections that take too long could not be closed")
        return await super().on_tick(counter)

    def _established(self) -> dict[int, TimedProtocol]:
        # a descriptor may be in use once more before the connection that had it is forgotten
        connections = sorted(self._connections(), key=lambda each: not each.transport.is_closing())
        return {each.descriptor: each for each in connections}

    def _connections(self) -> list[TimedProtocol]:
        return [each for each in self.server_state.connections if isinstance(each, TimedProtocol)]

    def _end_overdue(self) -> None:
        for each in self._connections():
            each.end_if_overdue(self._listener.limits)
        self._listener.end_handshakes()
