"""Links as Android's intents bring them."""

from collections.abc import Callable
from typing import Any

from typing_extensions import override

from mobile.device.deep_links.protocol import DeepLinks


class AndroidDeepLinks(DeepLinks):
    """Android's intents. `events` is python-for-android's module `android.activity`.

    An app that is opened from the list of recent apps gets the intent that once started it again; that link was
    followed long ago. (Intent.FLAG_ACTIVITY_LAUNCHED_FROM_HISTORY in Android's reference.)
    """

    FROM_HISTORY = 0x00100000

    def __init__(self, activity: Any, events: Any) -> None:
        self._activity, self._events = activity, events

    @override
    def listen(self, on_link: Callable[[str], None]) -> None:
        def on_intent(intent: Any) -> None:
            link = intent.getDataString()
            if link is not None and not intent.getFlags() & self.FROM_HISTORY:
                on_link(str(link))

        self._events.bind(on_new_intent=on_intent)
        on_intent(self._activity.getIntent())
