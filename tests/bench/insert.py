"""Lines into PostgreSQL, a thousand a commit that waits for the disk: checked, folded and projected, on one core."""

import resource
from collections.abc import Sequence
from itertools import pairwise

import psycopg
from sqlalchemy import Engine

from shared_models.core import p256
from shared_models.core.revision import digest, root, text_of
from shared_models.log.ingest import ingest
from shared_models.log.log import Run
from shared_models.log.store import open_store, writing
from tests.bench.bulk import id_at, row_pass
from tests.bench.measure import Size, print_line, print_ratio, seconds_of
from tests.fixtures.postgres import SETTINGS, cluster
from tests.shared_models.log.device import new_device, public_key, signed

BATCH = 1_000
DURABLE = SETTINGS | {"fsync": "on", "synchronous_commit": "on", "full_page_writes": "on"}
FARM, DEVICE = id_at(1), new_device(2)


def bench_insert(size: Size) -> None:
    """The floor copies the same texts into one table of the same key."""
    runs = list(_runs(size.lines // 2))
    with cluster(DURABLE) as home:
        address = f"host={home} user=rowend dbname=postgres"
        with psycopg.connect(address) as postgres:
            postgres.execute("CREATE TABLE floor (device int, seq int, body text, PRIMARY KEY (device, seq))")
            postgres.commit()
            bare_s = seconds_of(lambda: _copy(postgres, runs))
        engine = open_store(f"postgresql+psycopg://rowend@/postgres?host={home}")
        before = _cpu_s()
        ours_s = seconds_of(lambda: _ingest(engine, runs))
        cpu_s = _cpu_s() - before
        engine.dispose()
    lines = sum(len(run.texts) for run in runs)
    print_ratio(f"{lines:,} lines into PostgreSQL, {BATCH:,} a commit", bare_s, ours_s)
    print_line(f"  ours {lines / ours_s:,.0f} lines a second, or {lines / cpu_s:,.0f} in a second of our own core")


def _cpu_s() -> float:
    used = resource.getrusage(resource.RUSAGE_SELF)
    return used.ru_utime + used.ru_stime


def _runs(lines: int) -> list[Run]:
    texts = [text_of(row_pass(DEVICE, seq, seq * 65_536, id_at(3), seq)) for seq in range(1, lines + 1)]
    runs, last = [], root(DEVICE)
    for after, until in pairwise(range(0, lines + 1, BATCH)):
        for text in texts[after:until]:
            last = digest(last, text)
        runs.append(signed(Run(DEVICE, after, tuple(texts[after:until]), last.hex(), public_key(DEVICE))))
    return runs


def _copy(postgres: psycopg.Connection, runs: Sequence[Run]) -> None:
    """By way of a temporary table, so that a repeated line is passed over."""
    postgres.execute("CREATE TEMPORARY TABLE page (LIKE floor)")
    for run in runs:
        with postgres.cursor().copy("COPY page FROM STDIN") as copy:
            for seq, text in enumerate(run.texts, run.after + 1):
                copy.write_row((1, seq, text))
        postgres.execute("INSERT INTO floor SELECT * FROM page ON CONFLICT DO NOTHING")
        postgres.execute("TRUNCATE page")
        postgres.commit()


def _ingest(engine: Engine, runs: Sequence[Run]) -> None:
    for run in runs:
        with writing(engine, FARM) as connection:
            assert not ingest(connection, FARM, [run], p256.verify).refused
