"""Links that open the app: `rowend://pair?…`, followed from a QR code or a message.

Anybody can write such a link, and any page can open it: so the app only parses it
(`shared_models/sync/pairing_link.py`), shows what it says, and asks.
"""

from collections.abc import Callable
from typing import Protocol


class DeepLinks(Protocol):
    """Where links come from."""

    def listen(self, on_link: Callable[[str], None]) -> None:
        """Call `on_link` with the link that opened the app, and with each later one, maybe from another thread."""
