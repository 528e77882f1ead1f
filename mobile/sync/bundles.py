"""Bundles on the phone: everything it holds, written to a file for others; and others' files, read in.

The work is done aside, so that no tap waits for it; what comes of it is told in the app's own thread.
"""

from __future__ import annotations

import logging
import re
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from mobile.device.sharing.protocol import SUFFIX, Opened, Sharer
from mobile.device.worker import BackgroundWorker
from mobile.log.notebook import Notebook
from shared_models.errors import OtherFarm, RowendError, StoreTrouble, TooMuch, WrongMoment
from shared_models.log import log
from shared_models.log.atomic_file import replacing
from shared_models.log.store import reading
from shared_models.sync.bundle import bundle_of, checked_farm, pages_in

logger = logging.getLogger(__name__)

FOLDER, OWN_FOLDER = "bundles", "shared"
#: a season of a large farm is a few megabytes
MOST_BYTES = 64 * 1024 * 1024
#: bundles that are kept after they were shared: who got one may still be reading it
KEPT = 3


@dataclass(slots=True)
class Taken:
    """What a bundle brought: new entries, and logs of which something could not be taken in."""

    new: int = 0
    #: logs that go on otherwise here, or hold a line that nobody can take
    refused: set[str] = field(default_factory=set)
    #: logs that begin after what is held here: the bundle was made for somebody who holds more
    beyond: set[str] = field(default_factory=set)


@dataclass(frozen=True, slots=True)
class BundleNews:
    """How it stands with bundles.

    `shared` is where the last bundle went (empty: the system asks), `entries` how many are in it; `taken` is what was
    read in; `stranger` says that a bundle of another farm waits for the person's word; `problem` is why it failed.
    """

    busy: bool = False
    shared: str | None = None
    entries: int = 0
    taken: Taken | None = None
    none_chosen: bool = False
    stranger: bool = False
    problem: RowendError | None = None


class Bundles:
    """Shares and reads in. `soon` does a step in the app's own thread, `changed` hears there that something came in."""

    def __init__(
        self,
        notebook: Notebook,
        sharer: Sharer,
        soon: Callable[[Callable[[], None]], None],
        changed: Callable[[], None],
        do: Callable[[Callable[[], None]], None] | None = None,
    ) -> None:
        self.news = BundleNews()
        self.inbox = notebook.folder / FOLDER
        self.sharer = sharer
        self._notebook, self._soon, self._changed = notebook, soon, changed
        self._do = do or BackgroundWorker("bundle").do
        self._waiting = b""

    def share(self) -> None:
        """Write a bundle and give it to others."""
        self._begin(self._share)

    def choose(self) -> None:
        """Have a file chosen, then read it in. Whoever turns away from the choice may ask again."""
        self.news = BundleNews()
        self._do(lambda: self._tell(self._outcome(self._choose)))

    def join(self) -> None:
        """Log for the farm of the bundle that waits, with all that was written here, and read it in."""
        self._begin(lambda: BundleNews(taken=_take_in(self._notebook, self._waiting, join=True)))

    def leave(self) -> None:
        """Read in nothing of the bundle that waits."""
        self._waiting, self.news = b"", BundleNews()

    def _begin(self, job: Callable[[], BundleNews | None]) -> None:
        self.news = BundleNews(busy=True)
        self._do(lambda: self._tell(self._outcome(job)))

    def _outcome(self, job: Callable[[], BundleNews | None]) -> BundleNews | None:
        try:
            return job()
        except RowendError as problem:
            return BundleNews(problem=problem)
        except Exception:  # Java's own come as one class that only a phone has
            logger.exception("the bundle could not be handed on")
            return BundleNews(
                problem=WrongMoment("The file could not be handed on.", "Try again, or choose another way.")
            )

    def _tell(self, news: BundleNews | None) -> None:
        if news is not None:
            self._soon(lambda: self._hear(news))

    def _hear(self, news: BundleNews) -> None:
        self.news = news
        if news.taken is not None:
            self._waiting = b""
            self._changed()

    def _share(self) -> BundleNews:
        file, entries = write_bundle(self._notebook)
        return BundleNews(shared=self.sharer.share(file), entries=entries)

    def _choose(self) -> None:
        def chosen(opened: Opened | None) -> None:
            self._soon(lambda: self._begin(lambda: self._read(opened)))

        self.inbox.mkdir(exist_ok=True)
        self.sharer.choose(self.inbox, chosen)

    def _read(self, opened: Opened | None) -> BundleNews:
        if opened is None:
            return BundleNews(none_chosen=True)
        bundle = _content(opened)
        if checked_farm(bundle) != self._notebook.farm and may_join(self._notebook):
            self._waiting = bundle
            return BundleNews(stranger=True)
        return BundleNews(taken=_take_in(self._notebook, bundle))


def may_join(notebook: Notebook) -> bool:
    """Whether this phone belongs to no farm yet."""
    return notebook.setting("server") is None and not notebook.setting("joined_by_bundle")


def write_bundle(notebook: Notebook) -> tuple[Path, int]:
    """A bundle with everything this phone holds, and how many entries that is.

    Raises:
        StoreTrouble: when it cannot be written.
    """
    name = re.sub(r"[^\w-]+", "-", str(notebook.setting("phone_name") or "phone")).strip("-")
    file = notebook.folder / FOLDER / OWN_FOLDER / f"{name}-{notebook.now().at:%Y-%m-%d-%H%M}{SUFFIX}"
    try:
        with reading(notebook.engine) as connection, replacing(file) as beside, beside.open("wb") as target:
            target.writelines(bundle_of(connection, notebook.farm, {}))
            entries = sum(seq for seq, _ in log.holds(connection, notebook.farm).values())
        for old in sorted(file.parent.iterdir(), key=lambda each: each.stat().st_mtime)[:-KEPT]:
            old.unlink()
    except (OSError, StoreTrouble) as problem:
        raise StoreTrouble("database or disk is full") from problem
    return file, entries


def _content(opened: Opened) -> bytes:
    try:
        with opened() as file:
            content = file.read(MOST_BYTES + 1)
    except OSError as problem:
        raise WrongMoment("This file could not be opened.", "Have it shared again, or choose another one.") from problem
    if len(content) > MOST_BYTES:
        raise TooMuch(MOST_BYTES)
    return content


def _take_in(notebook: Notebook, bundle: bytes, *, join: bool = False) -> Taken:
    """Read in a bundle whose pages are all whole. Each page is stored in one go, and a tap may come between two.

    Raises:
        OtherFarm: when it is another farm's; nothing is stored.
    """
    farm = checked_farm(bundle)
    if farm != notebook.farm:
        if not (join and may_join(notebook)):
            raise OtherFarm
        notebook.join_farm(farm)
        notebook.change_settings(joined_by_bundle=True)
    taken = Taken()
    for page in pages_in(bundle):
        with notebook.writing() as connection:
            outcome = log.ingest(connection, farm, page.runs)
            held = {device: seq for device, (seq, _) in log.holds(connection, farm).items()}
        taken.new += outcome.stored
        taken.refused |= {refusal.device for refusal in outcome.refused}
        taken.beyond |= {run.device for run in page.runs if run.after > held.get(run.device, 0)}
    return taken
