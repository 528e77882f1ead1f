"""`rowend verify`: check the records here, a file from anywhere, or the digest on a printed record."""

from pathlib import Path
from typing import Annotated

import typer
from sqlalchemy import Engine
from sqlmodel import Session

from server.cli.maintenance import chosen_farms
from server.cli.options import DEFAULT_DATA, Data, DatabaseUrl, FarmChoice, farm_to_read, opened_to_read
from server.exports.proof.files import check_file
from server.exports.proof.paper import FORM, PaperHead, parse_all_typed
from server.farms.health import database_problems
from server.farms.keys import verify as signed
from server.office.log.lines import LineFormatter, LogLine
from server.office.log.paper_page import check_paper
from server.render.localizer import Localizer
from shared_models.core.vocabulary import Role
from shared_models.errors import BadEntry, StorageError, UsageError
from shared_models.log.store import reading
from shared_models.log.verify import verify as problems_of
from shared_models.reports.common.context import ReportContext
from shared_models.reports.common.find import find_bed

_OK = "Everything in this file is proven."
_WHOSE = (
    "A signature shows which device wrote a line, not whose device it is. Compare the ids with those on a printed "
    "record, or in the office under Log."
)


def verify(
    file: Annotated[
        Path | None,
        typer.Argument(
            metavar="FILE",
            help="Check only this file, without any data folder: records.json of an export, a planting record, a "
            "bundle or a backup.",
            show_default=False,
        ),
    ] = None,
    digest: Annotated[
        list[str] | None,
        typer.Option(
            metavar='"LOG LINE DIGEST"',
            help=f'Check a printed record: what it says under "to type", such as "{FORM}". Repeat it for each log.',
            show_default=False,
        ),
    ] = None,
    bed: Annotated[
        str | None, typer.Option(metavar="BED", help="With --digest: the bed of that record.", show_default=False)
    ] = None,
    farm: FarmChoice = None,
    data: Data = DEFAULT_DATA,
    database_url: DatabaseUrl = None,
) -> None:
    """Check the database, every log and every record.

    Changes nothing. Prints each problem; with any, or with anything that is not proven, the exit status is 1.
    """
    if digest and file is not None:
        raise UsageError("Give a file or a digest, not both.", "Check the file first, then the digest.")
    if digest:
        good = _check_paper(digest, bed, farm, data, database_url)
    else:
        good = _check_here(farm, data, database_url) if file is None else _check_file(file)
    if not good:
        raise typer.Exit(1)


def _check_here(farm: str | None, data: Path, database_url: str | None) -> bool:
    with opened_to_read(data, database_url) as engine:
        with reading(engine) as connection:
            wrong = database_problems(connection)
        for problem in wrong:
            typer.echo(problem, err=True)
        good = not wrong
        for chosen in chosen_farms(engine, farm):
            name = chosen.name or chosen.id
            problems = _problems(engine, chosen.id)
            for problem in problems:
                typer.echo(f"{name}: {problem}", err=True)
            if not problems:
                typer.echo(f"{name}: all logs and records are OK.")
            good = good and not problems
    return good


def _problems(engine: Engine, farm: str) -> list[str]:
    found: list[str] = []
    try:
        with reading(engine) as connection:
            found.extend(problems_of(connection, farm, signed))
    except StorageError as problem:
        found.append(f"the rest cannot be read: {problem.reason}")
    return found


def _check_paper(digests: list[str], bed: str | None, farm: str | None, data: Path, database_url: str | None) -> bool:
    heads = [head for text in digests for head in _parsed(text)]
    with farm_to_read(farm, data, database_url) as (engine, chosen), reading(engine) as connection:
        reports = ReportContext.of(Session(connection), chosen.id)
        localizer = Localizer.of(reports.farm)
        formatter = LineFormatter(reports.session, chosen.id, localizer, Role.OWNER)
        report = check_paper(reports, formatter, heads, find_bed(reports, bed) if bed else None, every_log=False)
    for answer in report.answers:
        typer.echo(f"{answer.log}: {answer.sentence}", err=not answer.is_good)
    if report.added:
        typer.echo("Added since it was printed, the newest first:")
    for line in report.added:
        typer.echo(f"  {_line(line)}")
    if report.is_more:
        typer.echo("  … and more: see the Log page.")
    if report.is_good and not report.added:
        typer.echo("Nothing was added since it was printed.")
    return report.is_good


def _parsed(text: str) -> list[PaperHead]:
    try:
        return parse_all_typed(text)
    except BadEntry as mistyped:
        raise UsageError(f"--digest: {next(iter(mistyped.problems.values()))}", "Nothing was checked.") from mistyped


def _line(line: LogLine) -> str:
    changes = [
        f"{change.label}: {change.before} → {change.after}" if change.before else f"{change.label}: {change.after}"
        for change in line.changes
    ]
    what = "; ".join([*([line.sentence] if line.sentence else []), *changes])
    called = f"{line.kind}: {line.title}" if line.title else line.kind
    return f"{line.when} · {called} · {what} · {line.who} · {line.where}"


def _check_file(file: Path) -> bool:
    kind, found = check_file(file)
    typer.echo(f"{file} is {kind}.")
    for sentence in found.proven:
        typer.echo(sentence)
    if found.not_proven:
        typer.echo("Not proven:", err=True)
    for sentence in found.not_proven:
        typer.echo(f"  {sentence}", err=True)
    if found.wrong:
        typer.echo("Wrong:", err=True)
    for sentence in found.wrong:
        typer.echo(f"  {sentence}", err=True)
    if found.is_good:
        typer.echo(_OK)
    typer.echo(_WHOSE)
    return found.is_good
