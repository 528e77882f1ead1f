"""The page of the outside checks in the docs."""

from collections.abc import Iterable, Sequence
from itertools import groupby

from shared_models.methods import Check, two_digits

_HEAD = """\
# Checked against the world

Figures printed or computed outside this project, and how far off the calculations were. The run of `tests/published`
writes this page (`pytest tests/published --write-checks`); the page `/methods` of the office and `rowend methods` show
the same beside each method.

{cases:,} cases from {sources} sources. The *largest deviation* is that of the case nearest to what is *allowed*, mostly
half of its last printed digit. *How obtained*: seen where it was issued, quoted in a copy,
computed by another library, worked out by hand, from memory, or common practice that no source prints.
"""


def docs_page(checks: Sequence[Check]) -> str:
    """The whole page."""
    head = _HEAD.format(cases=sum(check.cases for check in checks), sources=len({check.source for check in checks}))
    return "\n".join((head, *_sections(checks)))


def _sections(checks: Iterable[Check]) -> Iterable[str]:
    for subject, group in groupby(checks, key=lambda check: check.subject):
        yield f"## {subject}\n"
        yield "| source | how obtained | checks | cases | largest deviation | allowed |"
        yield "|---|---|---|--:|--:|--:|"
        yield from map(_row, group)
        yield ""


def _row(check: Check) -> str:
    cells = (
        check.source.replace("|", "\\|").replace("*", "\\*"),
        check.obtained,
        ", ".join(f"`{module}`" for module in check.modules),
        f"{check.cases}",
        two_digits(check.deviation),
        two_digits(check.tolerance),
    )
    return f"| {' | '.join(cells)} |"
