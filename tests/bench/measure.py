"""How a work is measured and told: beside the leanest code for it, in the same run."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Size:
    """How much is measured: `lines` in bulk, and of row passes either a tenth of a million, or (`full`) all of it."""

    folder: Path
    lines: int
    full: bool

    @property
    def passes(self) -> int:
        """The row passes of the large store."""
        return 1_000_000 if self.full else 100_000


def say(sentence: str) -> None:
    """One line of the result."""
    print(sentence, flush=True)  # noqa: T201 - this is a program


def tell(work: str, floor: float, ours: float, *, unit: str = "ms", factor: float = 1000.0) -> None:
    """A measured work beside the floor for it; seconds, unless told otherwise."""
    measured = f"floor {floor * factor:>10.3f} {unit}   ours {ours * factor:>10.3f} {unit}"
    say(f"{work:<52} {measured}   ratio {ours / floor:>6.2f}")


def timed(work: Callable[[], object]) -> float:
    """Seconds that the work takes."""
    begun = time.perf_counter()
    work()
    return time.perf_counter() - begun


def in_turns(*works: Callable[[], object], times: int = 15) -> list[float]:
    """The median seconds of a core that each work takes: what else the machine does meanwhile hardly matters.

    They take turns, so that all meet the same machine.
    """
    rounds = [[_busy(work) for work in works] for _ in range(times)]
    return [statistics.median(taken) for taken in zip(*rounds, strict=True)]


def _busy(work: Callable[[], object]) -> float:
    """Seconds that all threads of this process work meanwhile."""
    begun = time.process_time()
    work()
    return time.process_time() - begun


def quantile(times: Sequence[float], share: float) -> float:
    """The time that this share of them stays below."""
    return sorted(times)[int(len(times) * share)]
