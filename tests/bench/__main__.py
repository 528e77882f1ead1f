"""Speed, as ratios to the leanest code for the same work, measured in the same run. Run by `make bench`.

Times drift between machines and hours; the ratios hardly do. Nothing here is asserted.
"""

import argparse
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path

from tests.bench.bulk import bench_bulk
from tests.bench.insert import bench_insert
from tests.bench.measure import Size
from tests.bench.reports import bench_reports
from tests.bench.season import bench_season
from tests.bench.tap import bench_tap
from tests.bench.window import bench_window

PARTS: Mapping[str, Callable[[Size], None]] = {
    "tap": bench_tap,
    "bulk": bench_bulk,
    "insert": bench_insert,
    "season": bench_season,
    "reports": bench_reports,
    "window": bench_window,
}


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__)
    parser.add_argument("parts", nargs="*", metavar="PART", choices=[*PARTS, []], help=f"one of: {', '.join(PARTS)}")
    parser.add_argument("--lines", type=int, default=100_000, help="lines pushed and pulled in bulk")
    parser.add_argument("--full", action="store_true", help="reports from a million row passes, not a hundred thousand")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        size = Size(Path(folder), options.lines, options.full)
        for name in options.parts or PARTS:
            PARTS[name](size)


if __name__ == "__main__":
    main()
