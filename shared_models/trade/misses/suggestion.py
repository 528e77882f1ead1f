"""What should we try next to get fewer misses, and how sure is that?"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from statistics import NormalDist
from types import MappingProxyType

from shared_models.trade.misses.effects import Direction, Effect, MissAnalysis
from shared_models.trade.misses.factors import Factor
from shared_models.trade.stats.logistic import odds

#: What a grower can set before the next row. Spacing belongs to the crop, and people are not a setting.
ADJUSTABLE = (Factor.DEPTH, Factor.MOISTURE, Factor.PLANT_AGE, Factor.TILLAGE_AGE)

#: Chance that a true effect as large as the one seen comes out clear, and the chance of a false alarm.
POWER, FALSE_ALARM = 0.8, 0.05


class Proposal(StrEnum):
    """Take one step toward fewer misses, or compare two settings side by side."""

    STEP = "step"
    COMPARE = "compare"


#: key -> sentence. The sentences are fixed, so a catalogue can translate each whole; figures stand beside them.
SENTENCES: Mapping[str, str] = MappingProxyType(
    {
        "step_depth_mm": "Set the furrow to this depth in the next rows and see whether misses fall.",
        "step_moisture": "Plant in this moisture class if you can, and see whether misses fall.",
        "step_plant_age_days": "Plant the next tray at this age and see whether misses fall.",
        "step_tillage_age_h": "Plant the next bed this long after tillage and see whether misses fall.",
        "compare_depth_mm": "Plant rows of one bed at these two depths, alternating.",
        "compare_moisture": "Plant part of the next bed in this moisture class and part in the usual one.",
        "compare_plant_age_days": "Plant trays of these two ages in one bed, alternating.",
        "compare_tillage_age_h": "Plant half of a bed at each of these times after tillage.",
    }
)


@dataclass(frozen=True, slots=True)
class Suggestion:
    """What to try: `settings` holds the one figure or class of a step, or the two of a comparison.

    `odds_ratio`, `low` and `high` (95%) compare a step with the middle of what was done so far, the second figure of a
    comparison with the first, and a class with the usual one. `beyond`: a step leaves the range tried so far. `sure` is
    the chance that the direction is right. For a comparison `more_rows` counts further rows, like those there are,
    after which an effect as large as it looks now should be clear; None for a step, or when there is no effect to see.
    """

    factor: Factor
    proposal: Proposal
    settings: tuple[float | str, ...]
    odds_ratio: float
    low: float
    high: float
    beyond: bool
    sure: float
    more_rows: int | None

    @property
    def sentence(self) -> str:
        return SENTENCES[f"{self.proposal}_{self.factor}"]


def suggest_next(analysis: MissAnalysis) -> Suggestion | None:
    """Suggest one change for the next rows: the clearest way to fewer misses, or the comparison that would teach most.

    Formula: among effects of depth, moisture, plant age and time since tillage: of those that are clear, the one with
        the largest change for the better, one step from the middle of what was tried, but never below half of the
        lowest tried. When none is clear: compare the lowest and highest figure tried (or the class and the usual) of
        the effect with the largest ratio of estimate to standard error, which takes about rows x ((z(0.975) + z(0.8)) /
        ratio)^2 rows in all. A class is suggested only when it is clearly better than the usual one.
    Units: those of the factor; odds ratios; proportion, 0 to 1.
    Source: the sample size follows from the normal distribution of the estimate; the choice is common practice, no
        source.
    """
    effects = [effect for effect in analysis.effects if effect.factor in ADJUSTABLE]
    steps = [suggestion for effect in effects if (suggestion := _step(effect))]
    if steps:
        return min(steps, key=lambda suggestion: suggestion.odds_ratio)
    unclear = [effect for effect in effects if effect.direction is Direction.UNCLEAR]
    return _comparison(max(unclear, key=lambda effect: abs(effect.ratio)), analysis.rows) if unclear else None


def _step(effect: Effect) -> Suggestion | None:
    """One step toward fewer misses; None when nothing is clear, or the usual class is already the better."""
    if effect.direction is Direction.UNCLEAR:
        return None
    if effect.tried is None or effect.step is None:
        if effect.direction is Direction.MORE:
            return None
        return _suggestion(effect, Proposal.STEP, (str(effect.level),))
    lowest, middle, highest = effect.tried
    upwards = effect.direction is Direction.FEWER
    setting = middle + effect.step if upwards else max(middle - effect.step, lowest / 2)
    if setting == middle:  # nothing lower to go to
        return None
    beyond = not lowest <= setting <= highest
    return _suggestion(effect, Proposal.STEP, (setting,), steps=(setting - middle) / effect.step, beyond=beyond)


def _comparison(effect: Effect, rows: int) -> Suggestion:
    if effect.tried is None or effect.step is None:
        settings: tuple[float | str, ...] = (str(effect.level), str(effect.usual))
        return _suggestion(effect, Proposal.COMPARE, settings, more_rows=_more_rows(effect.ratio, rows))
    lowest, _, highest = effect.tried
    steps = (highest - lowest) / effect.step
    more_rows = _more_rows(effect.ratio, rows)
    return _suggestion(effect, Proposal.COMPARE, (lowest, highest), steps=steps, more_rows=more_rows)


def _suggestion(
    effect: Effect,
    proposal: Proposal,
    settings: tuple[float | str, ...],
    *,
    steps: float = 1.0,
    beyond: bool = False,
    more_rows: int | None = None,
) -> Suggestion:
    odds_ratio, *ends = (odds(steps * math.log(each)) for each in (effect.odds_ratio, effect.low, effect.high))
    low, high = sorted(ends)
    return Suggestion(
        factor=effect.factor,
        proposal=proposal,
        settings=settings,
        odds_ratio=odds_ratio,
        low=low,
        high=high,
        beyond=beyond,
        sure=effect.sure,
        more_rows=more_rows,
    )


def _more_rows(ratio: float, rows: int) -> int | None:
    reach = NormalDist().inv_cdf(1 - FALSE_ALARM / 2) + NormalDist().inv_cdf(POWER)
    return max(0, math.ceil(rows * (reach / ratio) ** 2) - rows) if ratio else None
