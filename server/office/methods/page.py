"""What the pages of the methods show: the questions stage by stage, and for each its methods and outside checks."""

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from server.render.localizer import Localizer
from server.render.tables import Column, Table
from shared_models.methods import Check, Topic, topics, two_digits

#: the questions in the order of the work; each module of the trade stands in one place
STAGES: Mapping[str, tuple[str, ...]] = {
    "Plan": ("planning.sowing_plan", "planning.conflicts", "planning.succession", "chain", "raising.crops"),
    "Sow and raise": (
        "raising.germination",
        "raising.empties",
        "raising.emergence",
        "raising.growing_time",
        "weather.degree_days",
        "raising.tray_readiness",
    ),
    "Prepare the bed": (
        *(
            "soil.readiness",
            "soil.feel",
            "soil.tilth",
            "soil.residue",
            "soil.drydown",
            "soil.evaporation",
            "weather.evapotranspiration",
            "weather.sun",
            "weather.weather",
        ),
    ),
    "Plant": (
        "pace.pace",
        "pace.stops",
        "pace.finish",
        "stand.distance",
        "pace.hours",
        "pace.missed_taps",
        "pace.late_end",
    ),
    "Fix and count": ("stats.outlying_rows", "stand.stand", "stand.spacing", "stand.population"),
    "Review": (
        *(
            "pace.usual",
            "stats.compare_rates",
            "stats.compare_groups",
            "misses.effects",
            "misses.factors",
            "misses.model",
            "misses.suggestion",
        ),
        *("work.learning", "planning.cost", "work.allowance"),
    ),
    "Take care": ("weather.heat_index", "work.lifting"),
    "The math underneath": ("stats.logistic", "stats.linear_algebra", "stats.student_t", "stats.trend"),
}


class Stage(NamedTuple):
    """A stage of the work and the questions it asks."""

    name: str
    topics: tuple[Topic, ...]


def stages() -> Iterable[Stage]:
    """Every question, stage by stage."""
    found = {topic.module: topic for topic in topics()}
    return (Stage(name, tuple(found[module] for module in modules)) for name, modules in STAGES.items())


def checks_table(checks: Sequence[Check], localizer: Localizer) -> Table:
    """One line for each source."""
    t = localizer.t
    columns = (
        Column(t("source"), words=True),
        Column(t("how obtained"), words=True),
        Column(t("on"), words=True),
        Column(t("cases")),
        Column(t("largest\ndeviation")),
        Column(t("allowed")),
    )
    rows = tuple(
        (
            check.source,
            check.obtained,
            check.subject,
            str(check.cases),
            two_digits(check.deviation),
            two_digits(check.tolerance),
        )
        for check in checks
    )
    return Table(columns, rows)
