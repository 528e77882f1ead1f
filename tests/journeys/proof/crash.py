"""A process that dies between two statements of a transaction."""

import itertools
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from typing import Any
from unittest.mock import patch

from sqlalchemy import Engine, event

from shared_models.log.prepared_statements import Prepared


class Crash(Exception):
    """The process died here."""


@contextmanager
def crashing(engines: Sequence[Engine], after: int) -> Iterator[None]:
    """Whoever uses these databases dies before its statement number `after`; a commit counts as a statement."""
    statements = itertools.count()

    def die(*_: Any, **__: Any) -> None:
        if next(statements) == after:
            raise Crash

    with ExitStack() as stack:
        for engine in engines:
            for what in ("before_cursor_execute", "commit"):
                event.listen(engine, what, die)
                stack.callback(event.remove, engine, what, die)
        for name in ("_run", "run_many"):
            stack.enter_context(patch.object(Prepared, name, _dying(getattr(Prepared, name), die)))
        yield


def _dying(method: Any, die: Any) -> Any:
    def run(self: Prepared, *values: Any) -> Any:
        die()
        return method(self, *values)

    return run
