"""Is this tray ready to plant, and if not, what is it waiting for?

The calendar gives a window (`growing_time.py`); the plants decide. Limits for paper-chain trays are not printed
anywhere: those in `TrayLimits` are common practice, no source, and the farm's to change.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType

from shared_models.core.vocabulary import Readiness
from shared_models.errors import BadQuantity
from shared_models.trade.raising.growing_time import Window
from shared_models.trade.soil.readiness import Finding, Verdict
from shared_models.trade.validation import not_negative, whole, within

#: key -> (readiness, reason, what would change it). The sentences are fixed, so a catalogue can translate each whole.
SENTENCES: Mapping[str, tuple[Readiness, str, str]] = MappingProxyType(
    {
        "roots_hold": (Readiness.READY, "The roots hold the mix together.", ""),
        "roots_loose": (
            Readiness.WAIT,
            "The mix falls out of the cells: the roots don't hold it yet.",
            "Check again in a few days.",
        ),
        "roots_unknown": (
            Readiness.WAIT,
            "No cell has been pulled to check the roots.",
            "Pull a few cells.",
        ),
        "leaves_enough": (Readiness.READY, "The plants have enough leaves.", ""),
        "leaves_few": (Readiness.WAIT, "The plants are too small.", "Check again in a few days."),
        "leaves_many": (
            Readiness.READY,
            "The plants are so large that they may tangle as the chain unfolds.",
            "Plant them first, and trim the tops if they tangle.",
        ),
        "age_right": (Readiness.READY, "The tray is within its window.", ""),
        "age_early": (
            Readiness.WAIT,
            "The tray is younger than its window.",
            "Wait for the window, or count the leaves.",
        ),
        "age_early_but_grown": (
            Readiness.READY,
            "The tray is younger than its window, but the plants are big enough.",
            "",
        ),
        "age_late": (Readiness.READY, "The tray is older than its window.", "Plant it first."),
        "age_over": (
            Readiness.NOT_FIT,
            "The tray is so far past its window that roots may tie the cells together and tear the chain.",
            "Unfold a short piece: where it tears, sow again.",
        ),
        "empties_few": (Readiness.READY, "Few cells are empty.", ""),
        "empties_some": (
            Readiness.READY,
            "More cells are empty than usual.",
            "Carry spare plants to fill the misses.",
        ),
        "empties_many": (
            Readiness.NOT_FIT,
            "So many cells are empty that filling would take longer than planting.",
            "Sow again, or use this tray for spare plants.",
        ),
    }
)


@dataclass(frozen=True, slots=True)
class TrayLimits:
    """The farm's own limits; a limit itself still passes. All defaults are common practice, no source."""

    fewest_leaves: float = 2.0
    most_leaves: float = 5.0
    some_empty: float = 0.05
    many_empty: float = 0.30
    most_days_late: float = 21.0

    def __post_init__(self) -> None:
        """Refuse limits that contradict each other."""
        not_negative("fewest_leaves", self.fewest_leaves)
        not_negative("most_leaves", self.most_leaves)
        if self.fewest_leaves > self.most_leaves:
            raise BadQuantity("fewest_leaves", self.fewest_leaves, f"no more than most_leaves ({self.most_leaves:g})")
        within("many_empty", self.many_empty, 0, 1)
        within("some_empty", self.some_empty, 0, self.many_empty)
        not_negative("most_days_late", self.most_days_late)


@dataclass(frozen=True, slots=True)
class TrayObservation:
    """What was seen at the tray; None means not checked."""

    on: date
    window: Window | None = None
    leaves: float | None = None
    roots_hold: bool | None = None
    cells_seen: int | None = None
    cells_empty: int = 0

    def __post_init__(self) -> None:
        """Refuse what no tray can show."""
        if self.leaves is not None:
            not_negative("leaves", self.leaves)
        whole("cells_empty", self.cells_empty)
        if self.cells_seen is not None:
            whole("cells_seen", self.cells_seen, 1)
        within("cells_empty", self.cells_empty, 0, self.cells_seen or 0)


def tray_verdict(observed: TrayObservation, limits: TrayLimits | None = None) -> Verdict:
    """Judge whether a tray can be planted now, which sign decides, and what would change it.

    Formula: each sign looked at gives ready, wait or not fit; the worst decides, and of equals the earlier in roots,
        leaves, age, empties. A limit itself still passes. A tray is never ready before somebody pulled a cell. A tray
        younger than its window is ready all the same when leaves were counted and are enough: the plant outranks the
        calendar. Being a little late or having some empty cells does not hold a tray back; it comes with advice. A
        tray more days late than the farm allows is not fit.
    Units: true leaves per plant; proportion of cells empty, 0 to 1; calendar days.
    Source: common practice, no source: every limit is a setting of the farm.
    """
    limits = limits or TrayLimits()
    judged = {
        "roots": _roots(observed),
        "leaves": _leaves(observed, limits),
        "age": _age(observed, limits),
        "empties": _empties(observed, limits),
    }
    findings = tuple(finding for finding in judged.values() if finding)
    missing = tuple(sign for sign, finding in judged.items() if not finding)
    if "roots" in missing:  # last, so that a reason that was seen wins the tie
        findings += (_finding("roots_unknown", None, None),)
    return Verdict.of(findings, missing)


def _finding(key: str, seen: float | str | None, limit: float | str | None) -> Finding:
    readiness, reason, change = SENTENCES[key]
    return Finding(key.partition("_")[0], readiness, key, reason, change, seen, limit)


def _roots(observed: TrayObservation) -> Finding | None:
    if observed.roots_hold is None:
        return None
    return _finding("roots_hold" if observed.roots_hold else "roots_loose", None, None)


def _leaves(observed: TrayObservation, limits: TrayLimits) -> Finding | None:
    if observed.leaves is None:
        return None
    if observed.leaves < limits.fewest_leaves:
        return _finding("leaves_few", observed.leaves, limits.fewest_leaves)
    key = "leaves_many" if observed.leaves > limits.most_leaves else "leaves_enough"
    return _finding(key, observed.leaves, limits.most_leaves)


def _age(observed: TrayObservation, limits: TrayLimits) -> Finding | None:
    if observed.window is None:
        return None
    if (observed.on - observed.window.ready_until).days > limits.most_days_late:
        return _finding("age_over", observed.on.isoformat(), observed.window.ready_until.isoformat())
    if observed.on > observed.window.ready_until:
        return _finding("age_late", observed.on.isoformat(), observed.window.ready_until.isoformat())
    key = "age_right"
    if observed.on < observed.window.ready_from:
        grown = observed.leaves is not None and observed.leaves >= limits.fewest_leaves
        key = "age_early_but_grown" if grown else "age_early"
    return _finding(key, observed.on.isoformat(), observed.window.ready_from.isoformat())


def _empties(observed: TrayObservation, limits: TrayLimits) -> Finding | None:
    if observed.cells_seen is None:
        return None
    share = observed.cells_empty / observed.cells_seen
    if share > limits.many_empty:
        return _finding("empties_many", share, limits.many_empty)
    return _finding("empties_some" if share > limits.some_empty else "empties_few", share, limits.some_empty)
