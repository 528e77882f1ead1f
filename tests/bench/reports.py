"""Reports out of a small and a large store of row passes: each answer beside the query it cannot do without.

An answer goes over HTTP, as JSON or as the office's page. How many rows of other days and farms lie beside those asked
about should make no difference.
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import requests

from server.auth.dependencies import OFFICE_COOKIE
from tests.bench.loopback import serving
from tests.bench.many_passes import A_DAY, LAST_SEASON, SEASON, bed_of, write_seasons
from tests.bench.measure import Size, median_seconds, print_line, print_ratio
from tests.journeys.support.farm_service import MORNING
from tests.server.support.service import ZONE, FakeProviders, running_service

LOGGED = (
    "SELECT r.id, r.planting, r.row, r.started_at, r.started_boot, r.started_boot_ms, r.ended_at, r.ended_boot, "
    "r.ended_boot_ms, r.length_mm, r.crew, r.stops, r.misses, r.doubles, r.filled, r.depth_mm, r.note FROM "
)
OF_BED = LOGGED + (
    "planting p CROSS JOIN row_pass r ON r.farm_id = p.farm_id AND r.planting = p.id "
    "WHERE p.farm_id = ? AND p.bed = ? ORDER BY r.started_at"
)
OF_DAY = LOGGED + "row_pass r WHERE r.farm_id = ? AND r.started_at >= ? AND r.started_at < ?"
OF_SEASON = (
    "SELECT p.bed, count(*), sum(r.length_mm), sum(r.ended_boot_ms - r.started_boot_ms), sum(r.misses) "
    "FROM row_pass r JOIN planting p ON p.farm_id = r.farm_id AND p.id = r.planting "
    "WHERE r.farm_id = ? AND r.started_at >= ? AND r.started_at < ? GROUP BY p.bed"
)


@dataclass(frozen=True, slots=True)
class Request:
    """One report: its path, and the query with values that it cannot do without."""

    work: str
    path: str
    query: str
    values: tuple[Any, ...]
    times: int = 15


def bench_reports(size: Size) -> None:
    """The small store, then the large one, then how much longer the large one takes."""
    small, large = (_measure(size.folder, passes) for passes in (SEASON, size.passes))
    for work, took in small.items():
        print_line(f"{work}: {size.passes:,} rows take {large[work] / took:.2f} times as long as {SEASON:,}")


def _measure(folder: Path, passes: int) -> dict[str, float]:
    took = {}
    with _store(folder / f"passes-{passes}.db", passes) as (requests_, query, get):
        for each in requests_:
            get(each.path)
            bare_s, ours_s = median_seconds(lambda: query(each), lambda: get(each.path), times=each.times)  # noqa: B023 - run here
            print_ratio(f"{each.work} among {passes:,}", bare_s, ours_s)
            took[each.work] = ours_s
    return took


_Store = tuple[list[Request], Callable[[Request], object], Callable[[str], object]]


@contextmanager
def _store(path: Path, passes: int) -> Iterator[_Store]:
    """A service with a store of row passes: the requests, how to query the database, and how to get a page."""
    fakes = FakeProviders(MORNING)
    fakes.time = datetime(2026, 12, 1, 12, tzinfo=UTC)
    with running_service(f"sqlite:///{path}", fakes) as service, requests.Session() as session:
        farm = service.make_farm()
        write_seasons(service.engine, farm, passes)
        session.cookies.set(OFFICE_COOKIE, service.office_cookie(farm))
        with serving(service.app) as address, service.engine.connect() as connection:
            cursor = connection.connection.cursor()

            def get(path: str) -> object:
                answer = session.get(address + path)
                answer.raise_for_status()
                return answer.content

            yield _requests(farm), lambda each: cursor.execute(each.query, each.values).fetchall(), get


def _requests(farm: str) -> list[Request]:
    bed = bed_of(farm, 7)
    begin = datetime.combine(A_DAY, time.min, ZoneInfo(ZONE)).astimezone(UTC).replace(tzinfo=None)
    day = (farm, str(begin), str(begin + timedelta(days=1)))
    season = (farm, f"{LAST_SEASON.year}-01-01 05:00:00", f"{LAST_SEASON.year + 1}-01-01 05:00:00")
    first, last = f"{LAST_SEASON.year}-01-01", f"{LAST_SEASON.year}-12-31"
    return [
        Request("one bed's history", f"/v1/rates?by=row&bed={bed}", OF_BED, (farm, bed)),
        Request("one day by crew", f"/v1/rates?by=crew&day={A_DAY}", OF_DAY, day),
        Request("one day by hour", f"/v1/rates?by=hour&day={A_DAY}", OF_DAY, day),
        Request("a season by bed", f"/v1/rates?by=bed&since={first}&until={last}", OF_SEASON, season, 3),
        Request("a season's page", f"/season?from={first}&to={last}", OF_SEASON, season, 3),
    ]
