"""What stands in the tables of the plan, for the text and for the page alike. Figures are rounded here."""

from collections.abc import Iterable

from server.render.localizer import Localizer
from server.render.tables import BY, Column, Table, sowing_name
from shared_models.i18n.formats import NO_VALUE
from shared_models.reports.pace.rates import By
from shared_models.reports.plan.schedule import PlannedPlanting
from shared_models.reports.plan.sheet import PlanSheet
from shared_models.reports.plan.successions import SuccessionAhead
from shared_models.reports.plan.unplanned_trays import TraysWaiting
from shared_models.reports.plan.weeks import PlanWeek
from shared_models.trade.planning.conflicts import SENTENCES, Conflict


def plantings_table(lines: Iterable[PlannedPlanting], localizer: Localizer) -> Table:
    """Each planting to come: its day, when it is sown, when its trays are ready, and what it takes."""
    t, plantings = localizer.t, list(lines)
    columns = (
        Column(t(BY[By.PLANTING]), words=True),
        Column(t("plant on")),
        Column(t("sown, or\nsow by")),
        Column(t("ready\nfrom")),
        Column(t("ready\nuntil")),
        Column(t("on the day"), words=True),
        Column(t("plants")),
        Column(t("trays")),
        Column(t("seeds")),
        Column(t("chain\n{unit}", unit=localizer.unit)),
        Column(t("mix\nliters")),
        Column(t("person-\nhours")),
    )
    links = tuple(f"/bed/{line.place.bed_id}" if line.place.bed_id else "" for line in plantings)
    return Table(columns, tuple(_planting(line, localizer) for line in plantings), links=links)


def _planting(line: PlannedPlanting, localizer: Localizer) -> tuple[str, ...]:
    takes, window = line.takes, line.window
    mix = takes.mix_l if takes and takes.mix_l else None
    return (
        localizer.name(line.place.label),
        localizer.date(line.planned_on),
        _sowing_day(line, localizer),
        localizer.date(window.ready_from if window else None),
        localizer.date(window.ready_until if window else None),
        _age(line, localizer),
        localizer.fixed(takes.plants if takes else None),
        localizer.fixed(takes.trays if takes else None),
        localizer.fixed(takes.seeds if takes else None),
        localizer.length_figure(takes.chain_mm if takes else None),
        localizer.fixed(mix, 1),
        localizer.fixed(line.person_h, 1),
    )


def _sowing_day(line: PlannedPlanting, localizer: Localizer) -> str:
    if line.sown and line.sowing:
        return localizer.date(line.sowing.sown_on)
    return localizer.t("by {day}", day=localizer.date(line.sow_by)) if line.sow_by else NO_VALUE


def _age(line: PlannedPlanting, localizer: Localizer) -> str:
    if line.window is None:
        return NO_VALUE
    if line.early_days:
        return localizer.tn("{n} day too young", "{n} days too young", line.early_days)
    if line.late_days:
        return localizer.tn("{n} day too old", "{n} days too old", line.late_days)
    return localizer.t("ready")


def weeks_table(sheet: PlanSheet, localizer: Localizer) -> Table:
    """Bench, sowing, plants and hours week by week; hours that nothing is known of have no column."""
    t = localizer.t
    columns = [
        Column(t(BY[By.WEEK]), words=True),
        Column(t("trays on\nthe bench")),
        Column(t("trays\nto sow")),
        Column(t("plantings")),
        Column(t("plants")),
    ]
    kinds = {
        "sowing_h": t("hours of\nsowing"),
        "tending_h": t("hours of\ntending"),
        "planting_h": t("hours of\nplanting"),
    }
    known = [name for name in kinds if any(getattr(week, name) is not None for week in sheet.weeks)]
    columns += [Column(kinds[name]) for name in known]
    columns += [Column(t("total\nhours"))] if len(known) > 1 else []
    return Table(tuple(columns), tuple(_week(week, known, localizer) for week in sheet.weeks))


def _week(week: PlanWeek, known: list[str], localizer: Localizer) -> tuple[str, ...]:
    together = [localizer.fixed(week.hours, 1)] if len(known) > 1 else []
    return (
        localizer.date(week.monday),
        localizer.fixed(week.trays),
        localizer.fixed(week.trays_to_sow),
        str(week.plantings),
        localizer.fixed(week.plants),
        *(localizer.fixed(getattr(week, name), 1) for name in known),
        *together,
    )


def waiting_table(waiting: Iterable[TraysWaiting], localizer: Localizer) -> Table:
    """Trays that no planting is planned for."""
    t, trays = localizer.t, list(waiting)
    columns = (
        Column(t("sowing"), words=True),
        Column(t("trays")),
        Column(t("sown")),
        Column(t("plant\nfrom")),
        Column(t("plant\nuntil")),
    )
    rows = tuple(
        (
            sowing_name(each.sowing),
            localizer.fixed(each.trays),
            localizer.date(each.sowing.sown_on),
            localizer.date(each.window.ready_from),
            localizer.date(each.window.ready_until),
        )
        for each in trays
    )
    return Table(columns, rows, links=tuple(f"/sowing/{each.sowing.id}" for each in trays))


def ahead_table(found: Iterable[SuccessionAhead], localizer: Localizer) -> Table:
    """What comes next of the crops that are planted again and again."""
    t = localizer.t
    columns = (
        Column(t(BY[By.CROP]), words=True),
        Column(t("every so\nmany days")),
        Column(t("last\nplanting")),
        Column(t("plant on")),
        Column(t("sow by")),
    )
    rows = tuple(
        (
            each.crop,
            localizer.fixed(each.every_days),
            localizer.date(each.last),
            localizer.date(following.plant_on),
            localizer.date(following.sow_by),
        )
        for each in found
        for following in each.next
    )
    return Table(columns, rows)


def seeds_table(sheet: PlanSheet, localizer: Localizer) -> Table:
    """The seed of what is not sown yet."""
    columns = (Column(localizer.t(BY[By.CROP]), words=True), Column(localizer.t("seeds")))
    rows = tuple((crop, localizer.fixed(seeds)) for crop, seeds in sorted(sheet.to_sow.seeds.items()))
    return Table(columns, rows)


def order_text(sheet: PlanSheet, localizer: Localizer) -> str:
    """Trays, chain and mix still to sow."""
    order, t = sheet.to_sow, localizer.t
    if not order.trays:
        return t("Everything planned has been sown.")
    trays = localizer.tn("{n} tray is still to sow", "{n} trays are still to sow", order.trays)
    chain = t("{n} {unit} of chain", n=localizer.length_figure(order.chain_mm), unit=localizer.unit)
    parts = [trays, chain]
    if order.mix_l:
        parts.append(t("{n} liters of mix", n=localizer.fixed(order.mix_l)))
    return f"{', '.join(parts)}."


def conflict_text(conflict: Conflict, localizer: Localizer) -> str:
    """A conflict in one sentence, and what to do."""
    first, second = (*(localizer.name(label) for label in conflict.plantings), "", "")[:2]
    return localizer.t(
        SENTENCES[conflict.kind],
        begins=localizer.date(conflict.begins),
        bed=localizer.name(conflict.bed or ""),
        first=first,
        second=second,
        needed=localizer.fixed(conflict.needed, conflict.decimals),
        available=localizer.fixed(conflict.available, conflict.decimals),
    )


def assumptions(sheet: PlanSheet, localizer: Localizer) -> Iterable[str]:
    """Assumptions of the plan, and what is missing."""
    t = localizer.t
    for rate in sheet.rates:
        values = {
            "rate": localizer.length_figure(rate.mm_per_person_h),
            "unit": localizer.unit,
            "rows": localizer.tn("{n} row", "{n} rows", rate.rows),
        }
        if rate.crop:
            yield t("Planting hours for {crop}: {rate} {unit} per person-hour, from {rows}.", crop=rate.crop, **values)
        elif len(sheet.rates) == 1:
            yield t("Planting hours: {rate} {unit} per person-hour, from {rows} of all crops.", **values)
        else:
            yield t(
                "Planting hours for other crops: {rate} {unit} per person-hour, from {rows} of all crops.", **values
            )
    if not sheet.rates:
        yield t("Planting hours show up once you have planted a row: they come from your own rows.")
    for name, sentence in LACKING.items():
        if getattr(sheet.figures, name) is None:
            yield t(sentence)
    if any(line.takes and not line.window and not line.sow_by for line in sheet.plantings):
        yield t(NO_GROWING_TIME)
    yield t(HOLDING, n=localizer.fixed(sheet.figures.bed_held_days))
    yield t(DAYS_FROM)


#: figure that the farm has not set -> what is missing for it
LACKING = {
    "trays_sown_per_h": "Enter trays sown per hour to include sowing hours.",
    "tending_h_per_tray_week": "Enter tending time per tray to include tending hours.",
    "mix_l_per_tray": "Enter mix per tray to include mix.",
    "bench_room_trays": "Set bench capacity to check for overflow.",
    "hours_a_week": "Set hours per week to check for weeks with too much work.",
}
NO_GROWING_TIME = (
    "No sowing date for crops with unknown growing time: enter the sowing date and ready dates of one of their sowings."
)
HOLDING = (
    "Each planting is assumed to use its bed for {n} days, because clearing a bed is not logged. Another "
    "planting in that time is shown as a double booking."
)
DAYS_FROM = (
    "Days from sowing to planting come from your own sowings of the crop; otherwise from printed guides "
    "(see Methods, how we calculate this). Spare trays make up for the empty cells expected from tray "
    "checks or the germination on the label."
)
