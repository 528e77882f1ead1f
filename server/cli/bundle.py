"""`rowend bundle` and `rowend take-in`: carry the logs by file where there is no network."""

from collections.abc import Iterable
from pathlib import Path
from typing import Annotated

import typer
from sqlalchemy import Connection, Engine, select

from server.cli.options import DEFAULT_DATA, Data, DatabaseUrl, FarmChoice, farm_to_read, opened
from server.db.tables import Device
from server.exports.backup.bundle import IngestedLog, ingest_page
from server.farms.edits import create_office_logs
from server.farms.phones import PairedPhone, phones_of
from server.farms.registry import get_farm
from server.farms.successors import successors_of
from server.runtime.providers import Providers, real_providers
from shared_models.errors import BadBody, OtherFarm, RemovedPhone, UsageError, WrongMoment
from shared_models.log.atomic_file import replacing
from shared_models.log.log import Holds
from shared_models.log.store import reading, writing
from shared_models.records.tables import table_of
from shared_models.sync.bundle import bundle_of, pages_in
from shared_models.sync.wire import Page


def bundle(
    out: Annotated[Path, typer.Option(metavar="FILE", help="File to write.", show_default=False)],
    reply_to: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Write only what the sender of this bundle lacks.", show_default=False),
    ] = None,
    farm: FarmChoice = None,
    data: Data = DEFAULT_DATA,
    database_url: DatabaseUrl = None,
) -> None:
    """Write the farm's logs to a file for other devices.

    Wages and prices are left out.
    """
    with farm_to_read(farm, data, database_url) as (engine, chosen), reading(engine) as connection:
        held = _held_by_sender(reply_to, chosen.id)
        with replacing(out) as beside, beside.open("wb") as file:
            file.writelines(bundle_of(connection, chosen.id, held))
    typer.echo(f"Wrote {chosen.name or chosen.id} to {out}.")


def _held_by_sender(file: Path | None, farm: str) -> Holds:
    if file is None:
        return {}
    first = _pages(file)[0]
    if first.farm != farm:
        raise OtherFarm
    return first.holds


def take_in_bundle(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="File from a phone or from another service.")],
    adopt: Annotated[bool, typer.Option("--adopt", help="Take its farm over if it is not here.")] = False,
    removed: Annotated[
        list[str] | None,
        typer.Option(
            "--removed",
            metavar="PHONE",
            help="Name or id of a removed phone whose lines are wanted all the same. May be repeated.",
            show_default=False,
        ),
    ] = None,
    data: Data = DEFAULT_DATA,
    database_url: DatabaseUrl = None,
) -> None:
    """Read in a file from rowend bundle or from a phone.

    Prints the result for each log. If lines were refused, the exit status is 1.
    """
    pages, providers = _pages(file), real_providers()
    results: dict[str, IngestedLog] = {}
    with opened(data, database_url, make=adopt) as engine:
        for page in pages:
            _ensure_farm(engine, page, providers, adopt=adopt)
        with reading(engine) as connection:
            removed_too = _removed_phones(connection, pages[0].farm, removed or [])
        for page in pages:
            _add(results, ingest_page(engine, page, providers, removed_too))
        with reading(engine) as connection:
            names = _names(connection, results)
    for taken in results.values():
        typer.echo(_sentence(names.get(taken.device, taken.device), taken), err=taken.refused is not None)
    if any(isinstance(taken.refused, RemovedPhone) for taken in results.values()):
        typer.echo("To take in what a removed phone wrote, name it: --removed PHONE", err=True)
    typer.echo(f"{sum(taken.new for taken in results.values()):,} new lines from {len(results)} logs.")
    if any(taken.refused for taken in results.values()):
        raise typer.Exit(1)


def _pages(file: Path) -> list[Page]:
    """The pages of a bundle, at least one; all are read before any is stored."""
    try:
        return list(pages_in(file.read_bytes()))
    except OSError as problem:
        raise UsageError(f"{file} cannot be read ({problem.strerror}).", "Check the name.") from problem
    except BadBody as problem:
        reason = f"{file} cannot be read: {problem.reason}."
        raise WrongMoment(reason, "Nothing was stored. Copy the file again.") from problem


def _ensure_farm(engine: Engine, page: Page, providers: Providers, *, adopt: bool) -> None:
    with reading(engine) as connection:
        if get_farm(connection, page.farm) is not None:
            return
    if not adopt:
        raise UsageError(
            f"This file belongs to farm {page.farm}, which is not on this service.",
            "Add --adopt to take the farm over with its records.",
        )
    with writing(engine, page.farm) as connection:
        create_office_logs(connection, page.farm, providers)


def _removed_phones(connection: Connection, farm: str, named: Iterable[str]) -> set[str]:
    """The removed phones with these names or ids, and those that went on from them."""
    removed = [phone for phone in phones_of(connection, farm) if phone.removed_at]
    found: set[str] = set()
    for name in named:
        same = [phone.id for phone in removed if name in (phone.id, phone.name)]
        if not same:
            raise UsageError(f"No removed phone is called {name!r}.", "Choose one: " + _listed(removed))
        found |= {*same, *successors_of(connection, same)}
    return found


def _listed(phones: Iterable[PairedPhone]) -> str:
    return ", ".join(f"{phone.name} ({phone.id})" for phone in phones) or "no phone was removed"


def _add(results: dict[str, IngestedLog], taken: Iterable[IngestedLog]) -> None:
    for each in taken:
        before = results.get(each.device)
        if before is not None:
            each.new += before.new
            each.refused = before.refused or each.refused
        results[each.device] = each


def _names(connection: Connection, devices: Iterable[str]) -> dict[str, str]:
    device = table_of(Device).c
    found = connection.execute(select(device.id, device.name).where(device.id.in_(list(devices))))
    return {row.id: f"{row.name} ({row.id})" for row in found}


def _sentence(name: str, taken: IngestedLog) -> str:
    new = f"{taken.new:,} new line{'' if taken.new == 1 else 's'}, {taken.held:,} held"
    if taken.refused is None:
        return f"{name}: {new}."
    return f"{name}: {new}; line {taken.refused.seq} was refused: {taken.refused.reason}."
