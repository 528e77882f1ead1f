"""What the page of the methods shows of the outside checks."""

from __future__ import annotations

from collections.abc import Sequence

from server.report_tables import Column, Table
from server.speech import Speech
from shared_models.methods import Check, two_digits


def checks_table(checks: Sequence[Check], speech: Speech) -> Table:
    """One line for each source."""
    say = speech.say
    columns = (
        Column(say("source"), words=True),
        Column(say("seen"), words=True),
        Column(say("on"), words=True),
        Column(say("cases")),
        Column(say("largest\ndeviation")),
        Column(say("allowed")),
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
