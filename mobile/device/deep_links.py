"""Links that open the app: `rowend://pair?…`, followed from a QR code or a message.

A seam with a real and a pretend side, as in `handset.py`. Anybody can write such a link, and any page can open it: so
the app only reads it (`shared_models/sync/pairing_link.py`), shows what it says, and asks.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Protocol


class Links(Protocol):
    """Where links come from."""

    def listen(self, hear: Callable[[str], None]) -> None:
        """`hear` the link that opened the app, and each that is followed later, maybe in another thread."""


@dataclass(frozen=True, slots=True)
class GivenLink:
    """The link that the program was started with on a desk, if any."""

    link: str | None = None

    def listen(self, hear: Callable[[str], None]) -> None:
        """Tell it at once."""
        if self.link is not None:
            hear(self.link)


class PhoneLinks:
    """Android's intents. `events` is python-for-android's module `android.activity`.

    Android hands the intent that once started the app to it again when the app is opened from the list of recent ones;
    that link was followed long ago. (Intent.FLAG_ACTIVITY_LAUNCHED_FROM_HISTORY in Android's reference.)
    """

    FROM_HISTORY = 0x00100000

    def __init__(self, activity: Any, events: Any) -> None:
        self._activity, self._events = activity, events

    def listen(self, hear: Callable[[str], None]) -> None:
        """Listen from now on."""

        def on_intent(intent: Any) -> None:
            link = intent.getDataString()
            if link is not None and not intent.getFlags() & self.FROM_HISTORY:
                hear(str(link))

        self._events.bind(on_new_intent=on_intent)
        on_intent(self._activity.getIntent())
