"""Records, office forms and the phone's questions bound a field alike."""

from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import pytest

from mobile.presenters.base.numbers import control
from mobile.presenters.history.entry_field import FieldForm
from mobile.presenters.history.field_kinds import Numeric
from mobile.presenters.history.fields import ASKS
from mobile.presenters.history.fields import fields_of as asked_fields
from server.office.forms.field_kinds import FieldKind, Number, Written
from server.office.forms.fields import field_kind
from server.office.forms.names import RecordNames
from server.office.forms.parse_numbers import FieldError
from server.render.localizer import Localizer
from shared_models.core.vocabulary import LengthUnits
from shared_models.fields.catalog import FieldType, fields_of
from shared_models.log.projection import validate
from shared_models.records.field_types import FIRST_YEAR, LAST_YEAR
from shared_models.records.models import KINDS
from shared_models.reports.audit.entries import Names
from tests.mobile.conftest import Crew, crew
from tests.mobile.support.quiet_phone import QuietContext

__all__ = ["crew"]

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
NOBODY = Names({}, {}, {}, {})
LOCALIZERS = [Localizer("en", units) for units in LengthUnits]
FIELDS = [(kind, field) for kind in KINDS for field in fields_of(kind).values() if field.label]
NUMBERS = [
    (kind, field.name)
    for kind, field in FIELDS
    if field.type in (FieldType.WHOLE, FieldType.NUMBER) and isinstance(field_kind(kind, field.name), Number)
]
TEXTS = [(kind, field.name, field.longest) for kind, field in FIELDS if field.type is FieldType.TEXT and field.longest]
DAYS = [(kind, field.name) for kind, field in FIELDS if field.type is FieldType.DAY]


def record_takes(kind: str, name: str, value: Any) -> bool:
    return name not in validate(kind, {name: value}).problems


def form_takes(form: FieldKind, text: str, localizer: Localizer) -> bool:
    try:
        form.parse(text, RecordNames(localizer, NOBODY))
    except FieldError:
        return False
    return True


@pytest.mark.parametrize("localizer", LOCALIZERS, ids=lambda each: each.units)
@pytest.mark.parametrize(("kind", "name"), NUMBERS)
def test_a_form_takes_the_numbers_that_the_record_takes(kind: str, name: str, localizer: Localizer) -> None:
    field, form = fields_of(kind)[name], field_kind(kind, name)
    unit = field.quantity.unit(localizer)
    for bound in (field.low, field.high):
        for nudge in (-1, -0.01, 0, 0.01, 1):
            number = round((bound - unit.zero) / unit.size + nudge, 4)
            if field.quantity.whole and unit.size == 1:
                number = round(number)
            stored = field.quantity.stored(number, localizer)
            taken = form_takes(form, f"{number:.4f}".rstrip("0").rstrip("."), localizer)
            assert taken == record_takes(kind, name, stored), (number, stored)


@pytest.mark.parametrize("units", LengthUnits)
@pytest.mark.parametrize("kind", ASKS)
def test_the_phone_steps_from_the_least_to_the_most_that_the_record_takes(kind: str, units: LengthUnits) -> None:
    localizer = Localizer("en", units)
    for field in asked_fields(kind):
        if not isinstance(field.kind, Numeric):
            continue
        setting, quantity = control(field.spec, localizer, field.kind.steps), field.spec.quantity
        for number, within in (
            (setting.start, True),
            (setting.lowest, True),
            (setting.highest, True),
            (setting.lowest - setting.step, False),
            (setting.highest + setting.step, False),
        ):
            assert record_takes(kind, field.name, quantity.stored(number, localizer)) is within, (field.name, number)


@pytest.mark.parametrize(("kind", "name", "longest"), TEXTS)
def test_a_text_is_as_long_as_the_record_takes(kind: str, name: str, longest: int) -> None:
    form = field_kind(kind, name)
    assert isinstance(form, Written)
    for letters in (longest, longest + 1):
        text = letters * "x"
        assert form_takes(form, text, LOCALIZERS[0]) == record_takes(kind, name, text) == (letters == longest)


@pytest.mark.parametrize(("kind", "name"), DAYS)
def test_days_lie_within_the_same_years(kind: str, name: str) -> None:
    form = field_kind(kind, name)
    for year in (FIRST_YEAR - 1, FIRST_YEAR, LAST_YEAR, LAST_YEAR + 1):
        day = date(year, 6, 1).isoformat()
        within = FIRST_YEAR <= year <= LAST_YEAR
        assert form_takes(form, day, LOCALIZERS[0]) == record_takes(kind, name, day) == within


def test_the_phone_sets_days_and_times_within_the_same_years(crew: Crew) -> None:
    context = QuietContext(crew.phone)
    check = context.notebook.check_soil(crew.bed, feel="moist")
    for key, nudge in (("day", timedelta(days=1)), ("at", timedelta(minutes=1))):
        form = FieldForm(context, "soil_check", check, key)
        number = form.questions()[-1].number
        assert number is not None
        low, high = (
            datetime.combine(date.fromordinal(int(each)), time(), UTC) if key == "day" else EPOCH + each * nudge
            for each in (number.lowest, number.highest)
        )
        assert [record_takes("soil_check", "at", at) for at in (low, high)] == [True, True]
        assert [record_takes("soil_check", "at", at) for at in (low - nudge, high + nudge)] == [False, False]
