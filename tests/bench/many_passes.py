"""Farms of our own invention with many seasons behind them, written straight into the tables that reports ask.

A season has 10,000 row passes on a hundred beds, fifty of them a day, whatever came before it: so a bed's history, a
day and a season are as large in a small store as in a large one, and what they cost may be compared.
"""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Any
from zlib import crc32

from sqlalchemy import Connection, Engine, insert

from shared_models.core.ids import time_ordered_id
from shared_models.log.prepared_statements import Prepared
from shared_models.log.projection import validate
from shared_models.log.store import writing
from shared_models.records.tables import PROJECTIONS, table_of

SEASON, SEASONS = 10_000, 10
BEDS = 100
ROWS_OF_PLANTING, ROWS_OF_DAY = 10, 50
PHONES, DAYS_OF_BOOT = 2, 14
LAST_SEASON = datetime(2026, 3, 1, 12, tzinfo=UTC)
CROPS = (("scallion", 50.8), ("lettuce", 152.4), ("leek", 152.4), ("onion", 50.8))
TEN_MINUTES = timedelta(minutes=10)
#: the requested day, in the middle of the last season
A_DAY = (LAST_SEASON + timedelta(days=100)).date()


def write_seasons(engine: Engine, farm: str, passes: int) -> None:
    """So many row passes: the farm's last season, seasons before it, and then other farms with as many."""
    for number in range(passes // SEASON):
        of_farm, before = divmod(number, SEASONS)
        with writing(engine, farm) as connection:
            _write_season(connection, _named(farm, of_farm), before)


def bed_of(farm: str, number: int) -> str:
    """The id of a bed of the farm's last season."""
    return _id(farm, "bed", 0, number)


def _named(farm: str, number: int) -> str:
    return farm if number == 0 else _id(farm, "farm", number, 0)


def _id(farm: str, kind: str, before: int, number: int) -> str:
    made = LAST_SEASON - timedelta(days=365 * before) + number * TEN_MINUTES
    return time_ordered_id(round(made.timestamp() * 1000), crc32(f"{farm} {kind} {before}".encode()) << 32 | number)


def _write_season(connection: Connection, farm: str, before: int) -> None:
    people = [_id(farm, "person", 0, number) for number in range(4)]
    if before == 0:
        _write(connection, "person", farm, [{"id": each, "name": f"Person {each[-4:]}"} for each in people])
    _write(connection, "bed", farm, _beds(farm, before))
    _write(connection, "sowing", farm, _sowings(farm, before))
    _write(connection, "planting", farm, _plantings(farm, before))
    _write(connection, "row_pass", farm, _row_passes(farm, before, people))


def _write(connection: Connection, kind: str, farm: str, records: list[dict[str, Any]]) -> None:
    usual = validate(kind, {name: value for name, value in records[0].items() if name != "id"}).row
    assert usual is not None, records[0]
    rows = [{**usual, **_stored(record), "farm_id": farm} for record in records]
    Prepared(insert(table_of(PROJECTIONS[kind]))).run_many(connection, rows)


def _stored(record: dict[str, Any]) -> dict[str, Any]:
    times = {name: datetime.fromisoformat(value) for name, value in record.items() if name.endswith("ed_at")}
    return record | times


def _beds(farm: str, before: int) -> list[dict[str, Any]]:
    """Fields are laid out anew each season."""
    return [
        {"id": _id(farm, "bed", before, number), "name": f"Bed {2026 - before}-{number + 1}"} | _BED
        for number in range(BEDS)
    ]


_BED = {"length_mm": 30_480, "rows": ROWS_OF_PLANTING}


def _sowings(farm: str, before: int) -> list[dict[str, Any]]:
    return [
        {"id": _id(farm, "sowing", before, number), "code": f"{2026 - before}-{number}"}
        | dict(zip(("crop", "spacing_mm"), CROPS[number % len(CROPS)], strict=True))
        for number in range(SEASON // ROWS_OF_PLANTING)
    ]


def _plantings(farm: str, before: int) -> list[dict[str, Any]]:
    return [
        {
            "id": _id(farm, "planting", before, number),
            "bed": _id(farm, "bed", before, number % BEDS),
            "sowing": _id(farm, "sowing", before, number),
        }
        for number in range(SEASON // ROWS_OF_PLANTING)
    ]


def _row_passes(farm: str, before: int, people: list[str]) -> list[dict[str, Any]]:
    return list(_each_pass(farm, before, people))


def _each_pass(farm: str, before: int, people: list[str]) -> Iterator[dict[str, Any]]:
    first = LAST_SEASON - timedelta(days=365 * before)
    for number in range(SEASON):
        planting, day = number // ROWS_OF_PLANTING, number // ROWS_OF_DAY
        phone = planting % PHONES
        boot = f"{_id(farm, 'boot', before, day // DAYS_OF_BOOT)}-{phone}"
        start = first + timedelta(days=day) + number % ROWS_OF_DAY * TEN_MINUTES
        since_boot = start - first - timedelta(days=day // DAYS_OF_BOOT * DAYS_OF_BOOT)
        boot_ms = since_boot // timedelta(milliseconds=1)
        took = timedelta(minutes=7, seconds=number % 60)
        yield {
            "id": _id(farm, "row_pass", before, number),
            "planting": _id(farm, "planting", before, planting),
            "row": number % ROWS_OF_PLANTING + 1,
            "started_at": start.isoformat(),
            "started_boot": boot,
            "started_boot_ms": boot_ms,
            "ended_at": (start + took).isoformat(),
            "ended_boot": boot,
            "ended_boot_ms": boot_ms + took // timedelta(milliseconds=1),
            "length_mm": 30_480,
            "crew": [people[planting % 4], people[(planting + 1) % 4]],
            "misses": number % 3,
            "note": "",
        }
