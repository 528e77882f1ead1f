"""Figures drawn as bars, each with its words."""

from collections.abc import Iterable
from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar: what it is, what goes with it, and how long it is. `mark` is where a line stands across it, if any."""

    text: str
    detail: str
    size: float
    mark: float | None = None


def on_one_scale(bars: Iterable[Bar]) -> tuple[Bar, ...]:
    """The bars as shares of the largest bar or mark, so that they fit on one scale."""
    every = tuple(bars)
    most = max((max(bar.size, bar.mark or 0.0) for bar in every), default=0.0) or 1.0
    return tuple(
        replace(bar, size=bar.size / most, mark=None if bar.mark is None else bar.mark / most) for bar in every
    )
