"""When will a bed that is too wet be fit again, as far as the farm's own weather tells?"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from sqlmodel import Session, col, select

from shared_models.core.vocabulary import Feel
from shared_models.records.tables import Bed, Farm, Weather
from shared_models.reports.common.farm import FarmFacts
from shared_models.reports.soil.beds import BedSoil, SoilReading
from shared_models.trade.soil.drydown import FitWindow, Moisture, fit_again, moisture_ahead
from shared_models.trade.soil.feel import available_water
from shared_models.trade.weather.weather import DayWeather, Place, eto_mm

#: A check before this hour of the farm's day leaves the day to dry; a later one does not. Common practice, no source.
NOON = 12
#: Where no day since the check has temperatures, drying goes by so many days before it. Common practice, no source.
DAYS_BEFORE = 7
#: A check longer ago than this says nothing of the bed any more. Common practice, no source.
OLDEST_CHECK = timedelta(days=366)
#: So many days are shown beyond the likely one.
SHOWN_BEYOND = 3


class Lacking(StrEnum):
    """What an outlook is missing."""

    TEXTURE = "texture"
    POSITION = "position"
    TEMPERATURES = "temperatures"


@dataclass(frozen=True, slots=True)
class Outlook:
    """When a wet bed is fit again. With something `lacking`, there is no window and there are no days.

    `checked_on` is the day of the check, `fit_below` the share of available water from which on the bed is fit. Of the
    days since, `known_days` have weather that was noted; `dry_days` have none and count as dry.
    """

    checked_on: date
    felt: Feel
    lacking: Lacking | None = None
    window: FitWindow | None = None
    days: tuple[Moisture, ...] = ()
    fit_below: float = 0.0
    known_days: int = 0
    dry_days: int = 0


def weather_of(session: Session, farm: str, first: date | None = None, last: date | None = None) -> dict[date, Weather]:
    """The farm's weather by day; of two records of one day the later id counts."""
    query = select(Weather).where(Weather.farm_id == farm, col(Weather.voided).is_(False))
    query = query.where(Weather.on >= first) if first else query
    query = query.where(Weather.on <= last) if last else query
    return {day.on: day for day in session.exec(query.order_by(col(Weather.on), Weather.id))}


def position_of(farm: Farm | None, bed: Bed | None) -> Place | None:
    """The position of the bed, or else of the farm."""
    latitudes = (record.latitude for record in (bed, farm) if record and record.latitude is not None)
    return next(map(Place, latitudes), None)


def outlook(
    farm: FarmFacts, bed: BedSoil, place: Place | None, weather: Mapping[date, Weather], today: date
) -> Outlook | None:
    """The outlook of a bed; None if its last check was not too wet, is too old, or lies in the future."""
    check = _too_wet(bed)
    if check is None or check.observed.feel is None:
        return None
    felt, local = check.observed.feel, farm.local(check.at)
    checked_on = local.date()
    if not timedelta(0) <= today - checked_on <= OLDEST_CHECK:
        return None
    since = checked_on if local.hour < NOON else checked_on + timedelta(days=1)
    texture = bed.texture
    if texture is None:
        return Outlook(checked_on, felt, Lacking.TEXTURE)
    if place is None:
        return Outlook(checked_on, felt, Lacking.POSITION)
    days = _days(since, max(since, today), weather, place)
    if days is None:
        return Outlook(checked_on, felt, Lacking.TEMPERATURES)
    wettest = farm.soil_thresholds().wettest(texture)
    window = fit_again(days, texture, felt, place, wettest)
    last = (window.latest or window.likely or days[-1].on) + timedelta(days=SHOWN_BEYOND)
    past = [day.on for day in days if day.on <= today]
    return Outlook(
        checked_on,
        felt,
        window=window,
        days=tuple(day for day in moisture_ahead(days, texture, felt, place) if day.on <= last),
        fit_below=available_water(wettest).high,
        known_days=sum(on in weather for on in past),
        dry_days=sum(on not in weather for on in past),
    )


def _too_wet(bed: BedSoil) -> SoilReading | None:
    """The latest check, if it found the bed too wet."""
    now = bed.now
    wet = now is not None and any(finding.key == "moisture_too_wet" for finding in now.findings)
    return bed.latest if wet else None


def _days(first: date, last: date, weather: Mapping[date, Weather], place: Place) -> list[DayWeather] | None:
    """Every day from first to last; where none has temperatures, with the drying of the days before."""
    span = [first + timedelta(days=ahead) for ahead in range((last - first).days + 1)]
    days = [_day(on, weather.get(on)) for on in span]
    if any(eto_mm(day, place) is not None for day in days):
        return days
    before = [_day(on, weather[on]) for ago in range(1, DAYS_BEFORE + 1) if (on := first - timedelta(ago)) in weather]
    known = [eto for day in before if (eto := eto_mm(day, place)) is not None]
    if not known:
        return None
    usual = sum(known) / len(known)
    return [DayWeather(day.on, day.rain_mm, day.irrigation_mm, eto_mm=usual) for day in days]


def _day(on: date, noted: Weather | None) -> DayWeather:
    if noted is None:
        return DayWeather(on)
    return DayWeather(
        on,
        noted.rain_mm or 0.0,
        noted.irrigation_mm or 0.0,
        noted.t_min_c,
        noted.t_max_c,
        noted.humidity_pct,
    )
