"""Ingest the pages of a bundle like a sync, and report on each log."""

from collections.abc import Collection
from dataclasses import dataclass

from sqlalchemy import Engine

from server.farms.intake import take_in
from server.runtime.providers import Providers
from shared_models.errors import LineRefused
from shared_models.log.log import holds
from shared_models.log.store import reading
from shared_models.sync.wire import Page


@dataclass(slots=True)
class IngestedLog:
    """One log of a bundle: lines that were new, lines held now, and the refusal if any."""

    device: str
    new: int
    held: int
    refused: LineRefused | None = None


def ingest_page(
    engine: Engine, page: Page, providers: Providers, removed_too: Collection[str] = ()
) -> list[IngestedLog]:
    """Ingest one page of a bundle, like a sync without an answer; also lines of phones that are `removed_too`.

    Raises:
        OtherFarm: when a log in it belongs to another farm; nothing of the page is stored.
    """
    before = _seqs(engine, page.farm)
    taken = take_in(engine, page.farm, page.runs, providers, removed_too=removed_too)
    refused = {refusal.device: refusal for refusal in taken}
    after = _seqs(engine, page.farm)
    return [
        IngestedLog(
            run.device,
            after.get(run.device, 0) - before.get(run.device, run.branch.seq if run.branch else 0),
            after.get(run.device, 0),
            refused.get(run.device),
        )
        for run in page.runs
    ]


def _seqs(engine: Engine, farm: str) -> dict[str, int]:
    with reading(engine) as connection:
        return {device: seq for device, (seq, _) in holds(connection, farm).items()}
