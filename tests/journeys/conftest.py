"""`world`, and a `service` in it with a `farm`; `any_service` is one on SQLite and one on PostgreSQL."""

from __future__ import annotations

from tests.server.support.fixtures import any_service, any_url, farm, service, world

__all__ = ["any_service", "any_url", "farm", "service", "world"]
