"""Measure a piece of work and print it beside the leanest code for it, in the same run."""

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


def print_line(line: str) -> None:
    """Print one line of the result."""
    print(line, flush=True)  # noqa: T201 - this is a program


def print_ratio(work: str, floor: float, ours: float, *, unit: str = "ms", factor: float = 1000.0) -> None:
    """Print a measurement beside its floor. Both are in seconds; `factor` converts them to `unit`."""
    measured = f"floor {floor * factor:>10.3f} {unit}   ours {ours * factor:>10.3f} {unit}"
    print_line(f"{work:<52} {measured}   ratio {ours / floor:>6.2f}")


def seconds_of(work: Callable[[], object]) -> float:
    """Time one run by the wall clock."""
    begun = time.perf_counter()
    work()
    return time.perf_counter() - begun


def median_seconds(*works: Callable[[], object], times: int = 15) -> list[float]:
    """Median CPU seconds of each piece of work. They take turns, so that all run on an equally busy machine."""
    rounds = [[_cpu_s(work) for work in works] for _ in range(times)]
    return [statistics.median(taken) for taken in zip(*rounds, strict=True)]


def _cpu_s(work: Callable[[], object]) -> float:
    """CPU seconds of all threads of this process during one run."""
    begun = time.process_time()
    work()
    return time.process_time() - begun


def quantile(times: Sequence[float], share: float) -> float:
    """The time that this share of them stays below."""
    return sorted(times)[int(len(times) * share)]
