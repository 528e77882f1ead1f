"""What the page of the methods shows of the outside checks."""

from __future__ import annotations

from collections.abc import Sequence

from server.report_tables import Column, Table
from shared_models.methods import Check, two_digits


def checks_table(checks: Sequence[Check]) -> Table:
    """One line for each source."""
    columns = (
        Column("source", words=True),
        Column("seen", words=True),
        Column("on", words=True),
        Column("cases"),
        Column("largest\ndeviation"),
        Column("allowed"),
    )
    rows = tuple(
        (
            check.source,
            check.seen,
            check.subject,
            str(check.cases),
            two_digits(check.deviation),
            two_digits(check.tolerance),
        )
        for check in checks
    )
    return Table(columns, rows)
