"""When will a tray sown today be ready to plant?"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from types import MappingProxyType

from shared_models.trade.raising.crops import crop_key
from shared_models.trade.validation import whole


class Guide(StrEnum):
    """Whose figures a growing time is."""

    FARM = "farm"
    MID_ATLANTIC = "mid_atlantic_recommendations"
    UTAH = "utah_extension"
    MEMORY = "from_memory"


@dataclass(frozen=True, slots=True)
class GrowingTime:
    """Days from sowing to planting: the first day a tray may be ready and the last it still should be."""

    first_days: int
    last_days: int
    guide: Guide = Guide.FARM

    def __post_init__(self) -> None:
        """Refuse a window that closes before it opens."""
        whole("first_days", self.first_days)
        whole("last_days", self.last_days, self.first_days)


@dataclass(frozen=True, slots=True)
class Window:
    """First and last day on which a tray should be planted, and whose figures these are."""

    ready_from: date
    ready_until: date
    guide: Guide


def _weeks(first: int, last: int, guide: Guide) -> GrowingTime:
    return GrowingTime(7 * first, 7 * last, guide)


def _sprouted(sprout_days: tuple[int, int], weeks: tuple[int, int]) -> GrowingTime:
    """Growing time of a guide that counts the weeks from emergence."""
    return GrowingTime(sprout_days[0] + 7 * weeks[0], sprout_days[1] + 7 * weeks[1], Guide.UTAH)


#: Guides in the order they are asked.
_GUIDES: Mapping[Guide, Mapping[str, GrowingTime]] = MappingProxyType(
    {
        Guide.MID_ATLANTIC: {
            crop_key(crop): _weeks(first, last, Guide.MID_ATLANTIC)
            for crop, first, last in (
                ("lettuce", 4, 6),
                ("onion", 9, 12),
                ("broccoli", 4, 7),
                ("cabbage", 6, 7),
                ("cauliflower", 6, 8),
                ("tomato", 5, 6),
                ("pepper", 7, 9),
                ("eggplant", 6, 9),
                ("cucumber", 2, 4),
                ("melon", 2, 4),
                ("squash", 2, 4),
            )
        },
        Guide.UTAH: {
            crop_key(crop): _sprouted(sprout_days, weeks)
            for crop, sprout_days, weeks in (
                ("lettuce", (6, 8), (3, 5)),
                ("onion", (7, 10), (8, 8)),
                ("cabbage", (4, 10), (5, 7)),
                ("celery", (9, 21), (10, 12)),
            )
        },
        Guide.MEMORY: {
            crop_key("leek"): _weeks(8, 12, Guide.MEMORY),
            crop_key("scallion"): _weeks(6, 8, Guide.MEMORY),
        },
    }
)


def growing_time(crop: str, guide: Guide | None = None) -> GrowingTime | None:
    """Days a crop needs from sowing to planting, from the named guide or the first that has the crop; None if none has.

    Formula: weeks x 7; the Utah guide counts its weeks from emergence, so its days to germination come on top. Asked in
        the order Mid-Atlantic, Utah, memory. Plants in small paper cells are often set younger: the farm's own days
        outrank any guide.
    Units: days.
    Source: University of Delaware, Weekly Crop Update, after table A-4 of the Mid-Atlantic Commercial Vegetable
        Production Recommendations; Utah State University Extension, Grow your own transplants. Leek (8 to 12 weeks) and
        scallion (6 to 8 weeks) are from memory.
    """
    key = crop_key(crop)
    guides = (guide,) if guide else tuple(_GUIDES)
    return next((_GUIDES[name][key] for name in guides if key in _GUIDES.get(name, {})), None)


def readiness_window(sown_on: date, time: GrowingTime) -> Window:
    """First and last day on which a tray sown that day should be planted.

    Formula: sowing day + first and last days of the growing time
    Units: calendar days.
    Source: the growing time's own guide.
    """
    return Window(sown_on + timedelta(time.first_days), sown_on + timedelta(time.last_days), time.guide)
