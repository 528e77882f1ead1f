"""While the service runs: read through all logs, and have the database check its file, a little at a time."""

import asyncio
from collections.abc import Awaitable, Callable, Iterator
from contextlib import suppress
from logging import getLogger

from sqlalchemy import Connection, Engine
from starlette.concurrency import run_in_threadpool

from server.db.meta import get_meta, set_meta
from server.farms.health import integrity_problems
from server.farms.registry import all_farms
from shared_models.errors import StorageError
from shared_models.log.damage import START, check_logs
from shared_models.log.store import reading

#: seconds between two slices, and after everything was read
TICK_S, REST_S = 2.0, 1800.0
#: lines in a slice: reading them takes some milliseconds
SLICE_LINES = 500
_NAME = "file damage"

logger = getLogger(__name__)

Pause = Callable[[asyncio.Event, float], Awaitable[None]]
"""Wait so many seconds, or until the event is set."""


class IdleCheck:
    """Checks the logs of all farms a slice at a time, then the database's file. Readers and writers go on meanwhile."""

    def __init__(self, engine: Engine, lines: int = SLICE_LINES) -> None:
        self._engine, self._lines = engine, lines
        self._steps: Iterator[None] | None = None

    def step(self) -> bool:
        """Check the next slice; return whether it was the last one. What cannot be read is left for the next round."""
        self._steps = self._steps or self._round()
        try:
            next(self._steps)
        except StopIteration:
            self._steps = None
        except StorageError:
            logger.exception("the check of the logs stopped")
            self._steps = None
        return self._steps is None

    def _round(self) -> Iterator[None]:
        with reading(self._engine) as connection:
            farms = all_farms(connection)
        for farm in farms:
            place = check_logs(self._engine, farm.id, START, self._lines)
            yield
            while place != START:
                place = check_logs(self._engine, farm.id, place, self._lines)
                yield
        with reading(self._engine) as connection:
            found, before = "\n".join(integrity_problems(connection)), file_damage(connection)
        if found != before:
            set_meta(self._engine, _NAME, found)


def file_damage(connection: Connection) -> str:
    """What the last check found wrong with the database's file; empty when nothing."""
    return get_meta(connection, _NAME) or ""


async def _wait(stop: asyncio.Event, seconds: float) -> None:
    with suppress(TimeoutError):
        await asyncio.wait_for(stop.wait(), seconds)


async def check_while_idle(check: IdleCheck, stop: asyncio.Event, pause: Pause = _wait) -> None:
    """Check slice after slice, with pauses, until `stop` is set."""
    seconds = TICK_S
    while True:
        await pause(stop, seconds)
        if stop.is_set():
            return
        seconds = REST_S if await run_in_threadpool(check.step) else TICK_S
