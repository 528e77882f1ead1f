"""One tap on the disk: the line, its fold and its projection, against one row in one table."""

import statistics
from functools import partial

from mobile.demo.fake_phone import FakePhone
from mobile.log.notebook import Notebook
from tests.bench import floor
from tests.bench.measure import Size, print_ratio, quantile, seconds_of
from tests.journeys.support.farm_service import MORNING

TAPS = 1_000
TAPS_A_ROW = 8


def bench_tap(size: Size) -> None:
    """Taps of both kinds take turns, so that both meet the same disk."""
    notebook = FakePhone(size.folder / "tap", MORNING).notebook
    raw = floor.open_raw(size.folder / "floor-tap.db")
    bare: list[float] = []
    ours: list[float] = []
    row = an_open_row(notebook)
    for seq in range(1, TAPS + 1):
        bare.append(seconds_of(partial(floor.tap, raw, seq, "x" * 330)))
        ours.append(seconds_of(partial(notebook.write, "row_pass", row, {"misses": seq})))
        if seq % TAPS_A_ROW == 0:
            row = an_open_row(notebook)
    print_ratio("one tap on disk, median", statistics.median(bare), statistics.median(ours))
    print_ratio("one tap on disk, slowest of a hundred", quantile(bare, 0.99), quantile(ours, 0.99))


def an_open_row(notebook: Notebook) -> str:
    """A row to tap misses in."""
    bed = notebook.add("bed", name="North 1", length_mm=30_480, rows=5)
    sowing = notebook.add("sowing", crop="scallion", spacing_mm=50.8)
    return notebook.start_row(notebook.add("planting", bed=bed, sowing=sowing))
