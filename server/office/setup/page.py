"""What the set-up shows: the farm with its limits; lists of beds, sowings, plantings, people and weather."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

from sqlalchemy import func, select
from starlette.datastructures import FormData

from server.office.forms.field_kinds import Number
from server.office.forms.fields import fields_of
from server.office.forms.limits import GROUPS, PRICES, limit_fields, limits_in
from server.office.forms.names import RecordNames, all_names
from server.office.forms.record_form import FormField, RecordForm
from server.office.forms.titles import brief, title
from server.office.setup.paste import Pasted, PastedLine
from server.office.setup.paste_headings import PASTED_KINDS, names_of
from server.office.shell.context import OfficeContext
from server.render.tables import Column, Table
from shared_models.core.vocabulary import Role
from shared_models.log.projection import RecordKey
from shared_models.records.tables import PROJECTIONS, table_of
from shared_models.reports.audit.entries import KIND_NAMES, Entry
from shared_models.reports.common.references import in_order

MOST_LISTED = 400


class SetupList(NamedTuple):
    """A list of the set-up: its kind, its name, what it is for, and the fields it shows besides the title."""

    kind: str
    name: str
    what: str
    shown: tuple[str, ...]
    role: Role = Role.GROWER


LISTS: Mapping[str, SetupList] = {
    "beds": SetupList(
        "bed",
        "Beds",
        "Where rows are planted.",
        ("length_mm", "rows", "row_spacing_mm", "texture", "retired"),
    ),
    "sowings": SetupList(
        "sowing",
        "Sowings",
        "Trays of one crop sown together, from seed lot to ready to plant.",
        ("sown_on", "trays", "spacing_mm", "seed_lot", "ready_from", "ready_until"),
    ),
    "plantings": SetupList(
        "planting", "Plantings", "The plan: which sowing goes into which bed, and when.", ("planned_on", "note")
    ),
    "weather": SetupList(
        "weather",
        "Weather",
        "Rain, irrigation and temperatures by day. With them, Rowend estimates when a wet bed is ready.",
        ("rain_mm", "irrigation_mm", "t_min_c", "t_max_c", "humidity_pct"),
    ),
    "people": SetupList(
        "person",
        "People",
        "Who works here. Each row is logged with its crew.",
        ("role", "wage_per_hour"),
        Role.OWNER,
    ),
}


class Card(NamedTuple):
    """A part of the set-up, and how much of it there is."""

    path: str
    name: str
    what: str
    how_many: str


@dataclass(frozen=True, slots=True)
class ListPage:
    """A list, the form that adds to it, and whether a table can be pasted."""

    path: str
    name: str
    what: str
    table: Table
    count: int
    filled: tuple[FormField, ...]
    pastes: bool
    #: the id of what the form adds: sent twice, it is added once
    record: str
    #: lists of what must be there first, each with its page and its name
    first: tuple[tuple[str, str], ...] = ()
    sentence: str = ""
    is_open: bool = False


@dataclass(frozen=True, slots=True)
class PastePage:
    """The form that takes a table, and what was found in it; None where nothing was pasted yet."""

    path: str
    name: str
    columns: tuple[tuple[str, str], ...]
    text: str
    pasted: Pasted | None
    sample: str

    @property
    def shown(self) -> tuple[PastedLine, ...]:
        lines = self.pasted.lines if self.pasted else ()
        return tuple(line for line in lines if line.wrong) or lines


@dataclass(frozen=True, slots=True)
class FarmPage:
    """The farm's own fields; its limits by group, and for an owner its prices."""

    filled: tuple[FormField, ...]
    limits: Mapping[str, list[FormField]]
    sentence: str


def names_for(context: OfficeContext) -> RecordNames:
    """The names of everything that a form can refer to."""
    return RecordNames(context.localizer, all_names(context.session, context.farm.id))


def cards(context: OfficeContext) -> Iterable[Card]:
    """The parts of the set-up that this person may change."""
    t = context.localizer.t
    yield Card("/setup/farm", t("The farm"), t("Name, time zone, units, location and limits."), "")
    for path, listed in LISTS.items():
        if context.office.role.covers(listed.role):
            yield Card(
                f"/setup/{path}", t(listed.name), t(listed.what), context.localizer.number(_count(context, listed.kind))
            )


def _count(context: OfficeContext, kind: str) -> int:
    table = table_of(PROJECTIONS[kind])
    query = select(func.count()).select_from(table).where(table.c.farm_id == context.farm.id, table.c.voided.is_(False))
    return context.session.connection().execute(query).scalar_one()


def blank_form(context: OfficeContext, kind: str, names: RecordNames) -> RecordForm:
    """The form for a record that is not there yet."""
    return RecordForm(Entry(RecordKey(kind, ""), {}), fields_of(kind, context.office.role), names)


def list_page(
    context: OfficeContext,
    path: str,
    record: str,
    typed: FormData | None = None,
    problems: Mapping[str, str] | None = None,
    sentence: str = "",
) -> ListPage:
    """A list with its form; after a failed save, with what was typed."""
    listed, names = LISTS[path], names_for(context)
    count = _count(context, listed.kind)
    return ListPage(
        path=f"/setup/{path}",
        name=context.localizer.t(listed.name),
        what=context.localizer.t(listed.what),
        table=_table(context, listed, names),
        count=count,
        filled=blank_form(context, listed.kind, names).form_fields(typed, problems),
        pastes=listed.kind in PASTED_KINDS,
        record=record,
        first=tuple(_first(context, listed.kind)),
        sentence=sentence,
        is_open=typed is not None or count == 0,
    )


def _first(context: OfficeContext, kind: str) -> Iterable[tuple[str, str]]:
    for path in ("beds", "sowings") if kind == "planting" else ():
        if not _count(context, LISTS[path].kind):
            yield f"/setup/{path}", context.localizer.t(LISTS[path].name)


def _table(context: OfficeContext, listed: SetupList, names: RecordNames) -> Table:
    t = context.localizer.t
    fields = {field.name: field for field in fields_of(listed.kind, context.office.role)}
    shown = [fields[name] for name in listed.shown if name in fields]
    entries = _entries(context, listed.kind)
    forms = [RecordForm(entry, shown, names) for entry in sorted(entries, key=_order(listed.kind, names))]
    return Table(
        (
            Column(t(KIND_NAMES[listed.kind][0]), words=True),
            *(Column(t(field.label), words=not isinstance(field.kind, Number)) for field in shown),
        ),
        tuple((title(form.entry, names), *(brief(form.format(field)) for field in shown)) for form in forms),
        links=tuple(f"/log/{listed.kind}/{form.entry.key.id}" for form in forms),
    )


def _entries(context: OfficeContext, kind: str) -> list[Entry]:
    """The records of a kind that were not deleted; where there are many, the latest made."""
    table = table_of(PROJECTIONS[kind])
    query = select(table).where(table.c.farm_id == context.farm.id, table.c.voided.is_(False))
    by = table.c.on if kind == "weather" else table.c.id
    rows = context.session.connection().execute(query.order_by(by.desc()).limit(MOST_LISTED)).mappings()
    return [Entry(RecordKey(kind, row["id"]), dict(row)) for row in rows]


def _order(kind: str, names: RecordNames) -> Callable[[Entry], Any]:
    if kind == "weather":
        return lambda entry: -entry.fields["on"].toordinal()
    if kind == "planting":
        return lambda entry: (str(entry.fields["planned_on"] or "9"), in_order(title(entry, names)))
    if kind == "bed":
        return lambda entry: (entry.fields["retired"], in_order(title(entry, names)))
    return lambda entry: in_order(title(entry, names))


def paste_page(context: OfficeContext, path: str, text: str = "", pasted: Pasted | None = None) -> PastePage:
    """The form that takes a table, and what was found in it."""
    listed, names = LISTS[path], names_for(context)
    return PastePage(
        path=f"/setup/{path}/csv",
        name=context.localizer.t(listed.name),
        columns=tuple(names_of(listed.kind, names)),
        text=text,
        pasted=pasted,
        sample=_SAMPLES[listed.kind][0 if context.localizer.feet else 1],
    )


#: the first lines of a table, in feet and in metres; the farm is an invention
_SAMPLES = {
    "bed": (
        "name,block,length_ft,rows\nWest 1,West,100,3\nWest 2,West,100,3",
        "name,block,length_m,rows\nWest 1,West,30,3\nWest 2,West,30,3",
    ),
    "sowing": (
        "code,crop,variety,spacing_in,sown_on,trays\nON-1,Onion,Varna,2,2026-03-02,6",
        "code,crop,variety,spacing_cm,sown_on,trays\nON-1,Onion,Varna,5,2026-03-02,6",
    ),
    "weather": (
        "on,rain_in,t_min_f,t_max_f\n2026-05-13,0.4,48,66",
        "on,rain_mm,t_min_c,t_max_c\n2026-05-13,10,9,19",
    ),
}


def farm_form(context: OfficeContext, entry: Entry) -> RecordForm:
    """The form of the farm itself."""
    return RecordForm(entry, fields_of("farm", context.office.role), names_for(context))


def farm_page(
    context: OfficeContext,
    entry: Entry,
    typed: FormData | None = None,
    problems: Mapping[str, str] | None = None,
    sentence: str = "",
) -> FarmPage:
    """The farm form; after a failed save, with what was typed."""
    form = farm_form(context, entry)
    limits = limit_fields(GROUPS, limits_in(entry.fields.get("thresholds")), form.names, typed, problems)
    if context.office.role is Role.OWNER:
        limits |= limit_fields(PRICES, limits_in(entry.fields.get("prices")), form.names, typed, problems)
    return FarmPage(
        filled=form.form_fields(typed, problems),
        limits=limits,
        sentence=sentence,
    )
