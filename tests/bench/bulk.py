"""Many row passes over HTTP, from a phone to an empty service and from there to an empty phone; then one line more."""

import requests

from mobile.demo.fake_phone import FakePhone
from mobile.log.notebook import Notebook
from mobile.sync.client import SyncClient
from shared_models.core.ids import time_ordered_id
from shared_models.core.revision import Revision, text_of
from shared_models.log import log
from tests.bench import floor
from tests.bench.loopback import serving
from tests.bench.measure import Size, print_line, print_ratio, seconds_of
from tests.journeys.support.farm_service import MORNING, FarmService


def bench_bulk(size: Size) -> None:
    """The floor is one table of texts at either end, page after page, each on the disk when it is answered."""
    folder, lines = size.folder, size.lines
    phone = FakePhone(folder / "phone", MORNING)
    texts = fill(phone.notebook, lines)
    source, target = floor.open_raw(folder / "floor-phone.db"), floor.open_raw(folder / "floor-server.db")
    source.execute("BEGIN")
    source.executemany("INSERT INTO row_pass VALUES (1, ?, ?)", list(enumerate(texts, 1)))
    source.execute("COMMIT")
    with serving(floor.service(target)) as address:
        bare_s = seconds_of(lambda: floor.push(source, address + "/"))
    service = FarmService(folder / "barn")
    with serving(service.app) as address, requests.Session() as session:
        sync_client = SyncClient(phone.notebook, session)
        sync_client.pair(address, service.code(), "Full phone")
        print_ratio(f"push {lines:,} lines, phone to service", bare_s, seconds_of(sync_client.sync))
        notebook = FakePhone(folder / "empty", MORNING, seed=2).notebook
        empty = SyncClient(notebook, session)
        empty.pair(address, service.code(), "Empty phone")
        print_ratio(f"pull {lines:,} lines, service to phone", bare_s, seconds_of(empty.sync))
        notebook.add("bed", name="One more", length_mm=30_480, rows=5)
        one_s = seconds_of(empty.sync)
        print_line(f"one new line when both sides hold {lines:,}: {one_s * 1000:.2f} ms in one request")


def fill(notebook: Notebook, lines: int) -> list[str]:
    """Write so many row passes into a notebook's log, in bulk, without projecting them; their texts."""
    texts = []
    with notebook.writing() as connection:
        head = log.get_or_create(connection, notebook.farm, notebook.device)
        planting = notebook.new_id()
        for number in range(lines):
            revision = row_pass(notebook.device, head.seq + 1, head.stamp + 65_536, planting, number)
            texts.append(text_of(revision))
            head = log.write_line(connection, head, revision, texts[-1])
    return texts


def row_pass(device: str, seq: int, stamp: int, planting: str, number: int) -> Revision:
    """A line about a row pass of its own: nine fields, about 330 bytes."""
    fields = {
        "planting": planting,
        "row": number % 5 + 1,
        "started_at": f"2026-05-14T11:{number // 60 % 60:02}:{number % 60:02}+00:00",
        "started_boot": "b" * 36,
        "started_boot_ms": number * 450_000,
        "length_mm": 30_480,
        "misses": number % 3,
    }
    return Revision(device, seq, stamp, "row_pass", id_at(number), fields, None)


def id_at(number: int) -> str:
    """The id of the row pass that began after so many minutes."""
    return time_ordered_id(round(MORNING.timestamp() * 1000) + number * 60_000, hash((number, "bench")))
