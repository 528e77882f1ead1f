"""`service` runs with `fakes` and has a `farm`; `any_service` runs on SQLite and on PostgreSQL.

`office` is a service with a signed-in client, with a `hand_day` or a `full_day`; a browser opens it at `address`.
"""

from __future__ import annotations

from tests.server.support.fixtures import any_service, any_url, fakes, farm, service
from tests.server.support.office import address, full_day, hand_day, office

__all__ = ["address", "any_service", "any_url", "fakes", "farm", "full_day", "hand_day", "office", "service"]
