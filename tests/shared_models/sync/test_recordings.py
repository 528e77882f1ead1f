"""What was spoken in each version of the protocol is still read as it was meant: recordings that never change.

A new version gets a folder beside the others: `python -m tests.shared_models.sync.test_recordings` writes it.
The files hold pages as they travel, `expected.json` what they fold to, and what was refused.
"""

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Engine, select

from shared_models.core import p256
from shared_models.log.ingest import ingest
from shared_models.log.log import holds
from shared_models.log.store import open_store, reading, writing
from shared_models.records.tables import Bed, Flagged, RowPass, table_of
from shared_models.sync.bundle import bundle_of, pages_in
from shared_models.sync.wire import VERSION, Page, Verdict, pack
from tests.shared_models.log.device import (
    A_BED,
    A_ROW,
    BED,
    COMMON,
    FARM,
    OFFICE,
    OURS,
    PHONE,
    ROW,
    TABLET,
    THEIRS,
    Device,
    line,
    run_of,
)

FOLDER = Path(__file__).parent / "recordings"
NOW = FOLDER / f"version_{VERSION}"
PLACES = ("push.page", "fork.page", "card.bundle")


def replayed(engine: Engine, folder: Path) -> dict[str, Any]:
    """What a fresh store makes of the recordings in a folder, taken in one after the other."""
    refused: list[list[Any]] = []
    for name in PLACES:
        for page in pages_in((folder / name).read_bytes()):
            with writing(engine, page.farm) as connection:
                outcome = ingest(connection, page.farm, page.runs, p256.verify)
            refused += [[name, each.code, each.device, each.seq] for each in outcome.refused]
    with reading(engine) as connection:
        records = {
            str(table.name): [
                {column: value for column, value in row.items() if value is not None}
                for row in connection.execute(select(table).order_by(table.c.id)).mappings()
            ]
            for table in (table_of(Bed), table_of(RowPass), table_of(Flagged))
        }
        found = {"holds": holds(connection, FARM), "refused": refused, "records": records}
    plain: dict[str, Any] = json.loads(json.dumps(found, default=str))
    return plain


@pytest.mark.parametrize("folder", sorted(each.name for each in FOLDER.iterdir()))
def test_a_recording_is_read_as_it_was_meant(store: Engine, folder: str) -> None:
    expected = json.loads((FOLDER / folder / "expected.json").read_text())
    found = replayed(store, FOLDER / folder)

    assert found["holds"] == expected["holds"]
    assert found["refused"] == expected["refused"]
    for table, rows in expected["records"].items():
        assert [row["id"] for row in found["records"][table]] == [row["id"] for row in rows]
        for row, meant in zip(found["records"][table], rows, strict=True):
            assert meant.items() <= row.items(), "fields may be added, none changes its meaning"


def test_this_version_was_recorded() -> None:
    assert NOW.is_dir()


def _write() -> None:
    NOW.mkdir(parents=True)
    texts = [
        line(1),
        line(2, kind="row_pass", record=ROW, set=A_ROW | {"misses": 2}),
        line(3, kind="irrigation_valve", set={"opens": "left"}, signed_on="a screen of next year"),
        line(4, set={"rows": 0}),
    ]
    push = Page(FARM, {TABLET: (4, "0" * 64)}, [run_of(TABLET, *texts), run_of(PHONE, *COMMON, *THEIRS)])
    verdict = Verdict(code="fork", device=PHONE, seq=3, reason="another line is held", common=2)
    forged = replace(run_of(OFFICE, line(1)), signature=b"")
    fork = Page(FARM, {}, [run_of(PHONE, *COMMON, *OURS), forged], [verdict])
    (NOW / "push.page").write_bytes(pack(push))
    (NOW / "fork.page").write_bytes(pack(fork))
    phone = Device(open_store("sqlite://"))
    phone.take(run_of(PHONE, *COMMON, *OURS))
    phone.branch_off(2)
    phone.write("bed", BED, name=A_BED["name"])
    with reading(phone.engine) as connection:
        (NOW / "card.bundle").write_bytes(b"".join(bundle_of(connection, FARM, {})))
    expected = replayed(open_store("sqlite://"), NOW)
    (NOW / "expected.json").write_text(json.dumps(expected, indent=1) + "\n")


if __name__ == "__main__":
    _write()
