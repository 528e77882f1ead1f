"""A service with fake time, ids and randomness, and phones that sync with it over the wire."""

from __future__ import annotations

import hashlib
import itertools
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

import httpx2
from argon2 import PasswordHasher
from fastapi import FastAPI
from sqlalchemy import URL, Engine
from sqlmodel import Session, select
from starlette.testclient import TestClient

from server.app import create_app
from server.auth import sessions
from server.auth.accounts import add_account
from server.auth.dependencies import OFFICE_COOKIE
from server.auth.one_time_links import new_invitation, new_owner_link, new_sign_in_link
from server.auth.passwords import Passwords
from server.auth.sign_in import SignIn
from server.farms.pairing import new_code
from server.farms.registry import make_farm
from server.runtime.address import note_address
from server.runtime.providers import Providers, milliseconds
from server.runtime.settings import Settings
from server.runtime.uvicorn_server import listen, serving
from shared_models.core import p256
from shared_models.core.vocabulary import Role
from shared_models.log import log
from shared_models.log.append import append
from shared_models.log.ingest import ingest
from shared_models.log.log import Holds
from shared_models.log.projection import RecordKey
from shared_models.log.store import open_store, reading, writing
from shared_models.log.verify import verify
from shared_models.records.tables import Bed
from shared_models.sync.wire import MEDIA_TYPE, Page, pack, unpack
from tests.shared_models.log.device import identity, new_device, public_key, sign_last_line

if TYPE_CHECKING:
    from playwright.sync_api import Page as Tab

ADDRESS = "http://barn.test"
ZONE = "America/New_York"
BROWSER = {"Accept": "text/html"}


@dataclass
class FakeProviders:
    """Time, ids and randomness of a service and its phones, set by the test."""

    time: datetime = datetime(2026, 5, 14, 12, 0, tzinfo=UTC)
    numbers: Iterator[int] = field(default_factory=lambda: itertools.count(1))
    #: seconds at each look at the clock that measures how long something takes
    seconds: Iterator[float] = field(default_factory=lambda: itertools.repeat(0.0))

    def wait(self, **times: float) -> None:
        self.time += timedelta(**times)

    def new_id(self) -> str:
        return f"00000000-0000-7000-8000-{next(self.numbers):012x}"

    def new_device(self) -> str:
        """The id of a device that can sign."""
        return new_device(next(self.numbers) + 1000)

    def token(self) -> bytes:
        return hashlib.sha256(str(next(self.numbers)).encode()).digest()

    @property
    def providers(self) -> Providers:
        return Providers(lambda: self.time, self.new_id, self.token, lambda: next(self.seconds))


@dataclass
class Service:
    """A running application, its database and a client."""

    app: FastAPI
    client: TestClient
    fakes: FakeProviders

    @property
    def engine(self) -> Engine:
        engine: Engine = self.app.state.engine
        return engine

    def make_farm(self, name: str = "Heronbrook") -> str:
        return make_farm(self.engine, name, ZONE, self.fakes.providers)

    def code(self, farm: str | None) -> str:
        with writing(self.engine, farm or "") as connection:
            return new_code(connection, farm, self.fakes.providers)

    def account(self, farm: str, role: Role = Role.OWNER, name: str = "", password: str | None = None) -> str:
        """Add an account and return its id. Its sign-in name is its name in small letters."""
        name = name or f"{role.value} {next(self.fakes.numbers)}".replace(" ", "-")
        hashed = None if password is None else self.app.state.sign_in.passwords.hash(password)
        with writing(self.engine, farm) as connection:
            return add_account(connection, farm, role, name, name, hashed, self.fakes.providers)

    def office_cookie(self, farm: str, role: Role = Role.OWNER, account: str | None = None) -> str:
        """The cookie of a new session in the farm's office."""
        who = account or self.account(farm, role)
        with writing(self.engine, farm) as connection:
            session = sessions.start(connection, who, self.fakes.token(), self.fakes.time)
        cookie: str = self.app.state.signer.cookie(session)
        return cookie

    def open_office(self, farm: str, role: Role = Role.OWNER, account: str | None = None) -> None:
        self.client.cookies.set(OFFICE_COOKIE, self.office_cookie(farm, role, account))

    def form_token(self) -> str:
        session = self.app.state.signer.session(self.client.cookies[OFFICE_COOKIE])
        token: str = self.app.state.signer.form_token(session)
        return token

    def send_form(self, path: str, **fields: str) -> httpx2.Response:
        """Send a form of the office as its page would, without following redirects."""
        data = {"form_token": self.form_token()} | fields
        return self.client.post(path, data=data, headers=BROWSER, follow_redirects=False)

    @contextmanager
    def served_to(self, tab: Tab, farm: str | None = None, role: Role = Role.OWNER) -> Iterator[str]:
        """Serve until the block ends, to a browser signed in to this farm's office; returns the address."""
        with listen("127.0.0.1", 0) as listening, serving(self.app, listening):
            address = f"http://127.0.0.1:{listening.getsockname()[1]}"
            note_address(self.engine, address)
            if farm:
                cookie = self.office_cookie(farm, role)
                tab.context.add_cookies([{"name": OFFICE_COOKIE, "value": cookie, "url": address}])
            yield address

    def link(self, farm: str, role: Role | None = None, account: str | None = None, made_by: str = "") -> str:
        """The path of a one-time link: for the first owner, for a role, or to sign an account in."""
        with writing(self.engine, farm) as connection:
            if account:
                key = new_sign_in_link(connection, farm, account, self.fakes.providers)
            elif role:
                key = new_invitation(connection, farm, role, made_by, self.fakes.providers)
            else:
                key = new_owner_link(connection, farm, self.fakes.providers)
        return f"/enter/{key}"

    def pair(self, **body: Any) -> httpx2.Response:
        """Ask to be paired, by default as a new device."""
        device = body.get("device") or self.fakes.new_device()
        return self.client.post("/v1/pair", json=identity(device, body.get("code", "")) | body)

    def phone(self, farm: str, name: str = "Field phone") -> Phone:
        phone = Phone(farm, self.fakes)
        phone.pair(self, self.code(farm), name)
        return phone

    def beds(self, farm: str) -> dict[str, str]:
        return beds_in(self.engine, farm)

    def holds(self, farm: str) -> Holds:
        with reading(self.engine) as connection:
            return log.holds(connection, farm)

    def faults(self, farm: str) -> list[str]:
        with reading(self.engine) as connection:
            return list(verify(connection, farm))


@contextmanager
def running_service(database_url: str | URL, fakes: FakeProviders) -> Iterator[Service]:
    """Run a service until the block ends. Hashes are fast; `test_passwords` covers the real parameters."""
    app = create_app(Settings(database_url), fakes.providers)
    fast = Passwords(PasswordHasher(time_cost=1, memory_cost=8, parallelism=1))
    app.state.sign_in = SignIn(app.state.engine, fakes.providers, fast)
    with TestClient(app, base_url=ADDRESS, raise_server_exceptions=False) as client:
        yield Service(app, client, fakes)


class Phone:
    """A phone's log and credentials, with the simplest possible sync."""

    def __init__(self, farm: str, fakes: FakeProviders) -> None:
        self.farm, self.fakes = farm, fakes
        self.device = fakes.new_device()
        self.engine = open_store("sqlite://")
        self.bearer = ""

    def pair(self, service: Service, code: str, name: str = "Field phone") -> None:
        answer = service.pair(code=code, device=self.device, name=name, farm=self.farm)
        assert answer.status_code == 200, answer.text
        self.bearer = f"{self.device}.{answer.json()['secret']}"

    def write(self, kind: str, record: str | None = None, **fields: Any) -> str:
        """Append a line to this phone's log; returns the id of the record."""
        key = RecordKey(kind, record or self.fakes.new_id())
        with writing(self.engine, self.farm) as connection:
            log.get_or_create(connection, self.farm, self.device, key=public_key(self.device))
            append(connection, self.farm, self.device, milliseconds(self.fakes.time), key, fields, None)
            sign_last_line(connection, self.device)
        return key.id

    def add_bed(self, name: str) -> str:
        return self.write("bed", name=name, length_mm=30_480, rows=4)

    @property
    def holds(self) -> Holds:
        with reading(self.engine) as connection:
            return log.holds(connection, self.farm)

    @property
    def beds(self) -> dict[str, str]:
        return beds_in(self.engine, self.farm)

    def page(self, theirs: Holds, max_bytes: int = 1_000_000) -> Page:
        """What this phone would send to a service that holds `theirs`."""
        with reading(self.engine) as connection:
            mine = log.holds(connection, self.farm)
            return Page(self.farm, mine, log.lacking(connection, self.farm, theirs, max_bytes))

    def send(self, service: Service, body: bytes, **query: Any) -> httpx2.Response:
        headers = {"Authorization": f"Bearer {self.bearer}", "Content-Type": MEDIA_TYPE}
        return service.client.post("/v1/sync", content=body, headers=headers, params=query)

    def exchange(self, service: Service, page: Page, **query: Any) -> Page:
        answer = self.send(service, pack(page), **query)
        assert answer.status_code == 200, answer.text
        assert answer.headers["content-type"] == MEDIA_TYPE
        reply = unpack(answer.content)
        self.ingest(reply)
        return reply

    def ingest(self, page: Page) -> None:
        with writing(self.engine, self.farm) as connection:
            assert not ingest(connection, self.farm, page.runs, p256.verify).refused

    def sync(self, service: Service) -> Page:
        """Ask what the service holds, then send what it lacks, until both hold the same."""
        page = self.exchange(service, Page(self.farm, self.holds))
        while page.holds != self.holds:
            page = self.exchange(service, self.page(page.holds))
        return page


def beds_in(engine: Engine, farm: str) -> dict[str, str]:
    with reading(engine) as connection, Session(connection) as session:
        return {bed.id: bed.name for bed in session.exec(select(Bed).where(Bed.farm_id == farm))}
