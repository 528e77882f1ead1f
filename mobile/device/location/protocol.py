"""Where the phone is, and how far off that may be. The receivers run only while somebody waits for a fix."""

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from typing import Protocol


@dataclass(frozen=True, slots=True)
class Fix:
    """A position; `accuracy_m` is the radius that 68 of 100 fixes fall within."""

    latitude: float
    longitude: float
    accuracy_m: float


class LocationProblem(Enum):
    """Why no fix will come."""

    NOT_ALLOWED = "not allowed"
    OFF = "off"
    NO_RECEIVER = "no receiver"


@dataclass(frozen=True, slots=True)
class Search:
    """State of a search: the best fix so far, whether it is over, and what went wrong.

    `asking` while the system's permission dialog lies over the app.
    """

    best: Fix | None = None
    over: bool = False
    problem: LocationProblem | None = None
    asking: bool = False


OnSearch = Callable[[Search], None]


class Locator(Protocol):
    """Finds out where the phone is."""

    def start(self, on_search: OnSearch) -> None:
        """Search; `on_search` gets every step, maybe in another thread, until the search is over."""

    def stop(self) -> None:
        """End the search; `on_search` is not called any more."""
