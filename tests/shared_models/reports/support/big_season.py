"""A season of two hundred beds on a farm of our own invention, written in bulk."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta

from sqlalchemy import Engine, event

from shared_models.log.append import append
from shared_models.log.projection import RecordKey
from shared_models.log.store import writing
from shared_models.records.models import moment_fields, moment_json
from tests.shared_models.reports.support.farmbook import DAY, HUNDRED_FEET_MM, FarmBook

BEDS, ROWS = 200, 4
CROPS = (("scallion", 50.8), ("lettuce", 152.4), ("leek", 152.4), ("onion", 50.8))


def big_season(book: FarmBook) -> None:
    """Each bed planted once, looked at once and counted once; crews and crops take turns."""
    book.farm(
        prices={"hour": 20.0, "seed": 0.01, "chain_per_tray": 4.0, "mix_per_tray": 1.5, "plug": 0.1},
        plug_tray_plants_per_person_hour=400,
    )
    people = [book.add("person", name=name) for name in ("Ana", "Ben", "Cy", "Dov")]
    with writing(book.engine, book.id) as connection:

        def add(kind: str, **fields: object) -> str:
            record, stamp = book.new_id(), next(book._numbers)
            append(connection, book.id, book.device, stamp, RecordKey(kind, record), fields, None)
            return record

        for number in range(BEDS):
            on = DAY + timedelta(days=number // 8)
            crop, spacing_mm = CROPS[number % len(CROPS)]
            bed = add(
                "bed", name=f"Bed {number + 1}", block=f"Field {number // 20 + 1}", length_mm=HUNDRED_FEET_MM, rows=ROWS
            )
            sowing = add(
                "sowing",
                crop=crop,
                code=f"{crop[:2]}-{number}",
                spacing_mm=spacing_mm,
                sown_on=str(on - timedelta(days=40)),
            )
            planting = add("planting", bed=bed, sowing=sowing, planned_on=str(on))
            begin = book.at(f"{7 + number % 8}:00", on)
            add(
                "soil_check",
                bed=bed,
                at=(begin - timedelta(minutes=20)).isoformat(),
                feel="moist",
                residue_pct=number % 12,
            )
            for row in range(ROWS):
                start = book.moment("0:00", f"boot-{number}", minutes=row * 11.0, day=on)
                at = type(start)(begin + timedelta(minutes=row * 11), start.boot, start.boot_ms)
                stop = type(start)(at.at + timedelta(minutes=4), at.boot, at.boot_ms + 240_000)
                go_on = type(start)(at.at + timedelta(minutes=5), at.boot, at.boot_ms + 300_000)
                end = type(start)(at.at + timedelta(minutes=9), at.boot, at.boot_ms + 540_000)
                add(
                    "row_pass",
                    planting=planting,
                    row=row + 1,
                    length_mm=HUNDRED_FEET_MM,
                    crew=[people[number % 4], people[(number + 1) % 4]],
                    misses=(number + row) % 4,
                    stops=[{"reason": "tray_change", "began": moment_json(stop), "ended": moment_json(go_on)}],
                    **moment_fields("started", at),
                    **moment_fields("ended", end),
                )
            counted = (begin + timedelta(days=10)).isoformat()
            add("stand_count", planting=planting, at=counted, row=1, sample_length_mm=3048, plants=18)


@contextmanager
def questions(engine: Engine) -> Iterator[list[str]]:
    """The statements that the database is asked until the block ends."""
    query: list[str] = []

    def note(_connection: object, _cursor: object, statement: str, *_more: object) -> None:
        query.append(statement)

    event.listen(engine, "before_cursor_execute", note)
    yield query
    event.remove(engine, "before_cursor_execute", note)
