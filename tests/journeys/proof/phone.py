"""A phone of a history: the real notebook and sync client, in a folder of its own, with fake clocks."""

import itertools
import shutil
from collections.abc import Callable, Collection
from datetime import datetime
from pathlib import Path
from typing import Any

from starlette.testclient import TestClient

from mobile.demo.fake_phone import FakePhone
from mobile.device.keystore.desk import FOLDER as KEYS
from mobile.log.notebook import Notebook
from mobile.log.phone_log import FILE_NAME
from mobile.sync.client import SyncClient
from shared_models.log.store import reading
from shared_models.log.verify import verify
from tests.fixtures.network import ADDRESS, Network, session_over
from tests.journeys.proof.bad_network import BadNetwork
from tests.journeys.proof.oracle import HeldLog, logs_in
from tests.journeys.proof.stores import copy_sqlite, sqlite_rows


class ProofPhone:
    """One phone. What it is may be replaced by a backup; its number stays."""

    def __init__(
        self, number: int, home: Path, client: TestClient, at: datetime, late: list[Callable[[], None]]
    ) -> None:
        self.name = f"phone {number}"
        self._home, self._folders = home / f"phone-{number}", itertools.count(1)
        self._seeds = itertools.count(1000 * number)
        self.trouble = BadNetwork(late=late)
        self.network = Network(client, self.trouble.mishaps())
        #: the farm removed it
        self.removed = False
        self._open(self._new_folder(), at)

    def _new_folder(self) -> Path:
        return self._home / str(next(self._folders))

    def _open(self, folder: Path, at: datetime) -> None:
        self.folder = folder
        self._fake = FakePhone(folder, at, next(self._seeds))
        self.clock = self._fake.clock
        self.clock.wait(next(self._seeds) % 7)  # no two phones were started at the same moment
        self._connect()

    def _connect(self) -> None:
        self.sync_client = SyncClient(self.notebook, session_over(self.network))

    @property
    def notebook(self) -> Notebook:
        return self._fake.notebook

    @property
    def farm(self) -> str:
        return self.notebook.farm

    def pair(self, code: str) -> None:
        self.sync_client.pair(ADDRESS, code, self.name)

    def reopen(self) -> None:
        """The app was killed and is opened again."""
        self._fake.kill()
        self._connect()

    def wipe(self) -> None:
        """A phone of the same number, new in its box."""
        self._replace(self._new_folder())

    def backup(self, folder: Path) -> Path:
        """Copy its database and keys to a folder."""
        copy_sqlite(self.folder / FILE_NAME, folder / FILE_NAME)
        (folder / KEYS).mkdir(parents=True, exist_ok=True)
        if (self.folder / KEYS).exists():  # without keys it was restored itself
            shutil.copytree(self.folder / KEYS, folder / KEYS, dirs_exist_ok=True)
        return folder

    def restore(self, backup: Path, *, with_keys: bool) -> None:
        """Put a backup, of whichever phone, in place of what this one holds."""
        folder = self._new_folder()
        copy_sqlite(backup / FILE_NAME, folder / FILE_NAME)
        if with_keys:
            shutil.copytree(backup / KEYS, folder / KEYS)
        self._replace(folder)

    def _replace(self, folder: Path) -> None:
        self.notebook.close()
        at = self.clock.true
        self._open(folder, at)

    def rows(self, sql: str) -> list[dict[str, Any]]:
        return sqlite_rows(self.folder / FILE_NAME, sql)

    def logs(self) -> dict[str, HeldLog]:
        return logs_in(self.rows, self.farm)

    def own_logs(self) -> list[HeldLog]:
        own: Collection[str] = self.notebook.setting("own_devices")
        return [log for device, log in self.logs().items() if device in own]

    def unsigned_here(self) -> list[HeldLog]:
        """Own logs whose keys are not on this phone."""
        return [log for log in self.own_logs() if not (self.folder / KEYS / log.origin).exists()]

    def faults(self) -> list[str]:
        with reading(self.notebook.engine) as connection:
            return list(verify(connection, self.farm))

    def close(self) -> None:
        self.notebook.close()
