"""Every route of the service, collected from the routers."""

import pkgutil
import re
from collections.abc import Iterator
from importlib import import_module
from typing import NamedTuple

from fastapi.dependencies.models import Dependant
from fastapi.routing import APIRoute

from server import api, office


class RouteCase(NamedTuple):
    """A route: its method, path, the parameters in its path, query parameters and form fields."""

    method: str
    path: str
    parts: tuple[str, ...]
    queries: tuple[str, ...]
    fields: tuple[str, ...]


def every_route() -> Iterator[RouteCase]:
    modules = (
        import_module(found.name)
        for package in (api, office)
        for found in pkgutil.walk_packages(package.__path__, f"{package.__name__}.")
    )
    for route in (route for module in modules for route in getattr(getattr(module, "router", None), "routes", ())):
        assert isinstance(route, APIRoute)
        parts = list(_all_of(route.dependant))
        queries = tuple(param.alias for part in parts for param in part.query_params)
        fields = tuple(param.alias for part in parts for param in part.body_params)
        in_path = tuple(re.findall(r"\{(\w+)\}", route.path))
        for method in sorted(route.methods or ()):
            yield RouteCase(method, route.path, in_path, queries, fields)


def _all_of(dependant: Dependant) -> Iterator[Dependant]:
    yield dependant
    for inner in dependant.dependencies:
        yield from _all_of(inner)
