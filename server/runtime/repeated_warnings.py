"""Log what repeats once a minute: whoever sends nonsense on purpose must not fill the disk with warnings about it."""

import logging
from typing import ClassVar

from typing_extensions import override

EVERY_S = 60.0


class RepeatedWarnings(logging.Filter):
    """Passes each message once in `EVERY_S`, with how often it was left out before. Errors of the service all pass."""

    _PASSING: ClassVar[dict[str, int]] = {"uvicorn.error": logging.ERROR}

    def __init__(self) -> None:
        super().__init__()
        self._last: dict[str, float] = {}
        self._left_out: dict[str, int] = {}

    @override
    def filter(self, record: logging.LogRecord) -> bool:
        if record.levelno >= self._PASSING.get(record.name, logging.CRITICAL):
            return True
        message = str(record.msg)
        if record.created - self._last.get(message, -EVERY_S) < EVERY_S:
            self._left_out[message] = self._left_out.get(message, 0) + 1
            return False
        left_out = self._left_out.pop(message, 0)
        self._last[message] = record.created
        if left_out:
            record.msg = f"{message} (and {left_out} times before)"
        return True


def limit_repeated_warnings() -> None:
    """Filter what the web server and its event loop log about connections."""
    for name in ("uvicorn.error", "asyncio", "server.runtime.connections"):
        logging.getLogger(name).addFilter(_FILTER)


_FILTER = RepeatedWarnings()
