"""The program `rowend`: puts the commands together, and prints one sentence about what went wrong."""

import signal
import sys
from collections.abc import Sequence
from importlib.metadata import version
from typing import Annotated

import typer

from server.cli import backup, bundle, calendar, demo, export, farm, maintenance, methods, report, serve, verify
from shared_models.errors import BadEntry, RowendError, UnknownRecord, UsageError

FAILED, WRONG_USE, INTERRUPTED = 1, 2, 130


def _print_version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"rowend {version('rowend')}")
        raise typer.Exit


def commands() -> typer.Typer:
    """Build the command line."""
    app = typer.Typer(
        help="Log paper-chain planting on phones; read rates, stands and soil, bed by bed.",
        add_completion=False,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
    )
    app.callback()(_options)
    app.command()(demo.demo)
    app.command()(serve.serve)
    app.add_typer(farm.app, name="farm")
    app.command()(farm.pair)
    app.add_typer(report.app, name="report", no_args_is_help=False)
    app.command()(verify.verify)
    app.command()(maintenance.rebuild)
    app.command()(export.export)
    app.command("import")(export.import_records)
    app.command()(backup.backup)
    app.command()(backup.restore)
    app.command()(bundle.bundle)
    app.command("take-in")(bundle.take_in_bundle)
    app.command()(calendar.calendar)
    app.command()(methods.methods)
    return app


def _options(
    show_version: Annotated[
        bool, typer.Option("--version", callback=_print_version, is_eager=True, help="Print the version and exit.")
    ] = False,
) -> None:
    pass


def run(arguments: Sequence[str]) -> int:
    """Run one command; returns the exit status: 0 done, 1 failed, 2 wrong use."""
    command = typer.main.get_command(commands())
    try:
        status = command.main(list(arguments) or ["--help"], prog_name="rowend", standalone_mode=False)
    except (UsageError, BadEntry, UnknownRecord) as problem:
        return _fail(str(problem), WRONG_USE)
    except RowendError as problem:
        return _fail(str(problem), FAILED)
    except typer.TyperException as problem:
        return _fail(_sentence(problem), problem.exit_code)
    except typer.Abort:
        return INTERRUPTED
    return status if isinstance(status, int) else 0


def _fail(sentence: str, status: int) -> int:
    typer.echo(sentence, err=True)
    return status


def _sentence(problem: typer.TyperException) -> str:
    context = getattr(problem, "ctx", None)
    path = context.command_path if context else "rowend"
    return f"{problem.format_message().rstrip('.')}. See {path} --help."


def main() -> None:
    """Run the command that the person typed. Ctrl-C and `kill` end it alike, in the background too."""
    for each in (signal.SIGINT, signal.SIGTERM):  # a background job of a script starts with SIGINT ignored
        signal.signal(each, signal.default_int_handler)
    sys.exit(run(sys.argv[1:]))


if __name__ == "__main__":
    main()
