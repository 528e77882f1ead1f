"""One sync exchange: ingest a phone's lines, answer with what is held and the lines it lacks."""

from dataclasses import replace
from datetime import datetime, timedelta

from sqlalchemy import Connection, Engine

from server.farms.devices import DeviceRow, last_seen, mark_seen
from server.farms.edits import continue_in_new_log, office_device
from server.farms.keys import verify
from server.runtime.providers import Providers, milliseconds
from shared_models.core import clock
from shared_models.errors import Fork, LineRefused, OtherFarm
from shared_models.log.damage import check_log
from shared_models.log.fork import evidence
from shared_models.log.ingest import ingest
from shared_models.log.log import farm_clock, holds, lacking, narrowed
from shared_models.log.repair import wanted, wanted_runs
from shared_models.log.store import reading, writing
from shared_models.sync.wire import MOST_LOGS, PAGE_BYTES, Page, Verdict

#: a phone that brings no lines is marked as seen this often, since that costs a write to disk
SEEN_EVERY = timedelta(minutes=10)


def exchange(engine: Engine, device: DeviceRow, page: Page, providers: Providers, page_bytes: int = PAGE_BYTES) -> Page:
    """Answer a page of `device` with lines of about `page_bytes`. When this returns, the lines taken in are on disk.

    Raises:
        OtherFarm: when the page, or a log in it, is of another farm; nothing is stored.
    """
    if page.farm != device.farm:
        raise OtherFarm
    answer = _answer(engine, device, page, providers, page_bytes)
    stuck = _stuck(page, answer)
    if stuck:  # a log that ends early for no known reason
        for log in stuck:
            check_log(engine, device.farm, log)
        with reading(engine) as connection:
            answer = replace(answer, wanted=wanted(connection, device.farm, page.holds))
    return answer


def _stuck(page: Page, answer: Page) -> list[str]:
    """The logs that the other side lacks and that this side cannot send, though it does not know of damage in them."""
    known = {line.device for line in answer.wanted} | {run.device for run in answer.runs}
    behind = (log for log, (seq, _) in answer.holds.items() if seq > page.holds.get(log, (0, ""))[0])
    return [] if answer.runs else [log for log in behind if log not in known]


def _answer(engine: Engine, device: DeviceRow, page: Page, providers: Providers, page_bytes: int) -> Page:
    now, refused = providers.now(), []
    writes = bool(page.runs) or _mark_is_due(device, now)
    with writing(engine, device.farm) if writes else reading(engine) as connection:
        latest = clock.limit(_latest_known_ms(connection, device.farm, now), farm_clock(connection, device.farm))
        if writes:
            refused = _ingest(connection, page, providers, latest)
            mark_seen(connection, device.id, now)
        span = narrowed(connection, device.farm, page.span, MOST_LOGS)
        runs = [
            *lacking(connection, device.farm, page.holds, page_bytes, span),
            *evidence(connection, device.farm, page.holds, page_bytes, span),
        ]
        runs += wanted_runs(connection, device.farm, page.wanted, {run.device for run in runs})
        return Page(
            farm=device.farm,
            holds=holds(connection, device.farm, span),
            runs=runs,
            refused=[Verdict.of(refusal) for refusal in refused],
            span=span,
            latest=latest,
            wanted=wanted(connection, device.farm, page.holds),
        )


def _mark_is_due(device: DeviceRow, now: datetime) -> bool:
    return device.last_seen_at is None or now - device.last_seen_at > SEEN_EVERY


def _latest_known_ms(connection: Connection, farm: str, now: datetime) -> int:
    """The time, also where this machine's clock was set back."""
    return max(milliseconds(now), milliseconds(last_seen(connection, farm) or now))


def _ingest(connection: Connection, page: Page, providers: Providers, latest: int) -> list[LineRefused]:
    refused = ingest(connection, page.farm, page.runs, verify, latest).refused
    for fork in (refusal for refusal in refused if isinstance(refusal, Fork)):
        if fork.device == office_device(connection, page.farm):
            # this service was restored from a backup and has written since
            continue_in_new_log(connection, page.farm, fork.common, providers)
            return ingest(connection, page.farm, page.runs, verify, latest).refused
    return refused
