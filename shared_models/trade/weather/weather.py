"""What was the weather, and how much water did it take from the soil each day?"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from shared_models.errors import BadQuantity
from shared_models.trade.validation import not_negative, within
from shared_models.trade.weather import evapotranspiration as et
from shared_models.trade.weather import sun

#: Wind at 2 m where nobody measured it: the mean of 2,000 stations, FAO Irrigation and Drainage Paper 56, chapter 3.
USUAL_WIND_M_PER_S = 2.0


@dataclass(frozen=True, slots=True)
class Place:
    """Where the farm lies, as far as the sun and the air care."""

    latitude_deg: float
    altitude_m: float = 0.0
    coastal: bool = False

    def __post_init__(self) -> None:
        within("latitude_deg", self.latitude_deg, -90, 90)
        within("altitude_m", self.altitude_m, -500, 9000)


@dataclass(frozen=True, slots=True)
class DayWeather:
    """One day's weather; None means not measured. `eto_mm` is the day's evapotranspiration where a station tells it."""

    on: date
    rain_mm: float = 0.0
    irrigation_mm: float = 0.0
    t_min_c: float | None = None
    t_max_c: float | None = None
    humidity_pct: float | None = None
    wind_m_per_s: float | None = None
    sunshine_h: float | None = None
    solar_mj: float | None = None
    eto_mm: float | None = None

    def __post_init__(self) -> None:
        not_negative("rain_mm", self.rain_mm)
        not_negative("irrigation_mm", self.irrigation_mm)
        for field in ("wind_m_per_s", "sunshine_h", "solar_mj", "eto_mm"):
            value = getattr(self, field)
            if value is not None:
                not_negative(field, value)
        if self.humidity_pct is not None:
            within("humidity_pct", self.humidity_pct, 0, 100)
        if self.t_min_c is not None and self.t_max_c is not None:
            within("t_min_c", self.t_min_c, -90, 70)
            within("t_max_c", self.t_max_c, self.t_min_c, 70)


def eto_mm(day: DayWeather, place: Place) -> float | None:
    """Compute a day's reference evapotranspiration, estimating what was not measured; None without temperatures.

    Formula: the station's own figure if there is one; else Penman-Monteith with, where not measured, sunshine from the
        hours of sun or from Tmax - Tmin (at most a clear day's), vapour pressure e(Tmin), wind 2 m/s, no soil heat
    Units: °C, % humidity, m/s at 2 m, hours, MJ per square metre and day; mm per day.
    Source: Allen et al. (1998), FAO Irrigation and Drainage Paper 56, chapters 3 and 4 (equations 6, 19, 35, 48, 50).
    Raises: BadQuantity: when the sun shone longer than it was up.
    """
    if day.eto_mm is not None:
        return day.eto_mm
    if day.t_min_c is None or day.t_max_c is None:
        return None
    low, high = day.t_min_c, day.t_max_c
    outside = sun.extraterrestrial_radiation_mj(place.latitude_deg, day.on.timetuple().tm_yday)
    clear = sun.clear_sky_radiation_mj(outside, place.altitude_m)
    if day.solar_mj is not None:
        solar = day.solar_mj
    elif day.sunshine_h is not None:
        length = sun.day_length_h(place.latitude_deg, day.on.timetuple().tm_yday)
        solar = sun.solar_from_sunshine_mj(outside, day.sunshine_h, length)
    else:
        solar = min(clear, sun.solar_from_temperature_mj(outside, low, high, place.coastal))
    if day.humidity_pct is None:
        vapour = et.saturation_vapour_pressure_kpa(low)
    else:
        vapour = et.humid_vapour_pressure_kpa(low, high, day.humidity_pct)
    net = et.net_radiation_mj(solar, clear, low, high, vapour)
    wind = USUAL_WIND_M_PER_S if day.wind_m_per_s is None else day.wind_m_per_s
    return et.penman_monteith_mm(low, high, net, vapour, wind, place.altitude_m)


def daily_eto_mm(days: Sequence[DayWeather], place: Place) -> list[float]:
    """Compute the evapotranspiration of each day; a day without temperatures takes the mean of the days that have them.

    Formula: Penman-Monteith day by day; missing = mean of the known days
    Units: mm per day.
    Source: Allen et al. (1998), FAO Irrigation and Drainage Paper 56; the mean for a gap: common practice, no source.
    Raises: BadQuantity: when no day has temperatures or an evapotranspiration of its own.
    """
    etos = [eto_mm(day, place) for day in days]
    known = [value for value in etos if value is not None]
    if not known:
        raise BadQuantity("days", len(days), "days with temperatures, one at least")
    mean = sum(known) / len(known)
    return [mean if value is None else value for value in etos]
