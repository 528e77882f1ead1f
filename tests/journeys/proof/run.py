"""Run one history; print what it takes to see a failure again, as few events as possible."""

import re
import shutil
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from time import monotonic

from tests.journeys.proof.entries import prepare
from tests.journeys.proof.events import Event, happen, history
from tests.journeys.proof.invariants import check, come_to_rest
from tests.journeys.proof.ledger import Broken
from tests.journeys.proof.liar import Liar
from tests.journeys.proof.stores import Database
from tests.journeys.proof.world import World

EVENTS = 60
#: seconds for which the smallest failing history is looked for
SHRINK_S = 60.0
OpenDatabase = Callable[[Path], Database]


@dataclass(frozen=True)
class Outcome:
    """What a history came to."""

    events: int
    entries: int
    lost_with_their_device: int
    requests: int


def run(events: Sequence[Event], open_database: OpenDatabase) -> Outcome:
    """Let the events happen, let all come to rest, and check every promise.

    Raises:
        Broken: when a promise does not hold.
    """
    home = Path(tempfile.mkdtemp(prefix="rowend-proof-"))
    world = World(home, open_database(home / "service"))
    liar = Liar(world.farm)
    try:
        prepare(world)
        for event in events:
            happen(world, liar, event)
        come_to_rest(world)
        check(world, liar)
        requests = sum(phone.network.requests for phone in world.phones)
        return Outcome(len(events), len(world.ledger.confirmed), len(world.ledger.excused), requests)
    finally:
        world.close()
        shutil.rmtree(home, ignore_errors=True)


def prove(seed: int, open_database: OpenDatabase, events: int = EVENTS) -> Outcome:
    """Run the history of a seed. When it fails, say so with the few of its events that still do.

    Raises:
        Broken: when a promise does not hold.
    """
    whole = history(seed, events)
    try:
        return run(whole, open_database)
    except Exception as problem:  # whatever goes wrong is what is looked for
        alike = _kind(problem)
        least = shrink(whole, lambda some: _kind(_problem(some, open_database)) == alike, monotonic() + SHRINK_S)
        told = "\n".join(f"    {event!r}," for event in least)
        found = f"{_problem(least, open_database)!r}"
        raise Broken(f"seed {seed}: {problem!r}\n{found} after these events:\n{told}") from problem


def _problem(events: Sequence[Event], open_database: OpenDatabase) -> Exception | None:
    try:
        run(events, open_database)
    except Exception as problem:  # noqa: BLE001 - whatever goes wrong is what is looked for
        return problem
    return None


def _kind(problem: Exception | None) -> str:
    """What sort of failure it is: its words up to the first figure or name."""
    return "" if problem is None else re.sub(r"phone \d|[\da-f]{8}-[-\da-f]+|[\d,]+", "#", repr(problem))[:40]


def shrink(events: Sequence[Event], fails: Callable[[Sequence[Event]], bool], until: float) -> list[Event]:
    """Leave out events, many at once and then one by one, as long as what is left still fails."""
    least, step = list(events), max(1, len(events) // 2)
    while step and monotonic() < until:
        at, shorter = 0, False
        while at < len(least) and monotonic() < until:
            tried = least[:at] + least[at + step :]
            if fails(tried):
                least, shorter = tried, True
            else:
                at += step
        if step > 1 or not shorter:
            step //= 2
    return least
