"""A fake phone for the scripted day and the tests: its clocks are set by hand, and it can be killed."""

import random
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

from mobile.log.notebook import Notebook
from shared_models.core.keystore import KeyStore
from shared_models.core.moments import Moment


class FakeClock:
    """A wall clock that can be set wrong, and a boot clock that cannot."""

    def __init__(self, at: datetime) -> None:
        self._true = at.astimezone(UTC)
        self._booted = self._true - timedelta(minutes=3)
        self._wrong_by = timedelta()
        self._boots = 1

    @property
    def true(self) -> datetime:
        return self._true

    def wait(self, seconds: float) -> None:
        self._true += timedelta(seconds=seconds)

    def wait_until(self, at: datetime) -> None:
        self._true = max(self._true, at.astimezone(UTC))

    def set_wrong_by(self, offset: timedelta) -> None:
        """Set the wall clock off by `offset`; zero sets it right."""
        self._wrong_by = offset

    def reboot(self) -> None:
        self._booted = self._true
        self._boots += 1

    def __call__(self) -> Moment:
        since_boot = round((self._true - self._booted) / timedelta(milliseconds=1))
        return Moment(self._true + self._wrong_by, f"boot-{self._boots}-{self._booted:%Y%m%dT%H%M%S}", since_boot)


class FakePhone:
    """A notebook with fake clocks and reproducible ids."""

    def __init__(
        self, folder: Path, at: datetime, seed: int = 1, open_keystore: Callable[[Path], KeyStore] | None = None
    ) -> None:
        self.clock = FakeClock(at)
        self._open_keystore = open_keystore or self._desk_keystore
        self.draw = random.Random(seed)  # noqa: S311 - reproducible on purpose
        self._folder = folder
        self.notebook = self._open()

    def _open(self) -> Notebook:
        keystore = self._open_keystore(self._folder)
        return Notebook(self._folder, now=self.clock, random_bits=lambda: self.draw.getrandbits(80), keystore=keystore)

    def _desk_keystore(self, folder: Path) -> KeyStore:
        from mobile.device.keystore.desk import DeskKeyStore  # noqa: PLC0415 - a phone does not have what it imports

        return DeskKeyStore(folder, lambda: self.draw.randbytes(32))

    def kill(self) -> None:
        """Kill the app and open it again."""
        self.move_to(self._folder)

    def move_to(self, folder: Path) -> None:
        """Open the app again, on the notebook in `folder`."""
        self.notebook.close()
        self._folder = folder
        self.notebook = self._open()
