"""The link that the program was started with."""

from collections.abc import Callable
from dataclasses import dataclass

from typing_extensions import override

from mobile.device.deep_links.protocol import DeepLinks


@dataclass(frozen=True)
class DeskDeepLinks(DeepLinks):
    """One link, if any, given at once."""

    link: str | None = None

    @override
    def listen(self, on_link: Callable[[str], None]) -> None:
        if self.link is not None:
            on_link(self.link)
