"""Bugs to be planted in the product, each in one place, to show that the harness notices them."""

from collections.abc import Callable, Iterable
from contextlib import contextmanager
from typing import Any

from pytest import MonkeyPatch  # noqa: PT013 - it is a type here
from sqlalchemy import Engine

from shared_models.core import clock
from shared_models.core.revision import Revision
from shared_models.log import fork, ingest, log, projection
from shared_models.log.store import writing

Plant = Callable[[MonkeyPatch], None]


def every_signature_is_good(patch: MonkeyPatch) -> None:
    patch.setattr(ingest, "is_signed", lambda *_: True)


def signatures_are_not_passed_on(patch: MonkeyPatch) -> None:
    patch.setattr(ingest._Ingest, "_keep_signatures", lambda *_, **__: None)


def a_branch_drops_its_lines(patch: MonkeyPatch) -> None:
    patch.setattr(fork, "_branch", lambda *_: [])


def the_client_thinks_that_all_is_sent(patch: MonkeyPatch) -> None:
    patch.setattr(log, "lacking", lambda *_: [])


def the_fold_goes_by_arrival(patch: MonkeyPatch) -> None:
    def fold(revisions: Iterable[Revision], units: Any) -> dict[str, Any]:
        fields: dict[str, Any] = {}
        for revision in sorted(revisions, key=lambda each: each.stamp):  # equal stamps stay as they came
            for name in revision.set:
                for member in units.get(name, (name,)):
                    fields[member] = revision.set.get(member)
        return fields

    patch.setattr(projection, "fold", fold)


def the_service_loses_a_line(patch: MonkeyPatch) -> None:

    @contextmanager
    def rolled_back(engine: Engine, farm: str) -> Any:
        with writing(engine, farm) as connection:
            yield connection
            connection.exec_driver_sql("DELETE FROM line WHERE seq = 2")

    patch.setattr("server.farms.intake.writing", rolled_back)


def a_fork_goes_unseen(patch: MonkeyPatch) -> None:
    patch.setattr(ingest, "_held_digests", lambda *_: _Anything())
    patch.setattr(log, "diverged", lambda *_: [])


def clocks_believe_the_wall(patch: MonkeyPatch) -> None:
    patch.setattr(clock, "tick", lambda _, now_ms: max(now_ms, 0) << clock.COUNTER_BITS)
    patch.setattr("shared_models.log.append._winning", lambda revision, *_, **__: revision)


def wages_go_to_everybody(patch: MonkeyPatch) -> None:
    heads = log._open_heads
    patch.setattr(
        log,
        "_open_heads",
        lambda connection, farm, span=log.ALL: [
            *heads(connection, farm, span),
            *(each for each in log.heads(connection, farm) if each.private and each.seq),
        ],
    )


class _Anything:
    """A dictionary that holds whatever is compared with it."""

    def get(self, _: int) -> "_Anything":
        return self

    def __ne__(self, _: object) -> bool:
        return False

    def __eq__(self, _: object) -> bool:
        return True

    def __hash__(self) -> int:
        return 0


PLANTS: list[Plant] = [
    every_signature_is_good,
    signatures_are_not_passed_on,
    a_branch_drops_its_lines,
    the_client_thinks_that_all_is_sent,
    the_fold_goes_by_arrival,
    the_service_loses_a_line,
    a_fork_goes_unseen,
    clocks_believe_the_wall,
    wages_go_to_everybody,
]
