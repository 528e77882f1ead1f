"""Random histories: nothing that was confirmed is lost, stored twice, apart, out of order, forged or stuck.

`make soak` runs many more of them. A failure prints the few events that lead to it; they can be given to `run`.
"""

from itertools import count
from pathlib import Path

import pytest

from tests.journeys.proof.events import history
from tests.journeys.proof.ledger import Broken
from tests.journeys.proof.planted import PLANTS, Plant
from tests.journeys.proof.run import EVENTS, prove, run, shrink
from tests.journeys.proof.stores import PostgresqlDatabase, SqliteDatabase

#: the histories in which planted bugs are looked for
SEEDS = (1, 0, 2, 3, 4, 5)


@pytest.mark.parametrize("seed", range(4))
def test_whatever_happens_every_promise_holds_on_sqlite(seed: int) -> None:
    assert prove(seed, SqliteDatabase).entries > 0


@pytest.mark.parametrize("seed", [1000, 1001])
def test_whatever_happens_every_promise_holds_on_postgresql(seed: int, postgres_server: Path) -> None:
    numbers = count(seed)
    assert prove(seed, lambda _: PostgresqlDatabase(postgres_server, f"proof_{next(numbers)}")).entries > 0


@pytest.mark.parametrize("plant", PLANTS, ids=lambda plant: plant.__name__)
def test_a_planted_bug_is_found(plant: Plant, monkeypatch: pytest.MonkeyPatch) -> None:
    """The harness can fail: it notices each of these mistakes."""
    plant(monkeypatch)

    with pytest.raises(Broken):
        _run_all()


def _run_all() -> None:
    for seed in SEEDS:
        run(history(seed, EVENTS), SqliteDatabase)


def test_a_failure_is_told_with_the_events_it_takes() -> None:
    whole = history(7, 40)

    assert shrink(whole, lambda some: whole[25] in some, until=1e12) == [whole[25]]
    assert len(shrink(whole, lambda some: len(some) > 2, until=1e12)) == 3


def test_a_seed_is_always_the_same_history() -> None:
    assert history(3, 50) == history(3, 50)
    assert history(3, 50) != history(4, 50)
