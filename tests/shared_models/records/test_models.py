import json
from collections.abc import Mapping
from datetime import UTC, date, datetime
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.core.moments import Moment, elapsed_s
from shared_models.log.projection import validate
from shared_models.records.models import KINDS, UNITS, RowPassFields, moment_fields, moment_json
from shared_models.records.tables import PROJECTIONS, RowPass, table_of
from tests.shared_models.log.device import A_BED, A_ROW, ANA, BED, PLANTING, SOWING

AT = "2026-05-04T12:00:00+00:00"
SOUND: dict[str, dict[str, Any]] = {
    "farm": {"name": "Alder Lane"},
    "person": {"name": "Ana"},
    "bed": A_BED,
    "sowing": {"crop": "Onion", "spacing_mm": 50.8},
    "tray_check": {"sowing": SOWING, "on": "2026-05-01", "cells_seen": 264, "cells_empty": 12},
    "planting": {"bed": BED, "sowing": SOWING},
    "row_pass": A_ROW,
    "soil_check": {"bed": BED, "at": AT},
    "stand_count": {"planting": PLANTING, "at": AT, "row": 1, "sample_length_mm": 3000, "plants": 58},
    "weather": {"on": "2026-05-04"},
}
"""Of each kind the least that is sound."""
REQUIRED = [(kind, name) for kind, fields in SOUND.items() for name in fields]


def problems(kind: str, **fields: Any) -> Mapping[str, str]:
    return validate(kind, SOUND[kind] | fields).problems


def row(kind: str, **fields: Any) -> dict[str, Any]:
    judged = validate(kind, SOUND[kind] | fields)
    assert judged.row is not None, judged.problems
    return judged.row


def moment(minutes: float, boot: str = "", boot_ms: int = 0) -> dict[str, Any]:
    at = datetime(2026, 5, 4, 12, tzinfo=UTC).timestamp() + minutes * 60
    return moment_json(Moment(datetime.fromtimestamp(at, UTC), boot, boot_ms))


def of_row(name: str, minutes: float, boot: str = "", boot_ms: int = 0) -> dict[str, Any]:
    result = moment(minutes, boot, boot_ms)
    return {f"{name}_at": result["at"], f"{name}_boot": result["boot"], f"{name}_boot_ms": result["boot_ms"]}


# ---------------------------------------------------------------------- every kind


def test_every_kind_has_a_table_and_a_sound_example() -> None:
    assert KINDS.keys() == PROJECTIONS.keys() == SOUND.keys()
    assert all(table_of(model).name == kind for kind, model in PROJECTIONS.items())


@pytest.mark.parametrize("kind", SOUND)
def test_the_least_that_is_sound_fills_every_column_of_its_table(kind: str) -> None:
    columns = set(table_of(PROJECTIONS[kind]).columns.keys())

    assert {"farm_id", "id", *row(kind)} == columns


@pytest.mark.parametrize(("kind", "name"), REQUIRED)
def test_what_a_kind_must_have_is_asked_for(kind: str, name: str) -> None:
    without = {field: value for field, value in SOUND[kind].items() if field != name}

    assert validate(kind, without).problems == {name: "must be filled in"}


@pytest.mark.parametrize(("kind", "name"), REQUIRED)
def test_what_a_kind_must_have_cannot_be_cleared(kind: str, name: str) -> None:
    assert problems(kind, **{name: None}) == {name: "must be filled in"}


@pytest.mark.parametrize("kind", SOUND)
def test_any_other_field_can_be_cleared_and_is_then_as_if_never_set(kind: str) -> None:
    others = KINDS[kind].model_fields.keys() - SOUND[kind].keys()

    assert row(kind, **dict.fromkeys(others)) == row(kind)


@pytest.mark.parametrize("kind", SOUND)
def test_a_field_of_a_newer_program_is_no_problem(kind: str) -> None:
    assert row(kind, colour="red") == row(kind)


@pytest.mark.parametrize("kind", SOUND)
def test_a_record_that_was_taken_out_is_marked(kind: str) -> None:
    assert row(kind, voided=True)["voided"] is True
    assert row(kind)["voided"] is False


def test_units_are_whole() -> None:
    """Every field of a unit is a field of its kind and names the same unit as its fellows."""
    for kind, units in UNITS.items():
        for name, unit in units.items():
            assert name in unit
            assert all(member in KINDS[kind].model_fields and units[member] == unit for member in unit)


def test_a_unit_may_lack_all_but_one_field_of_what_a_kind_must_have() -> None:
    """A line that moves the start of a row must say all of it, or the row has no start: the reason says so."""
    assert problems("row_pass", started_at=None) == {"started_at": "must be filled in"}


# ---------------------------------------------------------------------- single fields

NAN, INFINITE, NEWER_THAN_ANY_INT = float("nan"), float("inf"), 10**400
IMPOSSIBLE: dict[str, list[Any]] = {
    "farm.name": ["", "   ", "a" * 121, "B\0d", "\ud800", 7],
    "farm.zone": ["", "Mars/Olympus", "../etc/passwd", "America/New_York\0", 7, []],
    "farm.latitude": [90.1, -90.1, NAN, INFINITE, NEWER_THAN_ANY_INT, "north"],
    "farm.longitude": [180.1, -180.1, NAN],
    "farm.units": ["cubits", "FEET", 7],
    "farm.thresholds": [{"residue": NAN}, {"residue": "12"}, {"residue": True}, {"residue": NEWER_THAN_ANY_INT}, [], 7],
    "farm.prices": [{"chain": INFINITE}, {"ch\0in": 1.0}, {"\ud800": 1.0}, {"c" * 121: 1.0}],
    "farm.plug_tray_plants_per_person_hour": [-1, NAN],
    "person.role": ["king", ""],
    "person.wage_per_hour": [-0.01, NAN, INFINITE],
    "bed.length_mm": [0, -3, 10_000_001, 1.5, "30480", True, NAN, NEWER_THAN_ANY_INT],
    "bed.rows": [0, -1, 1001, 2.0, "5", True],
    "bed.texture": ["gravel"],
    "bed.block": ["a" * 121, "\0"],
    "sowing.spacing_mm": [0, -50.8, 10_001, NAN],
    "sowing.trays": [-1, 1_000_001, 1.5],
    "sowing.label_germination": [-0.1, 1.1, NAN],
    "sowing.sown_on": ["2026-02-30", "yesterday", "2026-05-04T12:00:00", 10**400],
    "tray_check.on": ["", "0000-01-01"],
    "tray_check.leaves": [-1],
    "planting.bed": ["Bed 1", BED.upper(), BED + "\n", 7],
    "row_pass.row": [0, -1, 1001, 1.5],
    "row_pass.started_at": ["2026-05-04T12:00:00", "noon", "9999-12-31T23:59:59-23:00", "0001-01-01T00:00:00+23:00"],
    "row_pass.started_boot_ms": [-1, 2**53, 1.5],
    "row_pass.misses": [-1, NAN],
    "row_pass.depth_mm": [0, -20],
    "row_pass.crew": [["Ana"], [ANA] * 51, ANA],
    "row_pass.end_accuracy_m": [-1, NAN, INFINITE],
    "row_pass.note": ["n" * 4001, "n" * 1_000_000, "\0", "\udfff", 7],
    "soil_check.feel": ["soggy"],
    "soil_check.stones": ["lots"],
    "soil_check.residue_pct": [-1, 100.1],
    "soil_check.soil_c": [-90.1, 70.1, NAN],
    "soil_check.tilled_at": ["2026-05-04"],
    "stand_count.plants": [-1],
    "stand_count.sample_length_mm": [0, -3000],
    "stand_count.positions_mm": [[-1], [1.5], ["1"], [1] * 2001, 7],
    "weather.rain_mm": [-0.1, 2001, NAN],
    "weather.humidity_pct": [100.1],
}


@pytest.mark.parametrize(
    ("field", "value"), [(field, value) for field, values in IMPOSSIBLE.items() for value in values], ids=str
)
def test_a_value_that_cannot_be_is_reported_by_its_field(field: str, value: Any) -> None:
    kind, name = field.split(".")

    assert {result.split(".")[0] for result in problems(kind, **{name: value})} == {name}


def test_every_problem_is_reported_at_once() -> None:
    assert problems("bed", name="", rows=0, length_mm=-3).keys() == {"name", "rows", "length_mm"}


def test_a_problem_says_its_reason_in_words() -> None:
    assert problems("bed", length_mm=-3) == {"length_mm": "must be more than 0"}
    assert problems("farm", zone="Mars")["zone"].startswith("must be a time zone of the IANA list")
    assert problems("bed", name="B\0d") == {"name": "has a character that cannot be stored"}


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("bed.length_mm", 1),
        ("bed.length_mm", 10_000_000),
        ("bed.rows", 1000),
        ("row_pass.started_boot_ms", 2**53 - 1),
        ("row_pass.note", "🥬" * 4000),
        ("row_pass.crew", [ANA] * 50),
        ("stand_count.positions_mm", [0, 3000]),
        ("farm.latitude", -90),
        ("farm.thresholds", {"residue": 30, "clods": 0.5}),
        ("sowing.label_germination", 1),
        ("weather.t_min_c", -90),
    ],
    ids=str,
)
def test_what_lies_on_the_bound_is_taken_as_it_came(field: str, value: Any) -> None:
    kind, name = field.split(".")

    assert row(kind, **{name: value})[name] == value


def test_a_name_is_kept_without_the_blanks_around_it() -> None:
    assert row("bed", name="  Bed 1 \n")["name"] == "Bed 1"


def test_times_are_kept_in_utc_and_days_as_days() -> None:
    kept = row("soil_check", at="2026-05-04T21:00:00+09:00", tilled_at="2026-05-04T12:00:00Z")

    assert kept["at"] == kept["tilled_at"] == datetime(2026, 5, 4, 12, tzinfo=UTC)
    assert row("weather")["on"] == date(2026, 5, 4)


def test_lists_are_kept_as_they_came_with_what_a_newer_program_put_in() -> None:
    """They are written back whole with every change; a key left out here would be lost."""
    stop = {"reason": "rest", "began": moment(3), "shade": True}

    assert row("row_pass", stops=[stop])["stops"] == [stop]


# ---------------------------------------------------------------------- rules over several fields


def test_a_row_that_ends_before_it_starts_by_the_wall_clock_is_reported() -> None:
    assert problems("row_pass", **of_row("ended", -1)) == {"entry": "the row ends before it starts"}


def test_a_row_that_ends_before_it_starts_by_the_boot_clock_is_reported() -> None:
    moments = of_row("started", 0, "a", 60_000) | of_row("ended", 9, "a", 59_999)

    assert problems("row_pass", **moments) == {"entry": "the row ends before it starts"}


def test_a_row_that_the_wall_clock_alone_ends_too_early_is_sound_within_one_boot() -> None:
    """The phone's clock was set back in the middle of the row."""
    row("row_pass", **of_row("started", 0, "a", 60_000), **of_row("ended", -500, "a", 120_000))


def test_a_row_may_end_the_moment_it_starts() -> None:
    row("row_pass", **of_row("started", 0, "a", 60_000), **of_row("ended", 0, "a", 60_000))


@pytest.mark.parametrize(
    ("began", "ended"), [(moment(3), moment(2)), (moment(3, "a", 60_000), moment(9, "a", 59_999))], ids=["wall", "boot"]
)
def test_a_stop_that_ends_before_it_starts_is_reported(began: dict[str, Any], ended: dict[str, Any]) -> None:
    stop = {"reason": "rest", "began": began, "ended": ended}

    assert problems("row_pass", stops=[stop]) == {"entry": "a stop ends before it starts"}


STRANGE_STOPS: dict[str, Any] = {
    "no reason": {"began": moment(3)},
    "an unknown reason": {"reason": "tea", "began": moment(3)},
    "no beginning": {"reason": "rest"},
    "a time without a zone": {"reason": "rest", "began": moment(3) | {"at": "2026-05-04T12:03:00"}, "ended": moment(4)},
    "a time outside the calendar": {"reason": "rest", "began": {"at": "9999-12-31T23:59:59-23:00"}},
    "a boot clock beyond any": {"reason": "rest", "began": moment(3, "a", 10**400), "ended": moment(4, "a", 0)},
    "a boot that cannot be stored": {"reason": "rest", "began": moment(3, "\0")},
    "no stop": 7,
}


@pytest.mark.parametrize("stop", STRANGE_STOPS.values(), ids=STRANGE_STOPS)
def test_a_stop_that_cannot_be_is_reported(stop: Any) -> None:
    assert {result.split(".")[0] for result in problems("row_pass", stops=[stop])} == {"stops"}


def test_stops_read_from_a_table_are_stops_again() -> None:
    stop = {"reason": "rest", "began": moment(3, "a", 180_000), "ended": moment(4, "a", 240_000)}
    held = RowPass(**row("row_pass", stops=[stop]))

    (entry,) = held.stop_entries

    assert entry.reason == "rest"
    assert (entry.began.boot, entry.began.boot_ms) == ("a", 180_000)
    assert entry.ended is not None
    assert elapsed_s(entry.began, entry.ended) == 60


def test_more_filled_than_missed_is_reported() -> None:
    assert problems("row_pass", misses=2, filled=3) == {"entry": "more misses were filled than were logged"}
    assert problems("row_pass", misses=3, filled=3) == {}


def test_more_empty_cells_than_were_seen_is_reported() -> None:
    assert problems("tray_check", cells_empty=265) == {"entry": "more cells are empty than were checked"}
    assert problems("tray_check", cells_empty=264) == {}


def test_a_plant_beyond_the_end_of_the_tape_is_reported() -> None:
    assert problems("stand_count", positions_mm=[0, 3001]) == {"entry": "a plant is past the end of the sample"}


def test_a_readiness_window_that_ends_before_it_starts_is_reported() -> None:
    window = {"ready_from": "2026-05-02", "ready_until": "2026-05-01"}

    assert problems("sowing", **window) == {"entry": "the readiness window ends before it starts"}
    assert problems("sowing", ready_from="2026-05-02", ready_until="2026-05-02") == {}


def test_a_warmest_colder_than_the_coldest_is_reported() -> None:
    assert problems("weather", t_min_c=5, t_max_c=4) == {"entry": "the warmest temperature is below the coldest"}
    assert problems("weather", t_max_c=-4) == {}


# ---------------------------------------------------------------------- moments


def test_a_moment_is_written_as_fields_and_read_again() -> None:
    start = Moment(datetime(2026, 5, 4, 12, 5, tzinfo=UTC), "a", 300_000)
    end = Moment(datetime(2026, 5, 4, 12, 9, tzinfo=UTC))

    held = RowPassFields(**row("row_pass", **moment_fields("started", start), **moment_fields("ended", end)))

    assert (held.started, held.ended) == (start, end)


def test_a_row_that_goes_on_has_no_end() -> None:
    assert RowPassFields(**row("row_pass")).ended is None


# ---------------------------------------------------------------------- anything at all

any_text = st.text(st.characters(exclude_categories=()), max_size=5)
plausible = st.sampled_from([BED, AT, "2026-05-04", "rest", "feet", "a", 0, 1, -1, 2**53, 10**400, 1e300, 0.5, True])
anything = st.recursive(
    st.none() | plausible | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | any_text,
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(any_text | st.sampled_from(["reason", "began", "ended", "at", "boot", "boot_ms"]), inner)
    ),
    max_leaves=10,
)


@given(st.data(), st.sampled_from(sorted(KINDS)))
def test_no_value_whatever_stops_the_judge(data: st.DataObject, kind: str) -> None:
    """A line is judged in the middle of an ingest: what is raised here would hold up all the others."""
    changed = data.draw(st.dictionaries(st.sampled_from(sorted(KINDS[kind].model_fields)), anything, max_size=3))

    judged = validate(kind, SOUND[kind] | changed)

    assert (judged.row is None) == bool(judged.problems)
    json.dumps(judged.problems)
