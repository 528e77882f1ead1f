"""What goes with misses on this farm: each row with what is known of it, what they say together, what to try next."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from shared_models.core.units import SECONDS_PER_HOUR
from shared_models.core.vocabulary import Feel
from shared_models.errors import BadQuantity
from shared_models.reports.common.context import ReportContext
from shared_models.reports.common.farm import FarmFacts
from shared_models.reports.common.filters import Filters
from shared_models.reports.rows.rows import LoggedRow, day_of, load_rows
from shared_models.reports.soil.beds import SoilReading, soil
from shared_models.trade.misses.effects import Effect, MissAnalysis, analyze_misses
from shared_models.trade.misses.factors import Factor, RowFacts, plantings_of, share_within
from shared_models.trade.misses.model import WITHIN
from shared_models.trade.misses.suggestion import Suggestion, suggest_next
from shared_models.trade.stand.stand import positions
from shared_models.trade.stats.compare_groups import Group, Stratified, Stratum, compare_within_strata


@dataclass(frozen=True, slots=True)
class MissEffect:
    """How the odds of a miss went with one factor, all factors at once; and `alike`, where like is set against like.

    `alike` compares rows above the middle figure tried with the others (or a class or crew with the usual one) inside
    each planting, so that a bad bed blames no setting; None where hardly a planting has both. `level` and `usual` are
    for people where they are crews.
    """

    effect: Effect
    level: str | None
    usual: str | None
    alike: Stratified | None


@dataclass(frozen=True, slots=True)
class MissesSheet:
    """What goes with misses in these rows. `unusable` rows are open, or their plants or misses cannot be right."""

    analysis: MissAnalysis
    effects: tuple[MissEffect, ...]
    next: Suggestion | None
    unusable: int


def misses(context: ReportContext, now: datetime, filters: Filters | None = None) -> MissesSheet:
    """Analyze what goes with misses in the rows selected."""
    rows = load_rows(context, filters or Filters())
    checks = {bed.bed_id: bed.checks for bed in soil(context, now).beds}
    facts = [known for row in rows if (known := _row_facts(context, row, checks))]
    analysis = analyze_misses(facts)
    called = {" ".join(sorted(row.crew_ids)): " + ".join(sorted(row.crew)) for row in rows}
    return MissesSheet(
        analysis=analysis,
        effects=tuple(_effect(effect, facts, analysis, called) for effect in analysis.effects),
        next=suggest_next(analysis),
        unusable=len(rows) - len(facts),
    )


def _row_facts(context: ReportContext, row: LoggedRow, checks: Mapping[str, Sequence[SoilReading]]) -> RowFacts | None:
    farm, names = context.farm, context.references
    spacing_mm, planting = row.place.spacing_mm, names.plantings.get(row.place.planting_id)
    sowing = names.sowings.get(planting.sowing) if planting else None
    if row.open or spacing_mm is None:
        return None
    before = [check for check in checks.get(row.place.bed_id or "", ()) if check.at <= row.start]
    age = (day_of(row, farm) - sowing.sown_on).days if sowing and sowing.sown_on else None
    try:
        return RowFacts(
            misses=row.misses,
            positions=positions(row.length_mm, spacing_mm),
            depth_mm=row.depth_mm,
            moisture=_moisture(before, row.start, farm),
            plant_age_days=age if age is None or age >= 0 else None,
            tillage_age_h=_tillage_age_h(before, row.start),
            spacing_mm=spacing_mm,
            crew=" ".join(sorted(row.crew_ids)) or None,
            planting=row.place.planting_id,
        )
    except BadQuantity:
        return None


def _moisture(before: Iterable[SoilReading], start: datetime, farm: FarmFacts) -> Feel | None:
    """How the bed felt at the last check before the row, if that still held."""
    latest = next((check for check in before if check.observed.feel), None)
    fresh = timedelta(hours=min(farm.setting("soil_check_fresh_h"), 8760.0))
    return latest.observed.feel if latest and start - latest.at <= fresh else None


def _tillage_age_h(before: Iterable[SoilReading], start: datetime) -> float | None:
    """Hours from the last tillage that a check before the row noted."""
    for check in before:
        if check.observed.hours_since_tillage is not None:
            return check.observed.hours_since_tillage + (start - check.at).total_seconds() / SECONDS_PER_HOUR
    return None


def _effect(effect: Effect, rows: Sequence[RowFacts], analysis: MissAnalysis, called: Mapping[str, str]) -> MissEffect:
    crew = effect.factor is Factor.CREW
    return MissEffect(
        effect=effect,
        level=called.get(effect.level or "", effect.level) if crew else effect.level,
        usual=called.get(effect.usual or "", effect.usual) if crew else effect.usual,
        alike=_alike(effect, rows, analysis.row_dispersion or 1.0),
    )


def _alike(effect: Effect, rows: Sequence[RowFacts], dispersion: float) -> Stratified | None:
    sides = [(row, tried) for row in rows if (tried := _tried(effect, getattr(row, effect.factor))) is not None]
    if share_within([float(tried) for _, tried in sides], plantings_of([row for row, _ in sides])) < WITHIN:
        return None
    groups: dict[str | None, tuple[list[RowFacts], list[RowFacts]]] = {}
    for row, tried in sides:
        groups.setdefault(row.planting, ([], []))[0 if tried else 1].append(row)
    strata = [Stratum(_group(tried), _group(usual)) for tried, usual in groups.values()]
    return compare_within_strata(strata, dispersion)


def _tried(effect: Effect, value: float | str | None) -> bool | None:
    """Whether a row belongs to the tried side; None where it belongs to neither."""
    if value is None:
        return None
    if effect.tried is None:
        return value == effect.level if value in (effect.level, effect.usual) else None
    _, middle, highest = effect.tried
    return float(value) > middle if middle < highest else float(value) >= middle


def _group(rows: Sequence[RowFacts]) -> Group:
    return Group(sum(row.misses for row in rows), sum(row.positions for row in rows))
