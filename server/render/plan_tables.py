"""What stands in the tables of the plan, for the text and for the page alike. Figures are rounded here."""

from __future__ import annotations

from collections.abc import Iterable

from server.render.localizer import Speech
from server.render.tables import BY, Column, Table
from shared_models.i18n.formats import NOT_TOLD
from shared_models.records.tables import Sowing
from shared_models.reports.pace.rates import By
from shared_models.reports.plan.schedule import PlannedPlanting
from shared_models.reports.plan.sheet import PlanSheet
from shared_models.reports.plan.successions import SuccessionAhead
from shared_models.reports.plan.unplanned_trays import TraysWaiting
from shared_models.reports.plan.weeks import PlanWeek
from shared_models.trade.planning.conflicts import SAYINGS, Conflict


def plantings_table(lines: Iterable[PlannedPlanting], speech: Speech) -> Table:
    """Each planting to come: its day, when it is sown, when its trays are ready, and what it takes."""
    say, told = speech.say, list(lines)
    columns = (
        Column(say(BY[By.PLANTING]), words=True),
        Column(say("plant on")),
        Column(say("sown, or\nsow by")),
        Column(say("ready\nfrom")),
        Column(say("ready\nuntil")),
        Column(say("on the day"), words=True),
        Column(say("plants")),
        Column(say("trays")),
        Column(say("seeds")),
        Column(say("chain\n{far}", far=speech.unit)),
        Column(say("mix\nlitres")),
        Column(say("person-\nhours")),
    )
    links = tuple(f"/bed/{line.place.bed_id}" if line.place.bed_id else "" for line in told)
    return Table(columns, tuple(_planting(line, speech) for line in told), links=links)


def _planting(line: PlannedPlanting, speech: Speech) -> tuple[str, ...]:
    takes, window = line.takes, line.window
    mix = takes.mix_l if takes and takes.mix_l else None
    return (
        speech.name(line.place.label),
        speech.date_figures(line.planned_on),
        _sowing_day(line, speech),
        speech.date_figures(window.ready_from if window else None),
        speech.date_figures(window.ready_until if window else None),
        _age(line, speech),
        speech.fixed(takes.plants if takes else None),
        speech.fixed(takes.trays if takes else None),
        speech.fixed(takes.seeds if takes else None),
        speech.far(takes.chain_mm if takes else None),
        speech.fixed(mix, 1),
        speech.fixed(line.person_h, 1),
    )


def _sowing_day(line: PlannedPlanting, speech: Speech) -> str:
    if line.sown and line.sowing:
        return speech.date_figures(line.sowing.sown_on)
    return speech.say("by {day}", day=speech.date_figures(line.sow_by)) if line.sow_by else NOT_TOLD


def _age(line: PlannedPlanting, speech: Speech) -> str:
    """How the trays are on the day."""
    if line.window is None:
        return NOT_TOLD
    if line.early_days:
        return speech.count("{n} day too young", "{n} days too young", line.early_days)
    if line.late_days:
        return speech.count("{n} day too old", "{n} days too old", line.late_days)
    return speech.say("ready")


def weeks_table(sheet: PlanSheet, speech: Speech) -> Table:
    """Bench, sowing, plants and hours week by week; hours that nothing is known of have no column."""
    say = speech.say
    columns = [
        Column(say(BY[By.WEEK]), words=True),
        Column(say("trays on\nthe bench")),
        Column(say("trays\nto sow")),
        Column(say("plantings")),
        Column(say("plants")),
    ]
    kinds = {
        "sowing_h": say("hours of\nsowing"),
        "tending_h": say("hours of\ntending"),
        "planting_h": say("hours of\nplanting"),
    }
    known = [name for name in kinds if any(getattr(week, name) is not None for week in sheet.weeks)]
    columns += [Column(kinds[name]) for name in known]
    columns += [Column(say("hours\ntogether"))] if len(known) > 1 else []
    return Table(tuple(columns), tuple(_week(week, known, speech) for week in sheet.weeks))


def _week(week: PlanWeek, known: list[str], speech: Speech) -> tuple[str, ...]:
    together = [speech.fixed(week.hours, 1)] if len(known) > 1 else []
    return (
        speech.date_figures(week.monday),
        speech.fixed(week.trays),
        speech.fixed(week.trays_to_sow),
        str(week.plantings),
        speech.fixed(week.plants),
        *(speech.fixed(getattr(week, name), 1) for name in known),
        *together,
    )


def waiting_table(waiting: Iterable[TraysWaiting], speech: Speech) -> Table:
    """Trays that no planting is planned for."""
    say, told = speech.say, list(waiting)
    columns = (
        Column(say("sowing"), words=True),
        Column(say("trays")),
        Column(say("sown")),
        Column(say("plant\nfrom")),
        Column(say("plant\nuntil")),
    )
    rows = tuple(
        (
            called(each.sowing),
            speech.fixed(each.trays),
            speech.date_figures(each.sowing.sown_on),
            speech.date_figures(each.window.ready_from),
            speech.date_figures(each.window.ready_until),
        )
        for each in told
    )
    return Table(columns, rows, links=tuple(f"/sowing/{each.sowing.id}" for each in told))


def called(sowing: Sowing) -> str:
    """How a sowing is called in a table."""
    return " ".join(part for part in (sowing.crop, sowing.variety, sowing.code) if part)


def ahead_table(found: Iterable[SuccessionAhead], speech: Speech) -> Table:
    """What comes next of the crops that are planted again and again."""
    say = speech.say
    columns = (
        Column(say(BY[By.CROP]), words=True),
        Column(say("every so\nmany days")),
        Column(say("last\nplanting")),
        Column(say("plant on")),
        Column(say("sow by")),
    )
    rows = tuple(
        (
            each.crop,
            speech.fixed(each.every_days),
            speech.date_figures(each.last),
            speech.date_figures(following.plant_on),
            speech.date_figures(following.sow_by),
        )
        for each in found
        for following in each.next
    )
    return Table(columns, rows)


def seeds_table(sheet: PlanSheet, speech: Speech) -> Table:
    """The seed of what is not sown yet."""
    columns = (Column(speech.say(BY[By.CROP]), words=True), Column(speech.say("seeds")))
    rows = tuple((crop, speech.fixed(seeds)) for crop, seeds in sorted(sheet.to_sow.seeds.items()))
    return Table(columns, rows)


def order_said(sheet: PlanSheet, speech: Speech) -> str:
    """What is still to be sown takes."""
    order, say = sheet.to_sow, speech.say
    if not order.trays:
        return say("Everything that is planned is sown.")
    trays = speech.count("{n} tray is still to sow", "{n} trays are still to sow", order.trays)
    chain = say("{n} {far} of chain", n=speech.far(order.chain_mm), far=speech.unit)
    parts = [trays, chain]
    if order.mix_l:
        parts.append(say("{n} litres of mix", n=speech.fixed(order.mix_l)))
    return f"{', '.join(parts)}."


def conflict_said(conflict: Conflict, speech: Speech) -> str:
    """A conflict in one sentence, and what to do."""
    first, second = (*(speech.name(label) for label in conflict.plantings), "", "")[:2]
    return speech.say(
        SAYINGS[conflict.kind],
        begins=speech.date_figures(conflict.begins),
        bed=speech.name(conflict.bed or ""),
        first=first,
        second=second,
        asked=speech.fixed(conflict.asked, conflict.decimals),
        there=speech.fixed(conflict.there, conflict.decimals),
    )


def goes_by(sheet: PlanSheet, speech: Speech) -> Iterable[str]:
    """What the plan is worked out from, and what it lacks."""
    say = speech.say
    for rate in sheet.rates:
        told = {
            "rate": speech.far(rate.mm_per_person_h),
            "far": speech.unit,
            "rows": speech.count("{n} row", "{n} rows", rate.rows),
        }
        if rate.crop:
            yield say("Hours of {crop}: {rate} {far} per person and hour, from {rows} of it.", crop=rate.crop, **told)
        elif len(sheet.rates) == 1:
            yield say("Hours of planting: {rate} {far} per person and hour, from {rows} of every crop.", **told)
        else:
            yield say("Hours of other crops: {rate} {far} per person and hour, from {rows} of every crop.", **told)
    if not sheet.rates:
        yield say("Hours of planting stand here once a row is planted: they go by the farm's own rows.")
    for name, sentence in LACKING.items():
        if getattr(sheet.figures, name) is None:
            yield say(sentence)
    if any(line.takes and not line.window and not line.sow_by for line in sheet.plantings):
        yield say(NO_GROWING_TIME)
    yield say(HOLDING, n=speech.fixed(sheet.figures.bed_held_days))
    yield say(DAYS_FROM)


#: figure that the farm has not told -> what is missing for it
LACKING = {
    "trays_sown_per_h": "Hours of sowing are left out: the farm has not told how many trays a person sows in an hour.",
    "tending_h_per_tray_week": "Hours of tending are left out: the farm has not told how long a tray takes in a week.",
    "mix_l_per_tray": "Mix is left out: the farm has not told how much a tray takes.",
    "bench_room_trays": "The farm has not told how many trays its bench holds, so a full bench is not seen.",
    "hours_a_week": "The farm has not told how many hours there are in a week, so a week too short is not seen.",
}
NO_GROWING_TIME = (
    "For a crop of unknown growing time no day of sowing can be told: give one of its sowings a day of sowing and the "
    "days it is ready from and until."
)
HOLDING = (
    "When a bed is cleared is not logged: each planting is taken to hold its bed for {n} days, and what wants it "
    "within them is told as booked twice."
)
DAYS_FROM = (
    "Days from sowing to planting are the farm's own where a sowing of the crop tells them, else those of printed "
    "guides (see how each figure comes about). Spare trays are for the empty cells that tray checks, or the "
    "germination on the label, lead to expect."
)
