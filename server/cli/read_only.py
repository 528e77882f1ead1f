"""Read a database on a read-only disk: SQLite has to write beside a database to open it, so read a private copy."""

import errno
import os
import shutil
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory, TemporaryFile

from server.exports.backup.sqlite_copy import copy_database
from shared_models.errors import StorageError, WrongMoment

_LOG, _INDEX, _JOURNAL = "-wal", "-shm", "-journal"
_REFUSALS = {errno.EROFS, errno.EACCES, errno.EPERM}
#: seteuid and file capabilities count, where the system can ask
_EFFECTIVE = os.access in os.supports_effective_ids


def is_read_only(database: Path) -> bool:
    """Whether a database file can be read, but it, a file of SQLite's beside it, or its folder cannot be written."""
    files = (database, *(_beside(database, suffix) for suffix in (_LOG, _INDEX)))
    if not _may(database, os.R_OK):
        return False
    return not (_takes_files(database.parent) and all(_may(file, os.W_OK) for file in files if file.exists()))


def _may(path: Path, what: int) -> bool:
    return os.access(path, what, effective_ids=_EFFECTIVE)


def _takes_files(folder: Path) -> bool:
    if not _may(folder, os.W_OK):
        return False
    try:
        TemporaryFile(dir=folder).close()
    except OSError as problem:
        return problem.errno not in _REFUSALS  # a full disk has its own error
    return True


@contextmanager
def private_copy(database: Path) -> Iterator[Path]:
    """A copy of a database, with all that its write-ahead log holds, that nobody else can read; gone after the block.

    Raises:
        StorageError: when it cannot be made.
    """
    with ExitStack() as stack:
        try:
            copy = Path(stack.enter_context(TemporaryDirectory(prefix="rowend-"))) / database.name
            _copy(database, copy)
        except OSError as problem:
            reason = f"no copy of {database} can be made ({problem.strerror}); TMPDIR can name a folder with more space"
            raise StorageError(reason) from problem
        yield copy


def _copy(database: Path, copy: Path) -> None:
    if _beside(database, _INDEX).exists():  # somebody may be writing: SQLite copies one state
        try:
            copy_database(database, copy)
        except (StorageError, WrongMoment):  # damaged; who opens the copy says how
            pass
        else:
            return
    # without its index SQLite cannot read the log on a read-only disk; nobody has the database open
    for suffix in ("", _LOG, _JOURNAL):
        if _beside(database, suffix).exists():
            shutil.copyfile(_beside(database, suffix), _beside(copy, suffix))


def _beside(database: Path, suffix: str) -> Path:
    return database.with_name(database.name + suffix)
