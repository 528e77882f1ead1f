"""Write a file whole or not at all, readable by its owner only."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from shared_models.errors import StorageError
from shared_models.log.private_files import create_private


def write_file(path: Path, content: str | bytes) -> None:
    """Write or replace a file; creates its directory.

    Raises:
        StorageError: when it cannot be written; the old file stays.
    """
    with replacing(path) as beside:
        # a line of a log may hold half a letter
        beside.write_bytes(content.encode(errors="backslashreplace") if isinstance(content, str) else content)


@contextmanager
def replacing(path: Path) -> Iterator[Path]:
    """An empty temporary file beside `path` that replaces it, synced to disk, when the block succeeds.

    Raises:
        StorageError: when it cannot be written; the old file stays.
    """
    beside = path.with_name(f".{path.name}.part")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        beside.unlink(missing_ok=True)
        create_private(beside)
        yield beside
        _to_disk(beside)
        beside.replace(path)
        _to_disk(path.parent)
    except OSError as problem:
        raise StorageError(f"{path} cannot be written ({problem.strerror})") from problem
    finally:
        _delete(beside)


def _delete(path: Path) -> None:
    if path.parent.is_dir():
        path.unlink(missing_ok=True)


def _to_disk(path: Path) -> None:
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
