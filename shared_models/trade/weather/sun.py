"""How much sun reaches this place on this day, and for how long?"""

import math

from shared_models.trade.validation import not_negative, within

_SOLAR_CONSTANT_MJ_PER_MIN = 0.0820
_MINUTES_PER_DAY = 24 * 60
_INLAND, _COAST = 0.16, 0.19


def relative_distance(day_of_year: int) -> float:
    """Compute the inverse relative distance from earth to sun.

    Formula: dr = 1 + 0.033 cos(2 pi J / 365)
    Units: day of the year 1 to 366; no unit.
    Source: Allen et al. (1998), FAO Irrigation and Drainage Paper 56, equation 23.
    Raises: BadQuantity: when the day is not from 1 to 366.
    """
    return 1 + 0.033 * math.cos(_year_angle(day_of_year))


def declination_rad(day_of_year: int) -> float:
    """Compute the solar declination: how high the sun stands over the equator at noon.

    Formula: delta = 0.409 sin(2 pi J / 365 - 1.39)
    Units: day of the year 1 to 366; radians, north positive.
    Source: Allen et al. (1998), FAO Irrigation and Drainage Paper 56, equation 24.
    Raises: BadQuantity: when the day is not from 1 to 366.
    """
    return 0.409 * math.sin(_year_angle(day_of_year) - 1.39)


def sunset_angle_rad(latitude_deg: float, day_of_year: int) -> float:
    """Compute the sunset hour angle: how far the sun travels from noon to sunset.

    Formula: ws = arccos(-tan(latitude) tan(delta)); 0 where the sun stays down all day, pi where it stays up
    Units: degrees north; day of the year 1 to 366; radians.
    Source: Allen et al. (1998), FAO Irrigation and Drainage Paper 56, equation 25.
    Raises: BadQuantity: when the latitude is not from -90 to 90 or the day not from 1 to 366.
    """
    within("latitude_deg", latitude_deg, -90, 90)
    cosine = -math.tan(math.radians(latitude_deg)) * math.tan(declination_rad(day_of_year))
    return math.acos(max(-1.0, min(1.0, cosine)))


def day_length_h(latitude_deg: float, day_of_year: int) -> float:
    """Compute the day length: hours from sunrise to sunset.

    Formula: N = 24 ws / pi
    Units: degrees north; day of the year 1 to 366; hours.
    Source: Allen et al. (1998), FAO Irrigation and Drainage Paper 56, equation 34.
    Raises: BadQuantity: when the latitude is not from -90 to 90 or the day not from 1 to 366.
    """
    return 24 * sunset_angle_rad(latitude_deg, day_of_year) / math.pi


def extraterrestrial_radiation_mj(latitude_deg: float, day_of_year: int) -> float:
    """Compute extraterrestrial radiation: the sun's energy on level ground in a day if there were no air.

    Formula: Ra = (24 x 60 / pi) 0.0820 dr [ws sin(latitude) sin(delta) + cos(latitude) cos(delta) sin(ws)]
    Units: degrees north; day of the year 1 to 366; MJ per square metre and day (x 0.408 = mm of water).
    Source: Allen et al. (1998), FAO Irrigation and Drainage Paper 56, equation 21.
    Raises: BadQuantity: when the latitude is not from -90 to 90 or the day not from 1 to 366.
    """
    latitude, declination = math.radians(latitude_deg), declination_rad(day_of_year)
    sunset = sunset_angle_rad(latitude_deg, day_of_year)
    height = sunset * math.sin(latitude) * math.sin(declination)
    height += math.cos(latitude) * math.cos(declination) * math.sin(sunset)
    per_day = _MINUTES_PER_DAY / math.pi * _SOLAR_CONSTANT_MJ_PER_MIN
    return max(0.0, per_day * relative_distance(day_of_year) * height)


def clear_sky_radiation_mj(extraterrestrial_mj: float, altitude_m: float = 0.0) -> float:
    """Compute the sun's energy that reaches the ground on a cloudless day.

    Formula: Rso = (0.75 + 0.00002 x altitude) Ra
    Units: MJ per square metre and day; metres above sea level.
    Source: Allen et al. (1998), FAO Irrigation and Drainage Paper 56, equation 37.
    Raises: BadQuantity: when the radiation is negative, or the altitude not from -500 to 9000 m.
    """
    not_negative("extraterrestrial_mj", extraterrestrial_mj)
    within("altitude_m", altitude_m, -500, 9000)
    return (0.75 + 2e-5 * altitude_m) * extraterrestrial_mj


def solar_from_sunshine_mj(extraterrestrial_mj: float, sunshine_h: float, day_length_h: float) -> float:
    """Estimate the sun that reached the ground from the hours it shone.

    Formula: Rs = (0.25 + 0.50 n / N) Ra
    Units: MJ per square metre and day; hours.
    Source: Allen et al. (1998), FAO Irrigation and Drainage Paper 56, equation 35.
    Raises: BadQuantity: when the radiation is negative, or the sun shone longer than it was up.
    """
    not_negative("extraterrestrial_mj", extraterrestrial_mj)
    within("day_length_h", day_length_h, 0, 24)
    within("sunshine_h", sunshine_h, 0, day_length_h)
    return (0.25 + 0.5 * (sunshine_h / day_length_h if day_length_h else 0)) * extraterrestrial_mj


def solar_from_temperature_mj(
    extraterrestrial_mj: float, t_min_c: float, t_max_c: float, coastal: bool = False
) -> float:
    """Estimate the sun that reached the ground from how much warmer the day was than the night.

    Formula: Rs = k sqrt(Tmax - Tmin) Ra, k = 0.16 inland and 0.19 at a coast
    Units: MJ per square metre and day; °C.
    Source: Allen et al. (1998), FAO Irrigation and Drainage Paper 56, equation 50.
    Raises: BadQuantity: when the radiation is negative, or the temperatures cannot be.
    """
    not_negative("extraterrestrial_mj", extraterrestrial_mj)
    within("t_min_c", t_min_c, -90, 70)
    within("t_max_c", t_max_c, t_min_c, 70)
    return (_COAST if coastal else _INLAND) * math.sqrt(t_max_c - t_min_c) * extraterrestrial_mj


def _year_angle(day_of_year: int) -> float:
    within("day_of_year", day_of_year, 1, 366)
    return 2 * math.pi * day_of_year / 365
