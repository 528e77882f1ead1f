"""How much water does well-watered grass lose to the air in a day?"""

import math

from shared_models.trade.validation import finite, not_negative, within

#: mm of water that one MJ per square metre evaporates
_MM_PER_MJ = 0.408
_STEFAN_BOLTZMANN_MJ = 4.903e-9
_GRASS_ALBEDO = 0.23


def saturation_vapour_pressure_kpa(t_c: float) -> float:
    """Compute the saturation vapour pressure: the most water vapour that air can hold.

    Formula: e = 0.6108 exp(17.27 T / (T + 237.3))
    Units: °C; kPa.
    Source: Allen et al. (1998), FAO Irrigation and Drainage Paper 56, equation 11. At the night's lowest temperature
        it stands for the vapour in the air where humidity was not measured (equation 48).
    Raises: BadQuantity: when the temperature is not from -90 to 70 °C.
    """
    within("t_c", t_c, -90, 70)
    return 0.6108 * math.exp(17.27 * t_c / (t_c + 237.3))


def humid_vapour_pressure_kpa(t_min_c: float, t_max_c: float, humidity_pct: float) -> float:
    """Compute the actual vapour pressure of the air from the day's mean humidity.

    Formula: ea = humidity / 100 x (e(Tmax) + e(Tmin)) / 2
    Units: °C; % relative humidity; kPa.
    Source: Allen et al. (1998), FAO Irrigation and Drainage Paper 56, equation 19.
    Raises: BadQuantity: when the humidity is not from 0 to 100, or the temperatures cannot be.
    """
    within("humidity_pct", humidity_pct, 0, 100)
    return humidity_pct / 100 * _mean_saturation_kpa(t_min_c, t_max_c)


def saturation_slope_kpa_per_c(t_c: float) -> float:
    """Compute the slope of the saturation vapour pressure curve.

    Formula: 4098 e(T) / (T + 237.3)^2
    Units: °C; kPa per °C.
    Source: Allen et al. (1998), FAO Irrigation and Drainage Paper 56, equation 13.
    Raises: BadQuantity: when the temperature is not from -90 to 70 °C.
    """
    return 4098 * saturation_vapour_pressure_kpa(t_c) / (t_c + 237.3) ** 2


def air_pressure_kpa(altitude_m: float) -> float:
    """Estimate the air pressure at this height above the sea.

    Formula: P = 101.3 ((293 - 0.0065 z) / 293)^5.26
    Units: metres; kPa.
    Source: Allen et al. (1998), FAO Irrigation and Drainage Paper 56, equation 7.
    Raises: BadQuantity: when the altitude is not from -500 to 9000 m.
    """
    within("altitude_m", altitude_m, -500, 9000)
    return 101.3 * math.pow((293 - 0.0065 * altitude_m) / 293, 5.26)


def psychrometric_kpa_per_c(pressure_kpa: float) -> float:
    """Compute the psychrometric constant, which weighs dryness of the air against sunshine.

    Formula: gamma = 0.000665 P
    Units: kPa; kPa per °C.
    Source: Allen et al. (1998), FAO Irrigation and Drainage Paper 56, equation 8.
    Raises: BadQuantity: when the pressure is negative.
    """
    not_negative("pressure_kpa", pressure_kpa)
    return 0.665e-3 * pressure_kpa


def net_radiation_mj(
    solar_mj: float, clear_sky_mj: float, t_min_c: float, t_max_c: float, vapour_pressure_kpa: float
) -> float:
    """Compute net radiation: the sun's energy that stays with the ground after what it reflects and radiates back.

    Formula: Rn = (1 - 0.23) Rs - 4.903e-9 (Tmax^4 + Tmin^4)/2 (0.34 - 0.14 sqrt(ea)) (1.35 Rs/Rso - 0.35), with
        temperatures in kelvin (+ 273.16) and Rs/Rso at most 1; in a night of 24 hours Rs/Rso counts as 1
    Units: MJ per square metre and day; °C; kPa.
    Source: Allen et al. (1998), FAO Irrigation and Drainage Paper 56, equations 38 to 40.
    Raises: BadQuantity: when a radiation or the vapour pressure is negative, or the temperatures cannot be.
    """
    not_negative("solar_mj", solar_mj)
    not_negative("clear_sky_mj", clear_sky_mj)
    not_negative("vapour_pressure_kpa", vapour_pressure_kpa)
    _check_day(t_min_c, t_max_c)
    clearness = min(1.0, solar_mj / clear_sky_mj) if clear_sky_mj else 1.0
    black_body = _STEFAN_BOLTZMANN_MJ * ((t_max_c + 273.16) ** 4 + (t_min_c + 273.16) ** 4) / 2
    longwave = black_body * (0.34 - 0.14 * math.sqrt(vapour_pressure_kpa)) * (1.35 * clearness - 0.35)
    return (1 - _GRASS_ALBEDO) * solar_mj - longwave


def penman_monteith_mm(
    t_min_c: float,
    t_max_c: float,
    net_radiation_mj: float,
    vapour_pressure_kpa: float,
    wind_m_per_s: float = 2.0,
    altitude_m: float = 0.0,
    soil_heat_mj: float = 0.0,
) -> float:
    """Compute the reference evapotranspiration of a day (or the daily mean of a month) from all that drives it.

    Formula: ETo = [0.408 D (Rn - G) + g 900 / (T + 273) u2 (es - ea)] / [D + g (1 + 0.34 u2)], T = (Tmax + Tmin) / 2,
        es = (e(Tmax) + e(Tmin)) / 2, D the slope of e at T, g the psychrometric constant; never below 0
    Units: °C; MJ per square metre and day; kPa; m/s at 2 m; metres; mm per day.
    Source: Allen et al. (1998), FAO Irrigation and Drainage Paper 56, equations 6, 9 and 12.
    Raises: BadQuantity: when the wind or the vapour pressure is negative, temperatures or altitude cannot be, or a flow
        of heat is not finite.
    """
    finite("net_radiation_mj", net_radiation_mj)
    finite("soil_heat_mj", soil_heat_mj)
    not_negative("wind_m_per_s", wind_m_per_s)
    not_negative("vapour_pressure_kpa", vapour_pressure_kpa)
    mean_c = (t_min_c + t_max_c) / 2
    lack_kpa = _mean_saturation_kpa(t_min_c, t_max_c) - vapour_pressure_kpa
    slope = saturation_slope_kpa_per_c(mean_c)
    gamma = psychrometric_kpa_per_c(air_pressure_kpa(altitude_m))
    sun = _MM_PER_MJ * slope * (net_radiation_mj - soil_heat_mj)
    wind = gamma * 900 / (mean_c + 273) * wind_m_per_s * lack_kpa
    return max(0.0, (sun + wind) / (slope + gamma * (1 + 0.34 * wind_m_per_s)))


def _mean_saturation_kpa(t_min_c: float, t_max_c: float) -> float:
    _check_day(t_min_c, t_max_c)
    return (saturation_vapour_pressure_kpa(t_min_c) + saturation_vapour_pressure_kpa(t_max_c)) / 2


def _check_day(t_min_c: float, t_max_c: float) -> None:
    within("t_min_c", t_min_c, -90, 70)
    within("t_max_c", t_max_c, t_min_c, 70)
