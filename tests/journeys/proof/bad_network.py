"""A proxy that drops, delays, repeats, cuts and mixes up what goes between a phone and the service."""

import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import requests

from tests.fixtures.network import (
    Deliver,
    Mishap,
    captive_portal,
    cut_reply,
    cut_request,
    lost_reply,
    no_signal,
    nothing,
    repeated,
    status,
    too_slow,
)

#: how often a request is hit while the network is bad
SHARE_HIT = 0.35


@dataclass
class BadNetwork:
    """The mishaps of one phone's requests. Requests that are late wait in `late`, for whoever delivers them."""

    draw: random.Random | None = None
    late: list[Callable[[], None]] = field(default_factory=list)
    _last: dict[str, requests.Response] = field(default_factory=dict)

    def mishaps(self) -> Iterator[Mishap]:
        """What happens to each coming request; nothing while there is no `draw`."""
        kinds = [no_signal, lost_reply, cut_reply, cut_request, repeated, captive_portal, too_slow, status(503)]
        kinds += [status(413), self._late, self._answer_of_before]
        while True:
            if self.draw is None or self.draw.random() > SHARE_HIT:
                yield self._as_it_should
            else:
                yield self.draw.choice(kinds)

    def _as_it_should(self, request: requests.PreparedRequest, deliver: Deliver) -> requests.Response:
        self._last[str(request.path_url)] = reply = nothing(request, deliver)
        return reply

    def _late(self, request: requests.PreparedRequest, deliver: Deliver) -> requests.Response:
        self.late.append(lambda: (deliver(request), None)[1])
        raise requests.Timeout(request=request)

    def _answer_of_before(self, request: requests.PreparedRequest, deliver: Deliver) -> requests.Response:
        before = self._last.get(str(request.path_url))
        reply = deliver(request)
        return before or reply
