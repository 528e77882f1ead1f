"""Speed, as ratios to the leanest code for the same work, measured in the same run. Run by `make bench`.

Times drift between machines and hours; the ratios hardly do. Nothing here is asserted.
"""

from __future__ import annotations

import argparse
import statistics
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

import requests

from mobile.courier import Courier
from mobile.notebook import Notebook
from mobile.pretend import PretendPhone
from server.pages import charts
from shared_models import log
from shared_models.ids import time_ordered_id
from shared_models.revision import Revision, text_of
from tests.bench import floor
from tests.bench.loopback import serving
from tests.journeys.barn import MORNING, Barn
from tests.server.world import World, running_service
from tests.shared_models.reports.big_season import BEDS, big_season
from tests.shared_models.reports.farmbook import FarmBook

TAPS = 1_000
TAPS_A_ROW = 8


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__)
    parser.add_argument("--lines", type=int, default=100_000, help="lines pushed and pulled in bulk")
    lines = parser.parse_args().lines
    with tempfile.TemporaryDirectory() as folder:
        bench_tap(Path(folder))
        bench_bulk(Path(folder), lines)
        bench_season(Path(folder))


def say(sentence: str) -> None:
    """One line of the result."""
    print(sentence)  # noqa: T201 - this is a program


def tell(work: str, floor_s: float, ours_s: float) -> None:
    """A measured work beside the floor for it."""
    measured = f"floor {floor_s * 1000:>10.3f} ms   ours {ours_s * 1000:>10.3f} ms"
    say(f"{work:<44} {measured}   ratio {ours_s / floor_s:>6.2f}")


def timed(work: Callable[[], object]) -> float:
    """Seconds that the work takes."""
    begun = time.perf_counter()
    work()
    return time.perf_counter() - begun


def bench_tap(folder: Path) -> None:
    """One tap on the disk: taps of both kinds take turns, so that both meet the same disk."""
    notebook = PretendPhone(folder / "tap", MORNING).notebook
    raw = floor.open_raw(folder / "floor-tap.db")
    bare: list[float] = []
    ours: list[float] = []
    row = an_open_row(notebook)
    for seq in range(1, TAPS + 1):
        bare.append(timed(partial(floor.tap, raw, seq, "x" * 330)))
        ours.append(timed(partial(notebook.write, "row_pass", row, {"misses": seq})))
        if seq % TAPS_A_ROW == 0:
            row = an_open_row(notebook)
    tell("one tap on disk, median", statistics.median(bare), statistics.median(ours))
    tell("one tap on disk, slowest of a hundred", quantile(bare, 0.99), quantile(ours, 0.99))


def quantile(times: list[float], share: float) -> float:
    """The time that this share of the taps stays below."""
    return sorted(times)[int(len(times) * share)]


def an_open_row(notebook: Notebook) -> str:
    """A row to tap misses in."""
    bed = notebook.add("bed", name="North 1", length_mm=30_480, rows=5)
    sowing = notebook.add("sowing", crop="scallion", spacing_mm=50.8)
    return notebook.start_row(notebook.add("planting", bed=bed, sowing=sowing))


def bench_bulk(folder: Path, lines: int) -> None:
    """Many row passes: from a phone over HTTP to an empty service, and from there to an empty phone."""
    phone = PretendPhone(folder / "phone", MORNING)
    texts = fill(phone.notebook, lines)
    source, target = floor.open_raw(folder / "floor-phone.db"), floor.open_raw(folder / "floor-server.db")
    source.execute("BEGIN")
    source.executemany("INSERT INTO row_pass VALUES (1, ?, ?)", list(enumerate(texts, 1)))
    source.execute("COMMIT")
    with serving(floor.service(target)) as address:
        bare_s = timed(lambda: floor.push(source, address + "/"))
    barn = Barn(folder / "barn")
    with serving(barn.app) as address, requests.Session() as session:
        courier = Courier(phone.notebook, session)
        courier.pair(address, barn.code(), "Full phone")
        tell(f"push {lines:,} lines, phone to service", bare_s, timed(courier.sync))
        notebook = PretendPhone(folder / "empty", MORNING, seed=2).notebook
        empty = Courier(notebook, session)
        empty.pair(address, barn.code(), "Empty phone")
        tell(f"pull {lines:,} lines, service to phone", bare_s, timed(empty.sync))
        notebook.add("bed", name="One more", length_mm=30_480, rows=5)
        one_s = timed(empty.sync)
        say(f"one new line when both sides hold {lines:,}: {one_s * 1000:.2f} ms in one request")


def bench_season(folder: Path) -> None:
    """The office's page of a season of 200 beds; the floor reads the same rows and makes nothing of them."""
    world = World(MORNING)
    with running_service(f"sqlite:///{folder / 'season.db'}", world) as service:
        farm = service.make_farm()
        service.open_office(farm)
        big_season(FarmBook(service.engine, id=farm))
        with service.engine.connect() as connection:
            bare_s = timed(lambda: connection.exec_driver_sql("SELECT * FROM row_pass").fetchall())
        charts.wake()
        first_s = timed(lambda: service.client.get("/season"))
        again = [timed(lambda: service.client.get("/season")) for _ in range(5)]
        say(f"season page of {BEDS} beds, its picture drawn for the first time: {first_s * 1000:.0f} ms")
        tell(f"season page of {BEDS} beds", bare_s, statistics.median(again))


def id_at(number: int) -> str:
    """The id of the row pass that began after so many minutes."""
    return time_ordered_id(round(MORNING.timestamp() * 1000) + number * 60_000, hash((number, "bench")))


def fill(notebook: Notebook, lines: int) -> list[str]:
    """Write so many row passes into a notebook's log, in bulk, without projecting them; their texts."""
    planting, boot = notebook.new_id(), "b" * 36
    texts = []
    with notebook.writing() as connection:
        head = log.find_or_open(connection, notebook.farm, notebook.device)
        for number in range(lines):
            fields = {
                "planting": planting,
                "row": number % 5 + 1,
                "started_at": f"2026-05-14T11:{number // 60 % 60:02}:{number % 60:02}+00:00",
                "started_boot": boot,
                "started_boot_ms": number * 450_000,
                "length_mm": 30_480,
                "misses": number % 3,
            }
            revision = Revision(
                notebook.device, head.seq + 1, head.stamp + 65_536, "row_pass", id_at(number), fields, None
            )
            texts.append(text_of(revision))
            head = log.write_line(connection, head, revision, texts[-1])
    return texts


if __name__ == "__main__":
    main()
