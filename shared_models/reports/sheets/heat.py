"""How hot is a day for the work, by the weather noted for it?"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType

from sqlmodel import col, select

from shared_models.errors import BadQuantity
from shared_models.i18n.localizer import Localizer
from shared_models.records.tables import Weather
from shared_models.reports.common.context import ReportContext
from shared_models.reports.soil.wording import ENGLISH, temperature
from shared_models.trade.weather.heat_index import HeatCaution, HeatLevel, HeatScale, heat_caution, heat_level

#: The levels of the scale that is gone by, as the caution calls them.
LEVELS: Mapping[HeatLevel, str] = MappingProxyType(
    {
        HeatLevel.LOWER: "lower",
        HeatLevel.MODERATE: "moderate",
        HeatLevel.HIGH: "high",
        HeatLevel.VERY_HIGH: "very high",
    }
)
HEAT = (
    "High of {air} at {humidity}% humidity: feels like {shade} in the shade and up to {sun} in full sun. OSHA "
    "risk level in the sun: {level}."
)
BESIDE = "This uses the day's high and the humidity logged that day, which may be from another hour."


@dataclass(frozen=True, slots=True)
class DayHeat:
    """The heat of a day: its highest temperature with the humidity entered, and the caution."""

    air_c: float
    humidity_pct: float
    caution: HeatCaution


def day_heat(context: ReportContext, day: date) -> DayHeat | None:
    """The heat caution of a day; None when its weather is incomplete, or heat is no concern.

    Of several notes on one day the hottest counts. Below 80 °F in full sun, where the weather service's levels begin,
    nothing is said.
    """
    query = select(Weather).where(Weather.farm_id == context.farm.id, Weather.on == day, col(Weather.voided).is_(False))
    found = [heat for weather in context.session.exec(query) if (heat := _heat(weather.t_max_c, weather.humidity_pct))]
    hottest = max(found, key=lambda heat: heat.caution.index_c, default=None)
    if hottest and heat_level(hottest.caution.sun_index_c, HeatScale.NWS_LATER) is not HeatLevel.NONE:
        return hottest
    return None


def _heat(air_c: float | None, humidity_pct: float | None) -> DayHeat | None:
    if air_c is None or humidity_pct is None:
        return None
    try:
        return DayHeat(air_c, humidity_pct, heat_caution(air_c, humidity_pct))
    except BadQuantity:
        return None


def heat_lines(heat: DayHeat, localizer: Localizer = ENGLISH) -> tuple[str, ...]:
    """The caution in sentences: how hot and which level, what to do, and what comes before it."""
    caution, t = heat.caution, localizer.t
    risk = t(
        HEAT,
        air=temperature(heat.air_c, localizer),
        humidity=localizer.number(heat.humidity_pct),
        shade=temperature(caution.index_c, localizer),
        sun=temperature(caution.sun_index_c, localizer),
        level=t(LEVELS[caution.sun_level]),
    )
    return risk, t(caution.advice), t(caution.note), t(BESIDE)
