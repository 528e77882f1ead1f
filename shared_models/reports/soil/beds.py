"""Is each bed fit to plant, what is limiting, and how was it before?"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from sqlmodel import Session, col, select

from shared_models.core.units import SECONDS_PER_HOUR
from shared_models.core.vocabulary import Amount, Feel, Texture
from shared_models.records.tables import SoilCheck
from shared_models.reports.common.context import ReportContext
from shared_models.reports.common.filters import Filters
from shared_models.reports.common.references import References, in_order
from shared_models.trade.soil.readiness import SoilObservation, SoilThresholds, Verdict, verdict

TILLED_AFTER = "Tilled after this check: fix one of the times."


@dataclass(frozen=True, slots=True)
class SoilReading:
    """One check of a bed and its verdict. `at` is in UTC; `note` is the person's, `issues` are ours."""

    id: str
    at: datetime
    observed: SoilObservation
    verdict: Verdict
    note: str
    issues: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class BedSoil:
    """A bed, its checks (latest first), and how it is now.

    `latest` is the last check of any day, `checks` those of the days selected. `now` judges the latest check by the
    hours since tillage up to now; None where the bed was never checked. `stale`: the latest check is too old.
    """

    bed_id: str
    bed: str
    texture: Texture | None
    retired: bool
    checks: tuple[SoilReading, ...]
    now: Verdict | None
    checked_h_ago: float | None
    stale: bool
    latest: SoilReading | None = None


@dataclass(frozen=True, slots=True)
class SoilReport:
    """Every bed in use and every bed ever checked, by name."""

    beds: tuple[BedSoil, ...]
    thresholds: SoilThresholds


def soil(context: ReportContext, now: datetime, filters: Filters | None = None) -> SoilReport:
    """Readiness of each bed now, and its history on the requested days."""
    filters, names, thresholds = filters or Filters(), context.references, context.farm.soil_thresholds()
    checks = _checks(context.session, context.farm.id, filters.bed)
    in_use = {bed.id for bed in names.beds.values() if not (bed.retired or bed.voided)}
    selected = in_use | checks.keys() if filters.bed is None else {filters.bed}
    beds = [_bed_soil(context, now, bed, _readings(checks[bed], names, bed, thresholds), filters) for bed in selected]
    return SoilReport(tuple(sorted(beds, key=lambda bed: (in_order(bed.bed), bed.bed_id))), thresholds)


def _checks(session: Session, farm: str, bed: str | None) -> dict[str, list[SoilCheck]]:
    query = select(SoilCheck).where(SoilCheck.farm_id == farm, col(SoilCheck.voided).is_(False))
    if bed:
        query = query.where(SoilCheck.bed == bed)
    found: dict[str, list[SoilCheck]] = defaultdict(list)
    for check in session.exec(query.order_by(SoilCheck.bed, col(SoilCheck.at), SoilCheck.id)):
        found[check.bed].append(check)
    return found


def _readings(
    checks: Iterable[SoilCheck], names: References, bed: str, thresholds: SoilThresholds
) -> list[SoilReading]:
    """Earliest first. A check without a tillage time takes that of the check before."""
    readings, tilled_at = [], None
    texture = _texture(names, bed)
    for check in checks:
        tilled_at = check.tilled_at or tilled_at
        hours = _hours(check.at - tilled_at) if tilled_at else None
        issues = (TILLED_AFTER,) if hours is not None and hours < 0 else ()
        observed = SoilObservation(
            texture=texture,
            feel=Feel(check.feel) if check.feel else None,
            residue_pct=check.residue_pct,
            stones=Amount(check.stones) if check.stones else None,
            clods=Amount(check.clods) if check.clods else None,
            hours_since_tillage=None if issues else hours,
            soil_c=check.soil_c,
        )
        readings.append(SoilReading(check.id, check.at, observed, verdict(observed, thresholds), check.note, issues))
    return readings


def _texture(names: References, bed: str) -> Texture | None:
    record = names.beds.get(bed)
    return Texture(record.texture) if record and record.texture else None


def _bed_soil(
    context: ReportContext, now: datetime, bed: str, readings: Sequence[SoilReading], filters: Filters
) -> BedSoil:
    farm, names = context.farm, context.references
    latest = readings[-1] if readings else None
    hours = _hours(now - latest.at) if latest else None
    record = names.beds.get(bed)
    return BedSoil(
        bed_id=bed,
        bed=names.bed(bed),
        texture=_texture(names, bed),
        retired=record is not None and (record.retired or record.voided),
        checks=tuple(reading for reading in reversed(readings) if filters.covers(farm.day(reading.at))),
        now=_verdict_after(latest.observed, hours or 0.0, farm.soil_thresholds()) if latest else None,
        checked_h_ago=hours,
        stale=hours is not None and not 0 <= hours <= farm.setting("soil_check_fresh_h"),
        latest=latest,
    )


def _verdict_after(observed: SoilObservation, hours: float, thresholds: SoilThresholds) -> Verdict:
    since = observed.hours_since_tillage
    later = observed if since is None else replace(observed, hours_since_tillage=max(0.0, since + hours))
    return verdict(later, thresholds)


def _hours(time: timedelta) -> float:
    return time.total_seconds() / SECONDS_PER_HOUR
