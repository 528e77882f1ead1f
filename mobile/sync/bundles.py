"""Bundle files on the phone: everything it holds, exported for others; and others' files, imported.

A worker thread does the work, so that no tap waits for it; the result arrives in the app's own thread.
"""

import logging
import re
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from mobile.device.sharing.protocol import SUFFIX, Opened, Sharer
from mobile.device.worker import BackgroundWorker
from mobile.log.notebook import Notebook
from shared_models.errors import OtherFarm, RowendError, StorageError, TooLarge, WrongMoment
from shared_models.log import log
from shared_models.log.atomic_file import replacing
from shared_models.log.ingest import ingest
from shared_models.log.store import DISK_FULL, reading
from shared_models.sync.bundle import bundle_of, checked_farm, pages_in

logger = logging.getLogger(__name__)

FOLDER, OWN_FOLDER = "bundles", "shared"
#: a season of a large farm is a few megabytes
MOST_BYTES = 64 * 1024 * 1024
#: bundles that are kept after they were shared: who got one may still be reading it
KEPT = 3


@dataclass(slots=True)
class Imported:
    """What an import brought: new entries, and logs of which something could not be taken in."""

    new: int = 0
    #: logs that went on differently here, or hold an invalid line
    refused: set[str] = field(default_factory=set)
    #: logs that begin after what is held here: the bundle was made for a phone that holds more
    beyond: set[str] = field(default_factory=set)


@dataclass(frozen=True, slots=True)
class BundleStatus:
    """State of the last export or import.

    `shared` is where the bundle went (empty: the system asks), with how many `entries`; `other_farm` says that a bundle
    of another farm waits for the person's consent; `problem` is why it failed.
    """

    busy: bool = False
    shared: str | None = None
    entries: int = 0
    imported: Imported | None = None
    none_chosen: bool = False
    other_farm: bool = False
    problem: RowendError | None = None


class Bundles:
    """Exports and imports. `soon` runs a step in the app's own thread; `changed` is called there after an import."""

    def __init__(
        self,
        notebook: Notebook,
        sharer: Sharer,
        soon: Callable[[Callable[[], None]], None],
        changed: Callable[[], None],
        do: Callable[[Callable[[], None]], None] | None = None,
    ) -> None:
        self.status = BundleStatus()
        self.inbox = notebook.folder / FOLDER
        self.sharer = sharer
        self._notebook, self._soon, self._changed = notebook, soon, changed
        self._do = do or BackgroundWorker("bundle").do
        self._waiting = b""

    def share(self) -> None:
        self._start(self._share)

    def choose(self) -> None:
        """Have a file chosen, then import it. Not busy meanwhile: who leaves the file picker may ask again."""
        self.status = BundleStatus()
        self._do(lambda: self._report(self._run(self._choose)))

    def join(self) -> None:
        """Join the farm of the waiting bundle, with all that was written here, and import it."""
        self._start(lambda: BundleStatus(imported=_import(self._notebook, self._waiting, join=True)))

    def leave(self) -> None:
        self._waiting, self.status = b"", BundleStatus()

    def _start(self, job: Callable[[], BundleStatus | None]) -> None:
        self.status = BundleStatus(busy=True)
        self._do(lambda: self._report(self._run(job)))

    def _run(self, job: Callable[[], BundleStatus | None]) -> BundleStatus | None:
        try:
            return job()
        except RowendError as problem:
            return BundleStatus(problem=problem)
        except Exception:  # Java's own come as one class that only a phone has
            logger.exception("the bundle could not be shared or opened")
            return BundleStatus(
                problem=WrongMoment("The file could not be shared or opened.", "Try again, or share it another way.")
            )

    def _report(self, status: BundleStatus | None) -> None:
        if status is not None:
            self._soon(lambda: self._show(status))

    def _show(self, status: BundleStatus) -> None:
        self.status = status
        if status.imported is not None:
            self._waiting = b""
            self._changed()

    def _share(self) -> BundleStatus:
        file, entries = write_bundle(self._notebook)
        return BundleStatus(shared=self.sharer.share(file), entries=entries)

    def _choose(self) -> None:
        def on_chosen(opened: Opened | None) -> None:
            self._soon(lambda: self._start(lambda: self._read(opened)))

        self.inbox.mkdir(exist_ok=True)
        self.sharer.choose(self.inbox, on_chosen)

    def _read(self, opened: Opened | None) -> BundleStatus:
        if opened is None:
            return BundleStatus(none_chosen=True)
        bundle = _content(opened)
        if checked_farm(bundle) != self._notebook.farm and may_join(self._notebook):
            self._waiting = bundle
            return BundleStatus(other_farm=True)
        return BundleStatus(imported=_import(self._notebook, bundle))


def may_join(notebook: Notebook) -> bool:
    """Whether this phone belongs to no farm yet."""
    return notebook.setting("server") is None and not notebook.setting("joined_by_bundle")


def write_bundle(notebook: Notebook) -> tuple[Path, int]:
    """Export everything this phone holds; return the file and its number of entries.

    Raises:
        StorageError: when it cannot be written.
    """
    name = re.sub(r"[^\w-]+", "-", str(notebook.setting("phone_name") or "phone")).strip("-")
    file = notebook.folder / FOLDER / OWN_FOLDER / f"{name}-{notebook.now().at:%Y-%m-%d-%H%M}{SUFFIX}"
    try:
        notebook.sign()
        with replacing(file) as part, reading(notebook.engine) as connection, part.open("wb") as target:
            target.writelines(bundle_of(connection, notebook.farm, {}))
            entries = log.entries(connection, notebook.farm)
        for old in sorted(file.parent.iterdir(), key=lambda each: each.stat().st_mtime)[:-KEPT]:
            old.unlink()
    except (OSError, StorageError) as problem:
        raise StorageError(DISK_FULL) from problem
    return file, entries


def _content(opened: Opened) -> bytes:
    try:
        with opened() as file:
            content = file.read(MOST_BYTES + 1)
    except OSError as problem:
        raise WrongMoment("This file could not be opened.", "Have it shared again, or choose another one.") from problem
    if len(content) > MOST_BYTES:
        raise TooLarge(MOST_BYTES)
    return content


def _import(notebook: Notebook, bundle: bytes, *, join: bool = False) -> Imported:
    """Import a bundle whose pages are all whole. Each page is one transaction, and a tap may come between two.

    Raises:
        OtherFarm: when it is another farm's; nothing is stored.
    """
    farm = checked_farm(bundle)
    if farm != notebook.farm:
        if not (join and may_join(notebook)):
            raise OtherFarm
        notebook.join_farm(farm)
        notebook.change_settings(joined_by_bundle=True)
    imported = Imported()
    for page in pages_in(bundle):
        with notebook.writing() as connection:
            outcome = ingest(connection, farm, page.runs, notebook.keystore.verify)
            held = {device: seq for device, (seq, _) in log.holds(connection, farm).items()}
        imported.new += outcome.stored
        imported.refused |= {refusal.device for refusal in outcome.refused}
        imported.beyond |= {run.device for run in page.runs if run.after > held.get(run.device, 0)}
    return imported
