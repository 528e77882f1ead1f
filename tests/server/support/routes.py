"""Every route of the service as it is asked, read from the routers; a new one is among them by itself."""

from __future__ import annotations

import pkgutil
from collections.abc import Iterator
from importlib import import_module
from typing import NamedTuple

from fastapi.dependencies.models import Dependant
from fastapi.routing import APIRoute

from server import api, office


class Way(NamedTuple):
    """A route: its method and path, and the names of what goes into its address and its form."""

    method: str
    path: str
    queries: tuple[str, ...]
    fields: tuple[str, ...]


def every_way() -> Iterator[Way]:
    for found in (
        each for package in (api, office) for each in pkgutil.walk_packages(package.__path__, f"{package.__name__}.")
    ):
        for route in getattr(getattr(import_module(found.name), "router", None), "routes", ()):
            assert isinstance(route, APIRoute)
            parts = list(_all_of(route.dependant))
            queries = tuple(param.alias for part in parts for param in part.query_params)
            fields = tuple(param.alias for part in parts for param in part.body_params)
            for method in sorted(route.methods or ()):
                yield Way(method, route.path, queries, fields)


def _all_of(dependant: Dependant) -> Iterator[Dependant]:
    yield dependant
    for inner in dependant.dependencies:
        yield from _all_of(inner)
