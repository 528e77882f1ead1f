"""What goes with misses as JSON. Units stand in the names; figures are not rounded; null: not known."""

from pydantic import Field

from server.render.json.base import ReadFromReport, attribute
from shared_models.trade.misses.effects import Direction, Why
from shared_models.trade.misses.factors import Factor
from shared_models.trade.misses.suggestion import Proposal


class MissEffectOut(ReadFromReport):
    """Odds of a miss for a step more of a figure, or for a class or crew against the usual one; others held equal."""

    factor: Factor = attribute("effect.factor")
    level: str | None = Field(description="The class or crew; null for a figure.")
    usual: str | None = Field(description="What it is compared with.")
    step: float | None = attribute("effect.step", "The step of a figure, in the unit of its name.")
    lowest: float | None = attribute("effect.tried.0", "The lowest figure tried.", default=None)
    middle: float | None = attribute("effect.tried.1", default=None)
    highest: float | None = attribute("effect.tried.2", default=None)
    odds_ratio: float = attribute("effect.odds_ratio")
    low: float = attribute("effect.low", "Lower end of the 95% interval.")
    high: float = attribute("effect.high", "Upper end of the 95% interval.")
    p_value: float = attribute("effect.p_value", "Adjusted for the number of effects looked at.")
    sure: float = attribute("effect.sure", "How sure the direction alone is, 0.5 to 1.")
    direction: Direction = attribute("effect.direction")
    sentence: str = attribute("effect.sentence")
    alike_odds_ratio: float | None = attribute(
        "alike.odds_ratio",
        "Rows above the middle, or of the class, against the others inside each planting.",
        default=None,
    )
    alike_low: float | None = attribute("alike.low", default=None)
    alike_high: float | None = attribute("alike.high", default=None)


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


class MissesOut(ReadFromReport):
    """What went with misses in the requested rows. It need not be the cause."""

    sentence: str = attribute("analysis.sentence")
    rows: int = attribute("analysis.rows", "Rows that were compared: those that know every factor that is looked at.")
    plantings: int = attribute("analysis.plantings")
    misses: int = attribute("analysis.misses")
    positions: float = attribute("analysis.positions", "Places for a plant in those rows.")
    rows_lacking: int | None = attribute(
        "analysis.rows_lacking", "Rows until a first factor can be checked; null without a miss."
    )
    plantings_lacking: int = attribute(
        "analysis.plantings_lacking", "Plantings until what all their rows share can be checked."
    )
    unusable: int = Field(description="Rows that are open, or whose plants or misses cannot be right.")
    effects: list[MissEffectOut]
    left_out: list[LeftOutOut] = attribute("analysis.left_out")
    next: SuggestionOut | None
