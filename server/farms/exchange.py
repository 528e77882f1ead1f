"""One sync exchange: take in a phone's lines, answer with what is held and the lines it lacks."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from sqlalchemy import Engine

from server.farms.devices import DeviceRow, mark_forked, mark_seen, require_paired
from server.farms.intake import latest_stamp, take_in
from server.runtime.providers import Providers
from shared_models.errors import LineRefused, NotSigned, OtherFarm, RemovedPhone
from shared_models.log.damage import check_log
from shared_models.log.fork import evidence
from shared_models.log.log import Run, holds, lacking, narrowed
from shared_models.log.repair import wanted, wanted_runs
from shared_models.log.store import reading, writing
from shared_models.sync.wire import MOST_LOGS, PAGE_BYTES, Page, Verdict

#: a phone that brings no lines is marked as seen this often, since that costs a write to disk
SEEN_EVERY = timedelta(minutes=10)


def exchange(engine: Engine, device: DeviceRow, page: Page, providers: Providers, page_bytes: int = PAGE_BYTES) -> Page:
    """Answer a page of `device` with lines of about `page_bytes`. When this returns, the lines taken in are on disk.

    Raises:
        OtherFarm: when the page, or a log in it, is of another farm; nothing is stored.
        WrongSecret: when the device was removed meanwhile; it gets no lines.
        OverLimit: when it has sent too much; nothing is stored.
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
    if page.runs:
        refused = take_in(engine, page.farm, page.runs, providers, device)
    elif _mark_is_due(device, now):
        with writing(engine, device.farm) as connection:
            require_paired(connection, device)
            mark_seen(connection, device.id, now)
    with reading(engine) as connection:
        require_paired(connection, device)
        span = narrowed(connection, device.farm, page.span, MOST_LOGS)
        forked = evidence(connection, device.farm, page.holds, page_bytes, span)
        runs = [*lacking(connection, device.farm, page.holds, page_bytes, span), *forked]
        runs += wanted_runs(connection, device.farm, page.wanted, {run.device for run in runs})
        answer = Page(
            farm=device.farm,
            holds=holds(connection, device.farm, span),
            runs=runs,
            refused=[Verdict.of(refusal) for refusal in refused],
            span=span,
            latest=latest_stamp(connection, device.farm, now),
            wanted=wanted(connection, device.farm, page.holds),
        )
    if device.forked_at is None and _told_of_fork(device.id, forked, refused):
        with writing(engine, device.farm) as connection:
            mark_forked(connection, device.id, now)
    return answer


def _told_of_fork(device: str, forked: Sequence[Run], refused: Sequence[LineRefused]) -> bool:
    """Whether an answer tells a device that its own log cannot go on as it is."""
    own = [refusal for refusal in refused if refusal.device == device]
    return any(run.device == device for run in forked) or any(
        not isinstance(refusal, NotSigned | RemovedPhone) for refusal in own
    )


def _mark_is_due(device: DeviceRow, now: datetime) -> bool:
    return device.last_seen_at is None or now - device.last_seen_at > SEEN_EVERY
