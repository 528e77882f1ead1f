"""`service` runs with `fakes` and has a `farm`; `any_service` runs on SQLite and on PostgreSQL."""

from tests.server.support.fixtures import any_service, any_url, fakes, farm, service

__all__ = ["any_service", "any_url", "fakes", "farm", "service"]
