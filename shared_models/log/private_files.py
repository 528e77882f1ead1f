"""Files and folders that only their owner can read, whatever the umask."""

import os
import stat
from contextlib import suppress
from pathlib import Path

from shared_models.errors import StorageError

_FOLDER, _FILE, _OTHERS = 0o700, 0o600, 0o077


def create_private(path: Path) -> None:
    """Create an empty file, or close an existing one to others."""
    os.close(os.open(path, os.O_CREAT | os.O_WRONLY, _FILE))
    close_to_others(path)


def private_folder(folder: Path) -> None:
    """Make a folder, or close an existing one and the databases in it to others.

    Raises:
        StorageError: when it cannot be made.
    """
    try:
        for missing in (each for each in reversed(folder.parents) if not each.exists()):
            missing.mkdir(_FOLDER)
        folder.mkdir(_FOLDER, exist_ok=True)
    except OSError as problem:
        raise StorageError(f"the folder {folder} cannot be made ({problem.strerror})") from problem
    close_to_others(folder)
    for database in folder.glob("*.db*"):
        close_to_others(database)


def close_to_others(path: Path) -> None:
    """Take the rights of others away. A folder that everybody shares, such as /tmp, stays as it is."""
    with suppress(OSError):  # not ours, or on a disk that is read-only or knows no rights: what is there can be used
        mode = path.stat().st_mode
        if mode & _OTHERS and not mode & stat.S_ISVTX:
            path.chmod(stat.S_IMODE(mode) & ~_OTHERS)
