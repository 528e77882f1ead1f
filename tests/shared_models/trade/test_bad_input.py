"""What no figure can be is refused by every calculation with the same clear error."""

from __future__ import annotations

import inspect
import math
from collections.abc import Callable, Iterator
from importlib import import_module
from typing import Any

import pytest

from shared_models import trade
from shared_models.errors import BadQuantity
from shared_models.methods import topics

NUMBERS = {"float", "int", "float | None"}
FILLERS = (0.5, 1, 2, 10, 50)


def plain_calculations() -> Iterator[Any]:
    """Every calculation that takes numbers and nothing else (flags and choices aside), with each of its numbers."""
    for method in (method for topic in topics() for method in topic.methods):
        function = getattr(import_module(f"{trade.__name__}.{method.module}"), method.name)
        needed = {
            name: str(parameter.annotation)
            for name, parameter in inspect.signature(function).parameters.items()
            if parameter.default is parameter.empty
        }
        if needed and set(needed.values()) <= NUMBERS:
            yield from (pytest.param(function, name, tuple(needed), id=f"{method.anchor}, {name}") for name in needed)


@pytest.mark.parametrize(("function", "name", "needed"), list(plain_calculations()))
def test_a_number_that_is_none_is_refused(function: Callable[..., Any], name: str, needed: tuple[str, ...]) -> None:
    """Whatever the other figures are."""
    for filler in FILLERS:
        with pytest.raises(BadQuantity):
            function(**(dict.fromkeys(needed, filler) | {name: math.nan}))
