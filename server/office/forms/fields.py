"""The fields of each kind with their controls in the office."""

from collections.abc import Mapping
from dataclasses import dataclass

from server.office.forms.field_kinds import Chosen, FieldKind, Number, Written, YesNo, Zone
from server.office.forms.field_kinds_dates import AtTime, OnDay, RowTime
from server.office.forms.field_kinds_refs import BED, PLANTING, SOWING, Crew, OnTape, Stops
from shared_models.core.vocabulary import Role
from shared_models.fields import catalog
from shared_models.fields.catalog import FieldType
from shared_models.records.models import KINDS
from shared_models.reports.audit.retiming import ENDED, STARTED

#: kinds that only an owner changes; the others are a grower's
OWNERS_KINDS = frozenset({"person"})


@dataclass(frozen=True, slots=True)
class Field:
    """A field of the catalog, and how it is filled in. `private` ones are for the owner's eyes."""

    name: str
    label: str
    kind: FieldKind
    needed: bool = False
    hint: str = ""
    private: bool = False


_BY_NAME: Mapping[str, FieldKind] = {
    "bed": BED,
    "sowing": SOWING,
    "planting": PLANTING,
    "crew": Crew(),
    "stops": Stops(),
    "positions_mm": OnTape(),
    "zone": Zone(),
    "started_at": RowTime(STARTED),
    "ended_at": RowTime(ENDED),
}
_BY_TYPE: Mapping[FieldType, FieldKind] = {
    FieldType.DAY: OnDay(),
    FieldType.TIME: AtTime(),
    FieldType.YES_NO: YesNo(),
}
#: have a default, and must be chosen all the same
_NEEDED = frozenset({"zone", "units"})


def _field_kind(field: catalog.Field) -> FieldKind:
    if field.name in _BY_NAME:
        return _BY_NAME[field.name]
    if field.type in _BY_TYPE:
        return _BY_TYPE[field.type]
    if field.choices:
        return Chosen(field.choices)
    if field.type is FieldType.TEXT:
        return Written(field.longest)
    return Number(field.quantity, field.low, field.high, field.above)


def _of_kind(kind: str) -> tuple[Field, ...]:
    return tuple(
        Field(name, each.label, _field_kind(each), each.required or name in _NEEDED, each.hint, each.private)
        for name, each in catalog.fields_of(kind).items()
        if each.label
    )


FIELDS: Mapping[str, tuple[Field, ...]] = {kind: _of_kind(kind) for kind in KINDS}


def field_kind(kind: str, name: str) -> FieldKind:
    """How a field of the catalog is filled in, for a form that asks for such a value without a record."""
    return _field_kind(catalog.fields_of(kind)[name])


def fields_of(kind: str, role: Role) -> tuple[Field, ...]:
    """The fields of a kind that somebody of this role may see."""
    return tuple(field for field in FIELDS.get(kind, ()) if role is Role.OWNER or not field.private)


def may_change(kind: str, role: Role) -> bool:
    """Whether somebody of this role may change records of a kind here."""
    return kind in FIELDS and role.covers(Role.OWNER if kind in OWNERS_KINDS else Role.GROWER)
