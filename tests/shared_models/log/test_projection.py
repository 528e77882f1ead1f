"""Records in their tables: folded again from the logs at any time, and by a program of any age."""

import json
from collections.abc import Callable
from typing import Annotated, Any

import pytest
from pydantic import BeforeValidator, TypeAdapter
from sqlalchemy import URL, delete, insert, update
from sqlmodel import SQLModel

from shared_models.log import projection
from shared_models.log.store import open_store, projection_shape, sqlite_url, writing
from shared_models.records.models import KINDS, BedFields
from shared_models.records.tables import DERIVED, Bed, Flagged, Line, Meta, RowPass, Weather, table_of
from tests.shared_models.conftest import Opener
from tests.shared_models.log.device import (
    A_BED,
    A_ROW,
    BED,
    FARM,
    OFFICE,
    OTHER_FARM,
    PHONE,
    ROW,
    TABLET,
    Device,
    an_id,
    line,
    run_of,
)

Damage = Callable[[Device], None]


def busy(device: Device) -> None:
    """A bed, a row, a flagged bed, a kind of next year, and the same ids on another farm."""
    device.write("bed", BED, **A_BED)
    device.write("row_pass", ROW, **A_ROW)
    device.take(run_of(TABLET, line(1, record=an_id(9), set={"rows": 0}), line(2, kind="mulch", set={"straw_kg": 1})))
    Device(device.engine, OFFICE, OTHER_FARM).write("bed", BED, **A_BED | {"name": "Theirs"})


def tables(device: Device) -> list[list[dict[str, Any]]]:
    return [device.rows(model) for model in DERIVED]


def change(model: type[SQLModel], **values: Any) -> Damage:
    """Change every row of this farm in a table."""
    table = table_of(model)

    def damage(device: Device) -> None:
        with writing(device.engine, device.farm) as connection:
            connection.execute(update(table).where(table.c.farm_id == device.farm).values(**values))

    return damage


def remove(*models: type[SQLModel]) -> Damage:
    """Remove every row of this farm from these tables."""

    def damage(device: Device) -> None:
        with writing(device.engine, device.farm) as connection:
            for table in map(table_of, models):
                connection.execute(delete(table).where(table.c.farm_id == device.farm))

    return damage


def add(model: type[SQLModel]) -> Damage:
    """One more row of this farm in a table that no line tells of."""
    table = table_of(model)

    def damage(device: Device) -> None:
        row = next(row for row in device.rows(model) if row["farm_id"] == device.farm)
        with writing(device.engine, device.farm) as connection:
            connection.execute(insert(table), row | {"id": an_id(0xE)})

    return damage


DAMAGES: dict[str, Damage] = {
    "a changed figure": change(Bed, rows=6),
    "a changed list": change(RowPass, stops=[{"reason": "rest"}]),
    "a changed reason": change(Flagged, problems="{}"),
    "a missing row": remove(RowPass),
    "a missing flag": remove(Flagged),
    "an extra row": add(Bed),
    "an extra flag": add(Flagged),
    "nothing left": remove(*DERIVED),
}


def rebuild(device: Device) -> None:
    with writing(device.engine, device.farm) as connection:
        projection.rebuild(connection, device.farm)


@pytest.mark.parametrize("damage", DAMAGES.values(), ids=DAMAGES)
def test_whatever_happened_to_the_tables_rebuild_makes_them_again_from_the_logs(device: Device, damage: Damage) -> None:
    busy(device)
    lines, before = device.rows(Line), tables(device)
    damage(device)
    assert tables(device) != before

    rebuild(device)

    assert tables(device) == before
    assert device.rows(Line) == lines
    assert device.complaints() == []


def test_rebuild_of_a_sound_store_changes_nothing(device: Device) -> None:
    busy(device)
    before = tables(device)

    rebuild(device)
    rebuild(device)

    assert tables(device) == before


# ---------------------------------------------------------------------- programs of different age


def older(device: Device) -> None:
    """Leave the store as a program left it whose tables had another shape."""
    with writing(device.engine, FARM) as connection:
        connection.execute(update(table_of(Meta)).values(value="a shape of last year"))


@pytest.fixture(params=["sqlite", "postgresql"])
def url(request: pytest.FixtureRequest) -> str | URL:
    """A database of its own, for tables are dropped in it."""
    if request.param == "sqlite":
        return sqlite_url(request.getfixturevalue("tmp_path") / "log.db")
    return str(request.getfixturevalue("postgres_url"))


def test_a_kind_that_came_with_an_update_is_folded_from_lines_held_before_it(
    url: str | URL, opened: Opener, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delitem(KINDS, "weather")
    before = Device(opened(url))
    before.take(run_of(TABLET, line(kind="weather", set={"on": "2026-05-04", "rain_mm": 12.5})))
    assert before.rows(Weather) == []
    older(before)
    monkeypatch.undo()

    after = Device(opened(url))

    assert [row["rain_mm"] for row in after.rows(Weather)] == [12.5]
    assert after.complaints() == []


def as_last_year(fields: dict[str, Any]) -> dict[str, Any]:
    """What a bed was before it had a texture and could be retired."""
    return {name: value for name, value in fields.items() if name not in ("texture", "retired")}


def test_a_field_that_came_with_an_update_is_folded_from_lines_held_before_it(
    url: str | URL, opened: Opener, monkeypatch: pytest.MonkeyPatch
) -> None:
    bed_of_last_year: TypeAdapter[Any] = TypeAdapter(Annotated[BedFields, BeforeValidator(as_last_year)])
    monkeypatch.setitem(projection._MODELS, "bed", bed_of_last_year)
    before = Device(opened(url))
    before.take(run_of(TABLET, line(set=A_BED | {"texture": "fine", "retired": True})))
    monkeypatch.undo()
    older(before)

    after = Device(opened(url))

    assert [(row["texture"], row["retired"]) for row in after.rows(Bed)] == [("fine", True)]
    assert after.complaints() == []


def test_tables_of_another_shape_are_made_anew_and_no_line_is_touched(url: str | URL, opened: Opener) -> None:
    before = Device(opened(url))
    busy(before)
    lines, folded = before.rows(Line), tables(before)
    with writing(before.engine, FARM) as connection:
        connection.exec_driver_sql("DROP TABLE row_pass")
        connection.exec_driver_sql("ALTER TABLE bed ADD COLUMN colour VARCHAR")
        connection.exec_driver_sql("DELETE FROM bed")
    older(before)

    after = Device(opened(url))

    assert after.rows(Line) == lines
    assert tables(after) == folded
    assert after.complaints() == Device(after.engine, PHONE, OTHER_FARM).complaints() == []


def test_tables_of_the_same_shape_are_left_alone(url: str | URL, opened: Opener) -> None:
    """Opening a store costs no rebuild."""
    before = Device(opened(url))
    before.write("bed", BED, **A_BED)
    change(Bed, rows=6)(before)

    after = Device(opened(url))

    assert after.rows(Bed)[0]["rows"] == 6


def test_the_shape_is_the_same_each_time_and_another_when_a_table_changes(monkeypatch: pytest.MonkeyPatch) -> None:
    shape = projection_shape()
    columns = table_of(Bed).columns
    assert projection_shape() == shape

    monkeypatch.setattr(columns["rows"], "nullable", True)

    assert projection_shape() != shape


def test_lists_come_back_from_the_table_as_they_went_in(device: Device) -> None:
    """Also what a newer program put into them: they are written back whole when one is added."""
    stops = [{"reason": "rest", "began": {"at": "2026-05-04T12:03:00+00:00", "boot": "a", "boot_ms": 1}, "shade": True}]

    device.take(run_of(TABLET, line(kind="row_pass", record=ROW, set=A_ROW | {"stops": stops})))

    assert device.rows(RowPass)[0]["stops"] == stops
    assert json.loads(device.texts()[0])["set"]["stops"] == stops


def test_a_store_is_opened_again_and_again(url: str | URL) -> None:
    for _ in range(3):
        open_store(url).dispose()
