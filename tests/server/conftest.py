"""`world`, and a `service` in it with a `farm`; `any_service` is one on SQLite and one on PostgreSQL.

`office` is a service whose office is open, with a `hand_day` or a `full_day`; a browser opens it at `address`.
"""

from __future__ import annotations

from tests.server.support.desk import address, full_day, hand_day, office
from tests.server.support.fixtures import any_service, any_url, farm, service, world

__all__ = [
    "address",
    "any_service",
    "any_url",
    "farm",
    "full_day",
    "hand_day",
    "office",
    "service",
    "world",
]
