"""What the pages of the methods show: the questions stage by stage, and for each its methods and outside checks."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from server.report_tables import Column, Table
from server.speech import Speech
from shared_models.methods import Check, Topic, topics, two_digits

#: the questions in the order of the work; each module of the trade stands in one place
STAGES: Mapping[str, tuple[str, ...]] = {
    "Plan": ("plan", "conflicts", "succession", "chain", "crops"),
    "Sow and raise": ("germination", "empties", "emergence", "growing_time", "degree_days", "raising"),
    "Prepare the bed": (
        *("soil", "feel", "tilth", "residue", "drydown", "surface", "evapotranspiration", "sun", "weather"),
    ),
    "Plant": ("pace", "stops", "finish", "distance", "hours", "forgotten", "mending"),
    "Fix and count": ("odd_rows", "stand", "spacing", "population"),
    "Review": (
        *("usual", "compare_rates", "compare_groups", "insight", "miss_factors", "miss_model", "next_try"),
        *("learning", "cost", "allowance"),
    ),
    "Take care": ("heat", "lifting"),
    "The arithmetic underneath": ("logistic", "small_matrix", "student_t", "trend"),
}


class Stage(NamedTuple):
    """A stage of the work and the questions it asks."""

    name: str
    topics: tuple[Topic, ...]


def stages() -> Iterable[Stage]:
    """Every question, stage by stage."""
    found = {topic.module: topic for topic in topics()}
    return (Stage(name, tuple(found[module] for module in modules)) for name, modules in STAGES.items())


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
