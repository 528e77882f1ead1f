"""What no figure can be is refused, by every calculation and every value, with an error that names the figure."""

import inspect
import math
from collections.abc import Callable, Iterator
from dataclasses import is_dataclass
from importlib import import_module
from typing import Any

import pytest

from shared_models import trade
from shared_models.errors import BadQuantity
from shared_models.methods import topics

NUMBERS = {float, int, float | None}
FILLERS = (0.5, 1, 2, 10, 50)
#: the name that a figure has in a calculation which several others use
SHARED_NAMES = {"cells", "latitude_deg", "longitude_deg", "lower", "unit", "first", "rate"}


def checked() -> Iterator[Any]:
    """Every calculation, and every value that checks itself."""
    for topic in topics():
        module = import_module(f"{trade.__name__}.{topic.module}")
        yield from (getattr(module, method.name) for method in topic.methods)
        yield from (
            made
            for made in vars(module).values()
            if is_dataclass(made) and inspect.isclass(made) and hasattr(made, "__post_init__")
        )


def plain_numbers() -> Iterator[Any]:
    """Each number of those that take numbers and nothing else (flags and choices aside)."""
    for made in checked():
        parameters = inspect.signature(made, eval_str=True).parameters.values()
        needed = {each.name: each.annotation for each in parameters if each.default is each.empty}
        if set(needed.values()) <= NUMBERS:
            for each in parameters:
                if each.annotation in NUMBERS:
                    yield pytest.param(made, each.name, tuple(needed), id=f"{made.__name__}, {each.name}")


@pytest.mark.parametrize(("made", "name", "needed"), list(plain_numbers()))
def test_a_number_that_is_none_is_refused_by_its_name(
    made: Callable[..., Any], name: str, needed: tuple[str, ...]
) -> None:
    """Whatever the other figures are."""
    known = set(inspect.signature(made).parameters)
    for filler in FILLERS:
        with pytest.raises(BadQuantity) as refused:
            made(**(dict.fromkeys(needed, filler) | {name: math.nan}))
        assert refused.value.field in known | SHARED_NAMES
