"""`published` compares one figure with the world, and remembers how far off it was for the page in the docs."""

from collections.abc import Callable

import pytest

from tests.published.support.imports import modules_used
from tests.published.support.plugin import PROPERTY
from tests.published.support.record import Case, how_obtained

Check = Callable[..., None]


@pytest.fixture
def published(request: pytest.FixtureRequest, record_property: Callable[[str, object], None]) -> Check:
    """Compare a computed figure with an outside one.

    `published(source, case, got, expected, tolerance)`: `source` is a full citation with how it was seen ("as quoted
    in …", "computed with scipy 1.17", "from memory", "common practice, no source"); `tolerance` is absolute, usually
    half of the last printed digit. The subject of the page is the first line of the test module's docstring.
    """
    subject = (request.module.__doc__ or request.module.__name__).strip().splitlines()[0].rstrip(".")
    modules = modules_used(request.path, request.function.__name__)
    assert modules, f"{request.node.name} uses nothing of the trade, so it checks nothing."

    def check(source: str, case: str, got: float, expected: float, tolerance: float) -> None:
        assert how_obtained(source), f"{source!r} does not say how it was seen."
        deviation = float(abs(got - expected))  # plain, so that it can pass from one process to another
        record_property(PROPERTY, tuple(Case(subject, source, modules, deviation, float(tolerance))))
        assert deviation <= tolerance, f"{case}: got {got!r}, {source} has {expected!r} (±{tolerance})"

    return check
