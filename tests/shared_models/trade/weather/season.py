"""Made-up seasons for the tests of what goes with misses: the truth is known, the rows are drawn."""

import math
import random
from dataclasses import replace

from shared_models.core.vocabulary import Feel
from shared_models.trade.misses.factors import RowFacts


def season(
    plantings: int,
    rows_each: int = 5,
    *,
    seed: int = 1,
    depth_effect: float = 0.0,
    wet_effect: float = 0.0,
    planting_scatter: float = 0.0,
) -> list[RowFacts]:
    """Rows of 200 plants with about 5% misses. Depth varies by row; moisture, plant age, tillage and crew by planting.

    `depth_effect` is in log odds per mm, `wet_effect` in log odds; `planting_scatter` is the standard deviation of
    what each planting has of its own, which nobody wrote down.
    """
    chance = random.Random(seed)
    rows = []
    for number in range(plantings):
        own = chance.gauss(0, planting_scatter)
        facts = RowFacts(
            misses=0,
            positions=200,
            moisture=chance.choices([Feel.SLIGHTLY_MOIST, Feel.MOIST, Feel.WET], [3, 5, 3])[0],
            plant_age_days=float(chance.randint(40, 70)),
            tillage_age_h=float(chance.randint(1, 90)),
            crew=chance.choice("AB"),
            planting=f"P{number}",
        )
        for _ in range(rows_each):
            depth_mm = chance.choice([25.0, 30.0, 35.0, 40.0, 45.0])
            logit = -3 + depth_effect * (depth_mm - 35) + wet_effect * (facts.moisture is Feel.WET) + own
            p = 1 / (1 + math.exp(-logit))
            rows.append(replace(facts, depth_mm=depth_mm, misses=sum(chance.random() < p for _ in range(200))))
    return rows
