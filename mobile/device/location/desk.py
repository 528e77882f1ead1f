"""Location on a desk, and in tests."""

from dataclasses import dataclass

from typing_extensions import override

from mobile.device.location.protocol import Fix, LocationProblem, Locator, OnSearch, Search


@dataclass
class DeskLocator(Locator):
    """Gives one fix, or none, at once."""

    fix: Fix | None = None

    @override
    def start(self, on_search: OnSearch) -> None:
        on_search(Search(self.fix, over=True, problem=None if self.fix else LocationProblem.NO_RECEIVER))

    @override
    def stop(self) -> None:
        pass
