"""A phone in a process of its own, which writes and syncs against the database as one of many services would.

    python -m tests.journeys.support.busy_phone DATABASE_URL CREDENTIALS FARM BED ENTRIES KEY

Every second entry renames BED, as other phones do at the same time; the others are beds of its own.
"""

import sys
from dataclasses import dataclass

from sqlalchemy import Engine

from server.db.database import open_database
from server.farms.devices import authenticate
from server.farms.exchange import exchange
from server.runtime.providers import real_providers
from shared_models.core import p256
from shared_models.log import log
from shared_models.log.append import append
from shared_models.log.ingest import ingest
from shared_models.log.log import Holds
from shared_models.log.projection import RecordKey
from shared_models.log.store import open_store, reading, writing
from shared_models.sync.wire import Page, pack, unpack
from tests.shared_models.log.device import PRIVATE_KEYS, public_key, sign_last_line


@dataclass
class BusyPhone:
    """A phone's log, and the service's database in place of the network."""

    service: Engine
    credentials: str
    farm: str

    def __post_init__(self) -> None:
        self.own = open_store("sqlite://")
        with reading(self.service) as connection:
            self.known = authenticate(connection, self.credentials)

    def name_bed(self, name: str, bed: str | None) -> None:
        around = real_providers()
        fields = {"name": name, "length_mm": 30_480, "rows": 4}
        with writing(self.own, self.farm) as connection:
            now_ms = round(around.now().timestamp() * 1000)
            key = RecordKey("bed", bed or around.new_id())
            log.get_or_create(connection, self.farm, self.known.id, key=public_key(self.known.id))
            append(connection, self.farm, self.known.id, now_ms, key, fields, None)
            sign_last_line(connection, self.known.id)

    def sync(self, theirs: Holds) -> Page:
        """One exchange; what comes back must fit what is held, or the reader has been shown a hole."""
        with reading(self.own) as connection:
            mine = log.holds(connection, self.farm)
            page = Page(self.farm, mine, log.lacking(connection, self.farm, theirs, 20_000))
        answer = exchange(self.service, self.known, unpack(pack(page)), real_providers(), page_bytes=20_000)
        with writing(self.own, self.farm) as connection:
            outcome = ingest(connection, self.farm, answer.runs, p256.verify)
        assert not answer.refused, answer.refused
        assert not outcome.refused, outcome.refused
        return answer


def main(database_url: str, credentials: str, farm: str, bed: str, entries: str, private_key: str) -> None:
    """Make entries one by one and sync after each."""
    device, _, _ = credentials.partition(".")
    PRIVATE_KEYS[device] = bytes.fromhex(private_key)
    phone = BusyPhone(open_database(database_url), credentials, farm)
    theirs: Holds = {}
    for number in range(int(entries)):
        phone.name_bed(f"{phone.known.name} {number}", bed if number % 2 else None)
        theirs = phone.sync(theirs).holds


if __name__ == "__main__":
    main(*sys.argv[1:])
