"""`rowend verify FILE`: which kind of file it is, and what it proves."""

from collections.abc import Iterable
from itertools import groupby
from pathlib import Path
from typing import NamedTuple

from sqlalchemy import Connection, select
from sqlalchemy.exc import OperationalError

from server.exports.backup.sqlite_copy import open_read_only
from server.exports.proof.export_file import check_export
from server.exports.proof.log_check import Findings, check_log
from server.exports.proof.log_proof import LogProof, SignedPart, whole_logs
from server.exports.proof.record_file import check_record
from server.farms.registry import all_farms
from shared_models.core.revision import digest, root
from shared_models.errors import BadBody, UsageError, WrongMoment
from shared_models.log.log import Run
from shared_models.log.store import projection_shape
from shared_models.log.verify import projection_problems
from shared_models.records.tables import Meta, table_of
from shared_models.sync.bundle import pages_in

_SQLITE, _GZIP = b"SQLite format 3\0", b"\x1f\x8b"
_META = table_of(Meta).c


class CheckedFile(NamedTuple):
    """What kind of file it is, and what was found."""

    kind: str
    findings: Findings


def check_file(path: Path) -> CheckedFile:
    """Check a backup, a bundle, an export or a planting record.

    Raises:
        UsageError: when it cannot be read, or is none of these.
        WrongMoment: when it is damaged.
    """
    try:
        with path.open("rb") as file:
            begin = file.read(len(_SQLITE))
        if begin == _SQLITE:
            return CheckedFile("a backup", _check_backup(path))
        content = path.read_bytes()
    except OSError as problem:
        raise UsageError(f"{path} cannot be read ({problem.strerror}).", "Check the name.") from problem
    try:
        if content.startswith(_GZIP):
            return CheckedFile("a bundle", check_runs([run for page in pages_in(content) for run in page.runs]))
        text = content.decode("utf-8-sig")
        if text.lstrip().startswith("{"):
            return CheckedFile("an export", check_export(text))
        if "<html" in text:
            return CheckedFile("a planting record", check_record(text))
    except (BadBody, UnicodeDecodeError) as problem:
        reason = problem.reason if isinstance(problem, BadBody) else "it is not UTF-8 text"
        raise WrongMoment(f"{path} cannot be checked: {reason}.", "Copy or write the file again.") from problem
    raise UsageError(
        f"{path} is not a file that Rowend writes.",
        "Choose records.json of an export, a planting record, a bundle or a backup.",
    )


def check_runs(runs: Iterable[Run]) -> Findings:
    """Check the runs of a bundle, those of one log in their order."""
    found = Findings()
    for _, some in groupby(sorted(runs, key=lambda run: (run.device, run.after)), key=lambda run: run.device):
        found.add(_check_runs_of_log(list(some)))
    return found


def _check_runs_of_log(runs: list[Run]) -> Findings:
    first, last = runs[0], runs[-1]
    base = bytes.fromhex(first.branch.digest) if first.branch else root(first.device)
    log = LogProof(
        device=first.device,
        key=first.key,
        branch=first.branch,
        last_line=last.end,
        last_digest=last.digest,
    )
    before, after = base, first.branch.seq if first.branch else 0
    for run in runs:
        if run.after != after:
            lines = f"Lines {run.after + 1:,} to {last.end:,} of device {run.device}"
            return Findings(not_proven=[f"{lines} go on from lines that are not in this file."])
        part = SignedPart(after=after, digest=before.hex(), signed=[*run.signed_before, (run.end, run.signature)])
        for text in run.texts:
            before = digest(before, text)
            part.lines.append((before.hex(), text))
        log.parts.append(part)
        after = run.end
    return check_log(log)


def _check_backup(path: Path) -> Findings:
    found = Findings()
    try:
        with open_read_only(path) as connection:
            _check_database(connection, path, found)
    except OperationalError as problem:
        raise WrongMoment(f"{path} cannot be checked: it is not a backup of this version.", "") from problem
    return found


def _check_database(connection: Connection, path: Path, found: Findings) -> None:
    for (health,) in connection.exec_driver_sql("PRAGMA integrity_check(20)"):
        if health != "ok":
            found.wrong.append(f"{path.name}: the database is damaged ({health}).")
    if found.wrong:
        return
    shape = connection.execute(select(_META.value).where(_META.name == "projections")).scalar()
    for farm in all_farms(connection):
        for log in whole_logs(connection, farm.id, private=True):
            found.add(check_log(log))
        if shape != projection_shape():
            found.not_proven.append("Another version of Rowend wrote this file, so its records were not compared.")
        elif not found.wrong:
            problems = list(projection_problems(connection, farm.id))
            found.wrong += [f"{problem}." for problem in problems]
            if not problems:
                found.proven.append(f"{farm.name or farm.id}: the records are what these lines say.")
