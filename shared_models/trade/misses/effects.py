"""What goes along with misses: depth, moisture, plant age, tillage, spacing or crew?

Rows are compared as they happened, so what goes with misses need not cause them; `suggestion.py` says what to try to
find out. Where the rows are too few to say, the answer says so and why.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from statistics import median
from types import MappingProxyType

from shared_models.trade.misses.factors import (
    STEPS,
    Column,
    Factor,
    RowFacts,
    columns_of,
    plantings_of,
    share_within,
    values_of,
)
from shared_models.trade.misses.model import WITHIN, Judged, fit_misses
from shared_models.trade.stats.linear_algebra import own_shares
from shared_models.trade.stats.logistic import odds
from shared_models.trade.validation import positive, whole, within


class Direction(StrEnum):
    """Whether misses rise or fall with a factor, as far as the rows can tell."""

    MORE = "more"
    FEWER = "fewer"
    UNCLEAR = "unclear"


class Why(StrEnum):
    """Why a factor was left out."""

    NOT_RECORDED = "not_recorded"
    NEVER_VARIED = "never_varied"
    TOO_FEW_ROWS = "too_few_rows"
    MOVED_TOGETHER = "moved_together"
    ALL_OR_NONE = "all_or_none"


#: key -> sentence. The sentences are fixed, so a catalogue can translate each whole; figures stand beside them.
SENTENCES: Mapping[str, str] = MappingProxyType(
    {
        "depth_mm_more": "Deeper rows had more misses.",
        "depth_mm_fewer": "Deeper rows had fewer misses.",
        "depth_mm_unclear": "Depth shows no clear link with misses yet.",
        "moisture_more": "Rows in this moisture class had more misses than rows in the usual one.",
        "moisture_fewer": "Rows in this moisture class had fewer misses than rows in the usual one.",
        "moisture_unclear": "This moisture class shows no clear difference from the usual one yet.",
        "plant_age_days_more": "Older plants had more misses.",
        "plant_age_days_fewer": "Older plants had fewer misses.",
        "plant_age_days_unclear": "Plant age shows no clear link with misses yet.",
        "tillage_age_h_more": "Beds that had settled longer since tillage had more misses.",
        "tillage_age_h_fewer": "Beds that had settled longer since tillage had fewer misses.",
        "tillage_age_h_unclear": "Time since tillage shows no clear link with misses yet.",
        "spacing_mm_more": "Wider spacings had more misses per plant.",
        "spacing_mm_fewer": "Wider spacings had fewer misses per plant.",
        "spacing_mm_unclear": "Spacing shows no clear link with misses yet.",
        "crew_more": "Rows of this crew had more misses than rows of the usual one.",
        "crew_fewer": "Rows of this crew had fewer misses than rows of the usual one.",
        "crew_unclear": "This crew shows no clear difference from the usual one yet.",
        "not_recorded": "Not logged for enough rows.",
        "never_varied": "The same in every row, so there is nothing to compare.",
        "too_few_rows": "Not enough rows yet to check this too.",
        "moved_together": "This changed along with something else, so we can't tell the two apart.",
        "all_or_none": "One group had no misses, or only misses, so the difference can't be measured yet.",
        "clear": "What goes along with misses (a hint, not proof).",
        "nothing_clear": "Nothing clearly goes along with misses yet.",
        "not_enough": "Not enough rows yet to say what goes along with misses.",
    }
)


@dataclass(frozen=True, slots=True)
class Rules:
    """How many rows and misses are enough for a conclusion."""

    rows_per_column: int = 10
    misses_per_column: int = 10
    #: plantings for each column that hardly varies within plantings
    plantings_per_column: int = 5
    #: rows in which a class or crew must have been seen to be compared
    rows_per_level: int = 3
    #: share of all rows that must know a factor
    recorded_share: float = 0.8
    #: share of a factor's scatter that must be its own, not shared with the factors before it
    own_share: float = 0.1
    #: chance of being wrong that still counts as clear
    clear_p: float = 0.05

    def __post_init__(self) -> None:
        for field in ("rows_per_column", "misses_per_column", "plantings_per_column", "rows_per_level"):
            whole(field, getattr(self, field), 1)
        for field in ("recorded_share", "own_share", "clear_p"):
            positive(field, getattr(self, field))
            within(field, getattr(self, field), 0, 1)


@dataclass(frozen=True, slots=True)
class Effect:
    """Odds of a miss for one step more of a figure, or for one class or crew against the usual one.

    `low` and `high` hold the odds ratio with 95% confidence; `p_value` is adjusted for the number of effects looked at;
    `sure` is how sure the direction alone is, 0.5 to 1. `tried` holds the lowest, middle and highest figure seen.
    """

    factor: Factor
    level: str | None
    usual: str | None
    step: float | None
    tried: tuple[float, float, float] | None
    odds_ratio: float
    low: float
    high: float
    ratio: float
    p_value: float
    sure: float
    direction: Direction

    @property
    def sentence(self) -> str:
        return SENTENCES[f"{self.factor}_{self.direction}"]


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A factor that was left out, and why."""

    factor: Factor
    why: Why

    @property
    def sentence(self) -> str:
        return SENTENCES[self.why]


@dataclass(frozen=True, slots=True)
class MissAnalysis:
    """What went with misses in the rows compared, what could not be looked at, and what is lacking.

    `row_dispersion` and `planting_dispersion` say how many times more rows and plantings scatter than chance makes
    them. `rows_lacking` (None while nothing was missed) and `plantings_lacking` count what is still needed before a
    first factor can be looked at; what is the same in all rows of a planting needs the plantings.
    """

    rows: int
    plantings: int
    misses: int
    positions: float
    effects: tuple[Effect, ...]
    left_out: tuple[LeftOut, ...]
    row_dispersion: float | None
    planting_dispersion: float | None
    rows_lacking: int | None
    plantings_lacking: int

    @property
    def enough(self) -> bool:
        return bool(self.effects)

    @property
    def sentence(self) -> str:
        if not self.enough:
            return SENTENCES["not_enough"]
        clear = any(effect.direction is not Direction.UNCLEAR for effect in self.effects)
        return SENTENCES["clear" if clear else "nothing_clear"]


def analyze_misses(rows: Sequence[RowFacts], rules: Rules | None = None) -> MissAnalysis:
    """Estimate which settings and conditions went with misses, all at once, each with the others held equal.

    Formula: logistic regression of misses out of positions. What varies within plantings is judged by the scatter
        between rows, the rest by that between plantings; p from Student's t (normal where the scatter is no more than
        chance), adjusted by Holm's method; clear at 0.05.
        Moisture class and crew are compared with the commonest one; a class in fewer than 3 rows counts as not known.
        A factor must be known for 80% of the rows; rows that lack one are passed over. Each column (a figure, or a
        class besides the usual) needs 10 rows, 10 misses and 10 plants, and 5 plantings when it hardly varies within
        them; factors that no longer fit are left out, asked in the order depth, moisture, plant age, tillage, spacing,
        crew. Left out too: what never varied, what shares over 90% of its scatter with factors before it, and what
        splits rows into all or none missed.
    Units: depth and spacing in mm, plant age in days, time since tillage in hours; odds ratios per 10 mm, 7 days, 24
        hours and 1 inch.
    Source: McCullagh & Nelder (1989), Generalized Linear Models, 2nd ed.; ten events a column: Peduzzi et al. (1996),
        Journal of Clinical Epidemiology 49:1373-1379; Holm (1979), Scandinavian Journal of Statistics 6:65-70 (all from
        memory). The other limits are common practice, no source.
    """
    rules = rules or Rules()
    left_out: dict[Factor, Why] = {}
    known = {factor: values_of(factor, rows, rules.rows_per_level) for factor in Factor}
    for factor, values in known.items():
        if len(rows) - values.count(None) < rules.recorded_share * len(rows):
            left_out[factor] = Why.NOT_RECORDED
    usable = [factor for factor in Factor if factor not in left_out]
    whole_rows = [i for i in range(len(rows)) if all(known[factor][i] is not None for factor in usable)]
    kept = [rows[i] for i in whole_rows]
    columns: list[Column] = []
    for factor in usable:
        new = columns_of(factor, [known[factor][i] for i in whole_rows])
        why = _why_not(columns, new, kept, rules)
        if why:
            left_out[factor] = why
        else:
            columns += new
    model = fit_misses(columns, kept)
    left_out |= dict.fromkeys(model.split, Why.ALL_OR_NONE)
    return MissAnalysis(
        rows=len(kept),
        plantings=len(plantings_of(kept)),
        misses=sum(row.misses for row in kept),
        positions=math.fsum(row.positions for row in kept),
        effects=tuple(_effect(judged, rules) for judged in model.judged),
        left_out=tuple(LeftOut(factor, left_out[factor]) for factor in Factor if factor in left_out),
        row_dispersion=model.row_dispersion,
        planting_dispersion=model.planting_dispersion,
        rows_lacking=_rows_lacking(kept, rules),
        plantings_lacking=max(0, rules.plantings_per_column - len(plantings_of(kept))),
    )


def _why_not(columns: list[Column], new: list[Column], rows: list[RowFacts], rules: Rules) -> Why | None:
    if not new:
        return Why.NEVER_VARIED if rows else Why.TOO_FEW_ROWS
    if not _room(columns + new, rows, rules):
        return Why.TOO_FEW_ROWS
    shares = own_shares([_centred(column.values) for column in columns + new])
    return Why.MOVED_TOGETHER if min(shares[len(columns) :]) < rules.own_share else None


def _room(columns: list[Column], rows: list[RowFacts], rules: Rules) -> bool:
    """Whether these rows, their misses and their plantings can carry the columns."""
    misses = sum(row.misses for row in rows)
    rarer = min(misses, math.fsum(row.positions for row in rows) - misses)
    plantings = plantings_of(rows)
    between = sum(share_within(column.values, plantings) < WITHIN for column in columns)
    return (
        len(columns) + 1 < len(rows)
        and len(columns) * rules.rows_per_column <= len(rows)
        and len(columns) * rules.misses_per_column <= rarer
        and between * rules.plantings_per_column <= len(plantings)
        and (not between or len(columns) + 1 < len(plantings))
    )


def _rows_lacking(rows: list[RowFacts], rules: Rules) -> int | None:
    """Rows still needed to carry one column, at the rate of misses so far; None while nothing was missed."""
    misses = sum(row.misses for row in rows)
    if not misses:
        return None
    for_misses = math.ceil(rules.misses_per_column * len(rows) / misses)
    return max(rules.rows_per_column, for_misses, len(rows)) - len(rows)


def _centred(values: Sequence[float]) -> list[float]:
    mean = math.fsum(values) / len(values)
    return [value - mean for value in values]


def _effect(judged: Judged, rules: Rules) -> Effect:
    column = judged.column
    step = STEPS.get(column.factor)
    clear = Direction.MORE if judged.log_odds > 0 else Direction.FEWER
    return Effect(
        factor=column.factor,
        level=column.level,
        usual=column.usual,
        step=step,
        tried=(min(column.values), median(column.values), max(column.values)) if step else None,
        odds_ratio=odds(judged.log_odds * (step or 1)),
        low=odds(judged.low * (step or 1)),
        high=odds(judged.high * (step or 1)),
        ratio=judged.ratio,
        p_value=judged.p_adjusted,
        sure=1 - judged.p_value / 2,
        direction=clear if judged.p_adjusted <= rules.clear_p else Direction.UNCLEAR,
    )
