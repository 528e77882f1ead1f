"""Run random histories for a while on both databases, and write how far that came into docs/promises.md.

python -m tests.journeys.proof.soak SECONDS [FIRST_SEED]
"""

import re
import sys
from collections.abc import Callable
from datetime import UTC, datetime
from itertools import count
from pathlib import Path
from time import monotonic

from tests.fixtures.postgres import SETTINGS, cluster
from tests.journeys.proof.run import EVENTS, OpenDatabase, Outcome, prove
from tests.journeys.proof.stores import PostgresqlDatabase, SqliteDatabase

PAGE = Path(__file__).parents[3] / "docs" / "promises.md"
#: what stands between these lines of the page is written here
BEGIN, END = "<!-- soak: written by make soak -->", "<!-- end of soak -->"


def soak(name: str, open_database: OpenDatabase, seeds: Callable[[], int], seconds: float) -> str:
    """Run histories until the time is over; a row of the page's table.

    Raises:
        Broken: when a promise does not hold; nothing is written.
    """
    until, outcomes = monotonic() + seconds, list[Outcome]()
    while monotonic() < until or not outcomes:
        seed = seeds()
        outcomes.append(prove(seed, open_database))
        sys.stdout.write(f"{name} seed {seed}: {outcomes[-1]}\n")
    entries = sum(outcome.entries for outcome in outcomes)
    requests = sum(outcome.requests for outcome in outcomes)
    return f"| {name} | {len(outcomes):,} | {len(outcomes) * EVENTS:,} | {entries:,} | {requests:,} | 0 |"


def main(seconds: float, first_seed: int) -> None:
    """Half of the time for each database."""
    seeds, names = count(first_seed), count(1)
    with cluster(SETTINGS) as server:
        rows = [
            soak("SQLite", SqliteDatabase, lambda: next(seeds), seconds / 2),
            soak(
                "PostgreSQL",
                lambda _: PostgresqlDatabase(server, f"soak_{next(names)}"),
                lambda: next(seeds),
                seconds / 2,
            ),
        ]
    day = datetime.now(UTC).date()
    table = [f"Last run on {day}, seeds {first_seed} to {next(seeds) - 1}:", ""]
    table += ["| database | histories | events | entries confirmed | requests | promises broken |"]
    table += ["|---|---:|---:|---:|---:|---:|", *rows]
    page = PAGE.read_text(encoding="utf-8")
    told = "\n".join([BEGIN, "", *table, "", END])
    PAGE.write_text(re.sub(f"{BEGIN}.*{END}", lambda _: told, page, flags=re.DOTALL), encoding="utf-8")


if __name__ == "__main__":
    main(float(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 1)
