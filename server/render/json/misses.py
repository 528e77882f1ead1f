"""What goes with misses as JSON. Units stand in the names; figures are not rounded; null: cannot be told."""

from __future__ import annotations

from typing import Self

from pydantic import BaseModel, Field

from server.render.json.base import ReadFromReport
from shared_models.reports.misses import MissEffect, MissesSheet
from shared_models.trade.misses.effects import Direction, Why
from shared_models.trade.misses.factors import Factor
from shared_models.trade.misses.suggestion import Proposal


class MissEffectOut(BaseModel):
    """Odds of a miss for a step more of a figure, or for a class or crew against the usual one; others held equal."""

    factor: Factor
    level: str | None = Field(description="The class or crew; null for a figure.")
    usual: str | None = Field(description="What it is compared with.")
    step: float | None = Field(description="The step of a figure, in the unit of its name.")
    lowest: float | None = Field(description="The lowest figure tried.")
    middle: float | None
    highest: float | None
    odds_ratio: float
    low: float = Field(description="Lower end of the 95 % interval.")
    high: float = Field(description="Upper end of the 95 % interval.")
    p_value: float = Field(description="Adjusted for the number of effects looked at.")
    sure: float = Field(description="How sure the direction alone is, 0.5 to 1.")
    direction: Direction
    sentence: str
    alike_odds_ratio: float | None = Field(
        description="Rows above the middle, or of the class, against the others, inside each planting only."
    )
    alike_low: float | None
    alike_high: float | None

    @classmethod
    def of(cls, told: MissEffect) -> Self:
        """The effect in JSON."""
        effect, alike = told.effect, told.alike
        lowest, middle, highest = effect.tried or (None, None, None)
        return cls(
            factor=effect.factor,
            level=told.level,
            usual=told.usual,
            step=effect.step,
            lowest=lowest,
            middle=middle,
            highest=highest,
            odds_ratio=effect.odds_ratio,
            low=effect.low,
            high=effect.high,
            p_value=effect.p_value,
            sure=effect.sure,
            direction=effect.direction,
            sentence=effect.sentence,
            alike_odds_ratio=alike.odds_ratio if alike else None,
            alike_low=alike.low if alike else None,
            alike_high=alike.high if alike else None,
        )


class LeftOutOut(ReadFromReport):
    """A factor that could not be looked at, and why."""

    factor: Factor
    why: Why
    sentence: str


class SuggestionOut(ReadFromReport):
    """The next setting to try."""

    factor: Factor
    proposal: Proposal
    settings: list[float | str] = Field(description="One figure or class to go to, or the two to compare.")
    odds_ratio: float = Field(description="Of a miss, with what is tried against what was usual.")
    low: float
    high: float
    beyond: bool = Field(description="The setting lies outside of what was tried.")
    sure: float = Field(description="Chance that the direction is right.")
    more_rows: int | None = Field(description="After which a difference like this one should be clear.")
    sentence: str


class MissesOut(BaseModel):
    """What went with misses in the rows asked about. It need not be the cause."""

    sentence: str
    rows: int = Field(description="Rows that were compared: those that know every factor that is looked at.")
    plantings: int
    misses: int
    positions: float = Field(description="Places for a plant in those rows.")
    rows_lacking: int | None = Field(description="Rows until a first factor can be looked at; null without any miss.")
    plantings_lacking: int = Field(description="Plantings until what is the same in all their rows can be looked at.")
    unusable: int = Field(description="Rows that are open, or whose plants or misses cannot be right.")
    effects: list[MissEffectOut]
    left_out: list[LeftOutOut]
    next: SuggestionOut | None

    @classmethod
    def of(cls, sheet: MissesSheet) -> Self:
        """The sheet in JSON."""
        insight = sheet.insight
        return cls(
            sentence=insight.sentence,
            rows=insight.rows,
            plantings=insight.plantings,
            misses=insight.misses,
            positions=insight.positions,
            rows_lacking=insight.rows_lacking,
            plantings_lacking=insight.plantings_lacking,
            unusable=sheet.unusable,
            effects=[MissEffectOut.of(each) for each in sheet.effects],
            left_out=[LeftOutOut.model_validate(each) for each in insight.left_out],
            next=SuggestionOut.model_validate(sheet.next) if sheet.next else None,
        )
