"""Providers of time, new ids and random secrets; tests bring their own."""

import secrets
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime

from shared_models.core.ids import time_ordered_id

_RANDOM_BITS = 74
_TOKEN_BYTES = 32


@dataclass(frozen=True, slots=True)
class Providers:
    """The time now (aware), a new id, 32 random bytes, and seconds by a clock that nobody sets."""

    now: Callable[[], datetime]
    new_id: Callable[[], str]
    token: Callable[[], bytes]
    monotonic: Callable[[], float]


def real_providers() -> Providers:
    """The clock and randomness of this machine."""
    return Providers(
        now=_now, new_id=_new_id, token=lambda: secrets.token_bytes(_TOKEN_BYTES), monotonic=time.monotonic
    )


def milliseconds(moment: datetime) -> int:
    """Milliseconds since 1970."""
    return round(moment.timestamp() * 1000)


def _now() -> datetime:
    return datetime.now(UTC)


def _new_id() -> str:
    return time_ordered_id(milliseconds(_now()), secrets.randbits(_RANDOM_BITS))
