"""The catalog of fields covers the records, and quantities convert both ways."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.core.vocabulary import LengthUnits
from shared_models.fields.catalog import fields_of, label_of
from shared_models.fields.quantities import COUNT, DEPTH, LENGTH, PERCENT, SHARE, SPACING, TEMPERATURE, WATER, Quantity
from shared_models.i18n.localizer import Localizer
from shared_models.records.models import KINDS

#: set by the programs, or on pages of their own
INTERNAL = {
    *("voided", "thresholds", "prices"),
    *("started_boot", "started_boot_ms", "ended_boot", "ended_boot_ms"),
}
FEET, METRES = Localizer("en", LengthUnits.FEET), Localizer("en", LengthUnits.METRES)


@pytest.mark.parametrize("kind", KINDS)
def test_every_field_of_a_record_has_a_label_or_is_internal(kind: str) -> None:
    fields = fields_of(kind)

    assert fields.keys() == KINDS[kind].model_fields.keys()
    assert {name for name, field in fields.items() if not field.label} == fields.keys() & INTERNAL


@pytest.mark.parametrize(
    ("kind", "name", "label"),
    [
        ("stand_count", "sample_length_mm", "Length counted"),
        ("", "sample_length_mm", "Length counted"),
        ("bed", "a_newer_field", "a newer field"),
        ("row_pass", "started_boot", "started boot"),
        ("greenhouse", "name", "Name"),
    ],
)
def test_a_field_is_called_by_its_label_or_by_its_own_name(kind: str, name: str, label: str) -> None:
    assert label_of(kind, name) == label


@pytest.mark.parametrize(
    ("quantity", "stored", "feet", "metres"),
    [
        (LENGTH, 30_480, "100 ft", "30.5 m"),
        (DEPTH, 32, "1.25 in", "32 mm"),
        (DEPTH, 33, "1.3 in", "33 mm"),
        (SPACING, 50.8, "2 in", "5.1 cm"),
        (WATER, 12.7, "0.5 in", "12.7 mm"),
        (PERCENT, 15.5, "15.5%", "15.5%"),
        (SHARE, 0.07, "7%", "7%"),
        (TEMPERATURE, 10, "50 °F", "10 °C"),
        (COUNT, 1_200, "1,200", "1,200"),
    ],
)
def test_a_quantity_is_read_in_the_farms_units(quantity: Quantity, stored: float, feet: str, metres: str) -> None:
    assert (quantity.format(stored, FEET), quantity.format(stored, METRES)) == (feet, metres)


@given(st.sampled_from([LENGTH, DEPTH]), st.integers(1, 10_000_000), st.sampled_from([FEET, METRES]))
def test_every_whole_millimetre_shows_as_a_number_that_is_stored_as_it(
    quantity: Quantity, mm: int, localizer: Localizer
) -> None:
    assert quantity.stored(quantity.shown(mm, localizer), localizer) == mm
