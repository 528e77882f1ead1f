"""`rowend export` and `rowend import`: everything as tables and JSON, and back into an empty farm."""

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer
from sqlalchemy import Connection, Engine
from sqlmodel import Session

from server.cli.options import DEFAULT_DATA, Data, DatabaseUrl, FarmChoice, farm_to_read, opened
from server.exports.imports.reader import ImportedRecords, Problem, read_records
from server.exports.imports.writer import is_empty, write_in
from server.exports.proof.export_file import export_text
from server.exports.spreadsheets.columns_page import columns_page
from server.exports.spreadsheets.records import FLAGGED, flagged_csv, kind_csv
from server.farms.edits import create_office_logs
from server.farms.registry import all_farms, find_farm
from server.office.log.inspector_record import record_html
from server.runtime.providers import real_providers
from server.web.language import DEFAULT_LANGUAGE
from shared_models.errors import UsageError
from shared_models.i18n.conventions import LANGUAGES
from shared_models.log.atomic_file import write_file
from shared_models.log.store import reading, writing
from shared_models.records.models import KINDS
from shared_models.reports.common.context import ReportContext
from shared_models.reports.common.find import find_bed

_MOST_SHOWN = 50
Language = StrEnum("Language", {code: code for code in LANGUAGES})  # type: ignore[misc]  # the catalogues decide


def export(
    out: Annotated[
        Path, typer.Option(metavar="DIR", help="Folder to write into; with --record a file.", show_default=False)
    ],
    record: Annotated[
        str | None, typer.Option(metavar="BED", help="Write only this bed's planting record, as a page to print.")
    ] = None,
    language: Annotated[Language, typer.Option(help="Language of the planting record.")] = Language[DEFAULT_LANGUAGE],
    no_private: Annotated[bool, typer.Option("--no-private", help="Leave out wages and prices.")] = False,
    farm: FarmChoice = None,
    data: Data = DEFAULT_DATA,
    database_url: DatabaseUrl = None,
) -> None:
    """Write every record as CSV and JSON.

    One table for each kind of record, and a page that explains the columns.
    """
    with farm_to_read(farm, data, database_url) as (engine, chosen), reading(engine) as connection:
        if record is not None:
            write_file(out, _record(connection, chosen.id, record, language))
            typer.echo(f"Wrote the planting record to {out}.")
            return
        for name, text in _files(connection, chosen.id, private=not no_private).items():
            write_file(out / name, text)
    typer.echo(f"Wrote {chosen.name or chosen.id} to {out}: a table for each kind, records.json and columns.md.")


def _files(connection: Connection, farm: str, *, private: bool) -> dict[str, str]:
    tables = {f"{kind}.csv": kind_csv(connection, farm, kind, private=private) for kind in KINDS}
    return tables | {
        f"{FLAGGED}.csv": flagged_csv(connection, farm, private=private),
        "records.json": export_text(connection, farm, private=private),
        "columns.md": columns_page(),
    }


def _record(connection: Connection, farm: str, bed: str, language: str) -> str:
    now = real_providers().now()
    with Session(connection) as session:
        reports = ReportContext.of(session, farm)
        return record_html(reports, find_bed(reports, bed), now, language)


def import_records(
    source: Annotated[Path, typer.Argument(metavar="DIR|FILE", help="Folder from rowend export, or its records.json.")],
    skip_bad: Annotated[bool, typer.Option("--skip-bad", help="Import the good records, skip bad ones.")] = False,
    farm: FarmChoice = None,
    data: Data = DEFAULT_DATA,
    database_url: DatabaseUrl = None,
) -> None:
    """Read exported records into an empty farm.

    If there is no farm yet, it is made with the same id.
    """
    found = read_records(source)
    for passed_over in found.passed_over:
        typer.echo(f"Skipped: {passed_over}.", err=True)
    if found.problems and not skip_bad:
        _refuse(found.problems)
    providers = real_providers()
    with opened(data, database_url, make=True) as engine:
        chosen, known = _empty_farm(engine, farm, found)
        with writing(engine, chosen) as connection:
            if not known:
                create_office_logs(connection, chosen, providers)
            problems = write_in(connection, chosen, found.good, providers.now())
            if problems and not skip_bad:
                _refuse(problems)  # leaves the transaction, so nothing of it stays
    left_out = [*found.problems, *problems]
    _print(left_out)
    typer.echo(f"{_count(len(found.good) - len(problems), 'record')} imported, {len(left_out)} problems.")


def _empty_farm(engine: Engine, wanted: str | None, found: ImportedRecords) -> tuple[str, bool]:
    """The farm to import into, and whether it is here already."""
    with reading(engine) as connection:
        if wanted is None and found.farm is not None and not all_farms(connection):
            return found.farm, False
        chosen = find_farm(connection, wanted)
        if not is_empty(connection, chosen.id):
            raise UsageError(
                f"{chosen.name or chosen.id} already has records.",
                "Import into a new farm: rowend farm new NAME --zone ZONE",
            )
        return chosen.id, True


def _refuse(problems: list[Problem]) -> None:
    _print(problems)
    typer.echo("Nothing was imported. Correct these and import again, or skip them with --skip-bad.", err=True)
    raise typer.Exit(1)


def _print(problems: list[Problem]) -> None:
    for problem in problems[:_MOST_SHOWN]:
        typer.echo(str(problem), err=True)
    if len(problems) > _MOST_SHOWN:
        typer.echo(f"… and {_count(len(problems) - _MOST_SHOWN, 'more problem')}", err=True)


def _count(number: int, what: str) -> str:
    return f"{number:,} {what}{'' if number == 1 else 's'}"
