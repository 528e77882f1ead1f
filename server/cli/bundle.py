"""Commands that carry logs by memory card: write a bundle, take one in."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Annotated

import typer
from sqlalchemy import Connection, Engine, select

from server.cli.options import DEFAULT_DATA, Data, DatabaseUrl, FarmChoice, opened
from server.db.tables import Device
from server.exports.backup.atomic_file import replacing
from server.exports.backup.bundle import Taken, take_in
from server.farms.edits import open_office
from server.farms.registry import chosen_farm, farm_with_id
from server.runtime.providers import Providers, real_providers
from shared_models.errors import BadBody, OtherFarm, WrongMoment, WrongUse
from shared_models.log.log import Holds
from shared_models.log.store import reading, writing
from shared_models.records.tables import table_of
from shared_models.sync.bundle import bundle_of, pages_in
from shared_models.sync.wire import Page


def bundle(
    out: Annotated[Path, typer.Option(metavar="FILE", help="Where the bundle goes.", show_default=False)],
    reply_to: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Only the lines that the sender of this bundle lacks.", show_default=False),
    ] = None,
    farm: FarmChoice = None,
    data: Data = DEFAULT_DATA,
    database_url: DatabaseUrl = None,
) -> None:
    """Write the farm's logs (not the office's private one) into a file that others take in."""
    with opened(data, database_url) as engine, reading(engine) as connection:
        chosen = chosen_farm(connection, farm)
        pages = 0
        with replacing(out) as beside, beside.open("wb") as file:
            for page in bundle_of(connection, chosen.id, _held_by_sender(reply_to, chosen.id)):
                file.write(page)
                pages += 1
    typer.echo(f"{chosen.name or chosen.id} is written to {out}: {pages} page{'' if pages == 1 else 's'}.")


def _held_by_sender(file: Path | None, farm: str) -> Holds:
    if file is None:
        return {}
    first = _pages(file)[0]
    if first.farm != farm:
        raise OtherFarm
    return first.holds


def take_in_bundle(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A bundle of a phone or of another service.")],
    adopt: Annotated[bool, typer.Option("--adopt", help="Take its farm over, if this service has it not.")] = False,
    data: Data = DEFAULT_DATA,
    database_url: DatabaseUrl = None,
) -> None:
    """Take in the lines of a bundle, with a verdict for each log; when some were refused the exit status is 1."""
    pages, providers = _pages(file), real_providers()
    told: dict[str, Taken] = {}
    with opened(data, database_url, make=adopt) as engine:
        for page in pages:
            _know_farm(engine, page, providers, adopt=adopt)
            _add(told, take_in(engine, page, providers))
        with reading(engine) as connection:
            names = _names(connection, told)
    for taken in told.values():
        typer.echo(_verdict(names.get(taken.device, taken.device), taken), err=taken.refused is not None)
    typer.echo(f"{sum(taken.new for taken in told.values()):,} new lines from {len(told)} logs.")
    if any(taken.refused for taken in told.values()):
        raise typer.Exit(1)


def _pages(file: Path) -> list[Page]:
    """The pages of a bundle, at least one; all are read before any is stored."""
    try:
        return list(pages_in(file.read_bytes()))
    except OSError as problem:
        raise WrongUse(f"{file} cannot be read ({problem.strerror}).", "Check its name.") from problem
    except BadBody as problem:
        raise WrongMoment(f"{file} cannot be read: {problem.reason}.", "Nothing was stored; copy it anew.") from problem


def _know_farm(engine: Engine, page: Page, providers: Providers, *, adopt: bool) -> None:
    with reading(engine) as connection:
        if farm_with_id(connection, page.farm) is not None:
            return
    if not adopt:
        raise WrongUse(
            f"This bundle is of farm {page.farm}, which is not here.",
            "To take the farm over with its records, add --adopt.",
        )
    with writing(engine, page.farm) as connection:
        open_office(connection, page.farm, providers)


def _add(told: dict[str, Taken], taken: Iterable[Taken]) -> None:
    for each in taken:
        before = told.get(each.device)
        if before is not None:
            each.new += before.new
            each.refused = before.refused or each.refused
        told[each.device] = each


def _names(connection: Connection, devices: Iterable[str]) -> dict[str, str]:
    device = table_of(Device).c
    found = connection.execute(select(device.id, device.name).where(device.id.in_(list(devices))))
    return {row.id: f"{row.name} ({row.id})" for row in found}


def _verdict(name: str, taken: Taken) -> str:
    new = f"{taken.new:,} new line{'' if taken.new == 1 else 's'}, {taken.held:,} held"
    if taken.refused is None:
        return f"{name}: {new}."
    return f"{name}: {new}; line {taken.refused.seq} was refused: {taken.refused.reason}."
