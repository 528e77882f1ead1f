"""Everything in a history: phones, the office, the service on its database, and what is on its way between them."""

import random
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from starlette.testclient import TestClient

from server.app import create_app
from server.exports.backup.bundle import ingest_page
from server.farms.pairing import new_code
from server.farms.phones import remove_phone
from server.farms.registry import make_farm
from server.runtime.providers import milliseconds
from server.runtime.settings import Settings
from shared_models.errors import Refused, UnknownRecord, Unreachable, WrongSecret
from shared_models.log.store import reading, writing
from shared_models.log.verify import verify
from shared_models.sync.bundle import bundle_of, pages_in
from tests.journeys.proof.ledger import Broken, Ledger, contents_in
from tests.journeys.proof.oracle import Content, HeldLog, content_of, logs_in
from tests.journeys.proof.phone import ProofPhone
from tests.journeys.proof.stores import Database
from tests.server.support.service import ADDRESS, ZONE, FakeProviders

OFFICE = "office"
PHONES = 3


class World:
    """A farm with its service and phones, in a folder."""

    def __init__(self, home: Path, database: Database, phones: int = PHONES) -> None:
        self.home, self.database = home, database
        self.ledger = Ledger()
        self.fakes = FakeProviders()
        self.late: list[Callable[[], None]] = []
        self.bundles: list[bytes] = []
        #: backups of phones
        self.backups: list[Path] = []
        self.service_backups: list[int] = []
        self.phones: list[ProofPhone] = []
        self.removed_devices: set[str] = set()
        self._open_service()
        self.farm = make_farm(self.engine, "Heronbrook", ZONE, self.fakes.providers)
        self.look_at_office()
        for _ in range(phones):
            self.add_phone()

    # ------------------------------------------------------------------ the service

    def _open_service(self) -> None:
        app = create_app(Settings(self.database.url), self.fakes.providers)
        self.client = TestClient(app, base_url=ADDRESS, raise_server_exceptions=False)
        self.engine = app.state.engine
        for phone in self.phones:
            phone.network._client = self.client

    def reopen_service(self) -> None:
        """The service was killed and is started again."""
        self.engine.dispose()
        self._open_service()

    def backup_service(self) -> None:
        self.engine.dispose()
        self.service_backups.append(self.database.backup())

    def restore_service(self, copy: int) -> None:
        with self.destroying():
            self.engine.dispose()
            self.database.restore(copy)
            self._open_service()
        self.ledger.forget(OFFICE)
        self.look_at_office()

    def code(self) -> str:
        with writing(self.engine, self.farm) as connection:
            return new_code(connection, self.farm, self.fakes.providers)

    def service_logs(self) -> dict[str, HeldLog]:
        return logs_in(self.database.rows, self.farm)

    def office_devices(self) -> set[str]:
        """The devices that the service itself writes for."""
        return {row["id"] for row in self.database.rows("SELECT id FROM device WHERE kind <> 'phone'")}

    def look_at_office(self, *, new: bool = True) -> list[Content]:
        """Note what the office wrote."""
        ours = self.office_devices()
        logs = [log for log in self.service_logs().values() if log.device in ours]
        return self.ledger.take(OFFICE, logs, milliseconds(self.fakes.time), new=new)

    def take_bundle(self, bundle: bytes) -> None:
        """The service reads a bundle in."""
        for page in pages_in(bundle):
            ingest_page(self.engine, page, self.fakes.providers)
        self.look_at_office(new=False)

    def make_bundle(self) -> bytes:
        """The service writes a bundle."""
        with reading(self.engine) as connection:
            return b"".join(bundle_of(connection, self.farm, {}))

    def service_faults(self) -> list[str]:
        with reading(self.engine) as connection:
            return list(verify(connection, self.farm))

    # ------------------------------------------------------------------ the phones

    def add_phone(self) -> ProofPhone:
        phone = ProofPhone(len(self.phones) + 1, self.home, self.client, self.fakes.time, self.late)
        self.phones.append(phone)
        self.pair(phone)
        return phone

    def pair(self, phone: ProofPhone) -> None:
        """A person pairs the phone with a fresh code, by the office's good network."""
        trouble, phone.trouble.draw = phone.trouble.draw, None
        phone.pair(self.code())
        phone.trouble.draw = trouble
        self.look_at(phone, new=False)

    def look_at(self, phone: ProofPhone, *, new: bool) -> list[Content]:
        """Note what a phone wrote."""
        own = phone.own_logs()
        for log in phone.unsigned_here():  # these lines may be written once more
            self.ledger.copies.update(dict.fromkeys(contents_in([log]), 1))
        if phone.removed:  # its log may have branched
            self.mark_removed(phone)
        now_ms = milliseconds(self.fakes.time)
        return self.ledger.take(phone.name, own, now_ms, new=new, excused=phone.removed)

    def sync(self, phone: ProofPhone, draw: random.Random | None = None) -> None:
        """A sync over a bad network, or over a good one. A phone that the service does not know is paired again."""
        phone.trouble.draw = draw
        try:
            phone.sync_client.sync()
        except WrongSecret:
            if not phone.removed:
                self.pair(phone)
                if draw is None:
                    phone.sync_client.sync()
        except (Refused, Unreachable):
            if draw is None:
                raise
        finally:
            phone.trouble.draw = None
            self.look_at(phone, new=False)
            self.look_at_office(new=False)

    def remove(self, phone: ProofPhone) -> None:
        """The farm removes a phone, and with it its clones; what the service does not hold of theirs may never come."""
        device = (phone.notebook.setting("credentials") or {}).get("device", "")
        with suppress(UnknownRecord):  # the service may come from a backup that is older than the phone
            remove_phone(self.engine, self.farm, device, self.fakes.time)
        self.removed_devices.update(phone.notebook.setting("own_devices"))
        for each in self.phones:
            self.mark_removed(each)
        here = contents_in(self.service_logs().values())
        theirs = {content_of(text) for device in self.removed_devices for text in self.ledger.texts[device]}
        self.ledger.excused |= {content for content in theirs if not self.ledger.is_in(here, content)}
        self.ledger.excuse_all_but(self._held())

    def mark_removed(self, phone: ProofPhone) -> None:
        """A phone is removed when any of its logs is one of a phone that was removed."""
        phone.removed = not self.removed_devices.isdisjoint(phone.notebook.setting("own_devices"))
        self.removed_devices.update(phone.notebook.setting("own_devices") if phone.removed else ())

    # ------------------------------------------------------------------ what is held

    @contextmanager
    def destroying(self) -> Iterator[None]:
        """What is done in this block may destroy the only copy of an entry; such entries are excused.

        Raises:
            Broken: when an entry was lost before.
        """
        held = self._held()
        if lost := {content for content in self.ledger.due if not self.ledger.is_in(held, content)}:
            raise Broken(f"lost: {len(lost)} entries, such as {min(lost)} of {self.ledger.confirmed[min(lost)]}")
        yield
        self.ledger.excuse_all_but(self._held())

    def _held(self) -> Counter[Content]:
        held = contents_in(self.service_logs().values())
        for phone in self.honest():
            held += contents_in(phone.logs().values())
        return held

    def wait(self, seconds: float) -> None:
        self.fakes.wait(seconds=seconds)
        for phone in self.phones:
            phone.clock.wait(seconds)

    def honest(self) -> Iterator[ProofPhone]:
        """The phones that the farm did not remove."""
        return (phone for phone in self.phones if not phone.removed)

    def close(self) -> None:
        for phone in self.phones:
            with suppress(Exception):
                phone.close()
        self.engine.dispose()
        self.database.drop()
