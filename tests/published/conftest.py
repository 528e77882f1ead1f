"""`published` compares one figure with the world, and remembers how far off it was for the page in the docs."""

from __future__ import annotations

from collections.abc import Callable

import pytest

Check = Callable[..., None]


@pytest.fixture
def published(request: pytest.FixtureRequest, record_property: Callable[[str, object], None]) -> Check:
    """Compare a computed figure with an outside one.

    `published(source, case, got, expected, tolerance)`: `source` is a full citation with how it was seen ("as quoted
    in …", "computed with scipy 1.17", "from memory", "common practice, no source"); `tolerance` is absolute, usually
    half of the last printed digit. The subject of the page is the first line of the test module's docstring.
    """
    subject = (request.module.__doc__ or request.module.__name__).strip().splitlines()[0].rstrip(".")

    def check(source: str, case: str, got: float, expected: float, tolerance: float) -> None:
        deviation = abs(got - expected)
        record_property("published", (subject, source, case, expected, deviation, tolerance))
        assert deviation <= tolerance, f"{case}: got {got!r}, {source} has {expected!r} (±{tolerance})"

    return check
