"""Damaged lines come back with a sync: this phone asks the service for its own, and sends what the service asks for."""

from collections.abc import Collection, Sequence

from sqlalchemy import Connection

from mobile.log.notebook import Notebook
from shared_models.log import repair
from shared_models.log.damage import START, Damage, check_logs
from shared_models.log.log import Holds, Run
from shared_models.log.store import reading

#: lines of this phone's logs that each sync checks; the next one goes on after them
CHECKED_LINES = 5000


class Healing:
    """Damaged lines on both sides, from sync to sync."""

    def __init__(self, notebook: Notebook) -> None:
        self._notebook = notebook
        self._checked = START
        self._done: set[Damage] = set()
        #: the damaged lines at the service, by its last answer
        self.there: Sequence[Damage] = ()
        #: the number of damaged lines on this phone
        self.here = 0

    def begin(self) -> None:
        """Check some more lines, before a sync."""
        self._done.clear()
        self._checked = check_logs(self._notebook.engine, self._notebook.farm, self._checked, CHECKED_LINES)

    def wanted(self, connection: Connection, theirs: Holds) -> list[Damage]:
        """The lines to ask for."""
        lines = repair.wanted(connection, self._notebook.farm, theirs)
        self.here = len(lines)
        return lines

    def runs(self, connection: Connection, besides: Collection[str]) -> list[Run]:
        """What the service asked for, as far as this phone has it, of no log `besides`. Each line is sent once."""
        lines = [line for line in self.there if line not in self._done and line.device not in besides]
        runs = {run.device: run for run in repair.wanted_runs(connection, self._notebook.farm, lines)}
        covered = (line for line in lines if (run := runs.get(line.device)) is None or line.seq <= run.end)
        self._done.update(covered)
        return list(runs.values())

    def goes_on(self, wanted: Sequence[Damage], mine: Holds) -> bool:
        """Note what the service wants; return whether it may still have lines for this phone, or this phone for it."""
        self.there, before = wanted, self.here
        with reading(self._notebook.engine) as connection:
            healed = len(self.wanted(connection, {})) < before
        return healed or any(line.seq <= mine.get(line.device, (0, ""))[0] for line in wanted if line not in self._done)
