"""A service with its own certificate, over real connections: paired by link, and never mistaken for another."""

import json
import socket
import ssl
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

import pytest
import requests

from mobile.demo.fake_phone import FakePhone
from mobile.sync.client import SyncClient
from server.farms.qr import pairing_link
from server.runtime.address import note_address
from server.runtime.certificate import Certificate, certificate_in
from server.runtime.uvicorn_server import listen, serving
from shared_models.errors import CertificateChanged, OtherFarm, Unreachable
from shared_models.log.store import reading
from shared_models.sync.pairing_link import PairingLink, read_link
from tests.fixtures.network import ADDRESS, Deliver, Network, answer, session_over
from tests.journeys.support.farm_service import MORNING, FarmService

HOST = "127.0.0.1"


@dataclass
class FakeDiscovery:
    """Discovery that finds the given addresses."""

    addresses: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)

    def with_certificate(self, pin: str) -> Iterator[str]:
        self.asked.append(pin)
        yield from self.addresses


@dataclass
class Listener:
    """A stranger with another certificate: counts connections and records what is sent."""

    certificate: Certificate
    heard: bytes = b""
    calls: int = 0

    @contextmanager
    def at(self, port: int = 0) -> Iterator[str]:
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        context.load_cert_chain(self.certificate.file)
        with listen(HOST, port) as listening:
            listening.settimeout(0.05)
            ended = threading.Event()
            thread = threading.Thread(target=self._serve, args=(listening, context, ended))
            thread.start()
            try:
                yield f"https://{HOST}:{listening.getsockname()[1]}"
            finally:
                ended.set()
                thread.join()

    def _serve(self, listening: socket.socket, context: ssl.SSLContext, ended: threading.Event) -> None:
        while not ended.is_set():
            try:
                caller, _ = listening.accept()
            except TimeoutError:
                continue
            self.calls += 1
            caller.settimeout(5)
            try:
                with context.wrap_socket(caller, server_side=True) as line:
                    self.heard += line.recv(1024)
            except OSError:  # the caller hung up, as it should
                caller.close()


@dataclass
class TlsService:
    """A service with TLS, and its pairing link."""

    service: FarmService
    certificate: Certificate

    @contextmanager
    def at(self, port: int = 0) -> Iterator[str]:
        with listen(HOST, port) as listening, serving(self.service.app, listening, self.certificate.file):
            address = f"https://{HOST}:{listening.getsockname()[1]}"
            note_address(self.service.engine, address, self.certificate.pin)
            yield address

    def link(self) -> PairingLink:
        code = self.service.code()
        with reading(self.service.engine) as connection:
            return read_link(pairing_link(connection, code))


def certificate(folder: Path) -> Certificate:
    folder.mkdir(exist_ok=True)
    return certificate_in(folder, datetime.now(UTC))


@pytest.fixture
def tls(tmp_path: Path) -> Iterator[TlsService]:
    made = TlsService(FarmService(tmp_path / "barn"), certificate(tmp_path / "barn"))
    yield made
    made.service.engine.dispose()


@pytest.fixture
def stranger(tmp_path: Path) -> Listener:
    return Listener(certificate(tmp_path / "stranger"))


@dataclass
class RealPhone:
    """A phone with a sync client on the real network."""

    fake: FakePhone
    discovery: FakeDiscovery
    session: requests.Session
    sync_client: SyncClient

    def bed(self, name: str) -> None:
        self.fake.notebook.add("bed", name=name, length_mm=30_480, rows=4)


@pytest.fixture
def phone(tmp_path: Path) -> Iterator[RealPhone]:
    phone, discovery = FakePhone(tmp_path / "phone", MORNING), FakeDiscovery()
    with requests.Session() as session:
        session.headers["Connection"] = "close"  # the service ends before the phone does
        yield RealPhone(phone, discovery, session, SyncClient(phone.notebook, session, discovery=discovery))
    phone.notebook.close()


def test_a_phone_pairs_by_the_link_and_syncs_over_tls(tls: TlsService, phone: RealPhone) -> None:
    phone.bed("North 1")
    with tls.at() as address:
        phone.sync_client.pair_by(tls.link(), "Ines")
        phone.sync_client.sync()

    assert len(tls.service.records()["bed"]) == 1
    assert phone.fake.notebook.only_here == 0
    assert phone.fake.notebook.setting("server") == address
    assert phone.fake.notebook.setting("pin") == tls.certificate.pin
    assert phone.discovery.asked == []


def test_a_service_with_another_certificate_hears_no_code(
    tls: TlsService, stranger: Listener, phone: RealPhone
) -> None:
    """The pin is compared before anything is sent: the stranger's line stays silent."""
    with tls.at():
        link = tls.link()
    with stranger.at() as address, pytest.raises(CertificateChanged, match="Nothing was sent"):
        phone.sync_client.pair_by(PairingLink((address,), link.code, link.pin), "Ines")

    assert (stranger.calls, stranger.heard) == (1, b"")
    assert not phone.sync_client.paired


def test_a_paired_phone_gives_its_log_to_no_other_farm(tmp_path: Path, tls: TlsService, phone: RealPhone) -> None:
    """Not even when a service, against the rules, says yes to it."""
    with tls.at():
        phone.sync_client.pair_by(tls.link(), "Ines")

    def says_yes(request: requests.PreparedRequest, _: Deliver) -> requests.Response:
        body = {"farm": phone.fake.notebook.new_id(), "device": phone.fake.notebook.device, "secret": "s"}
        return answer(200, json.dumps(body).encode(), {"Content-Type": "application/json"}, request)

    network = Network(FarmService(tmp_path / "other").client, iter([says_yes]))
    with pytest.raises(OtherFarm):
        SyncClient(phone.fake.notebook, session_over(network)).pair(ADDRESS, "BCDFGHJK", "Ines")

    assert phone.fake.notebook.farm == tls.service.farm
    assert phone.fake.notebook.setting("pin") == tls.certificate.pin


def test_a_service_that_was_replaced_hears_no_entry_and_no_secret(
    tls: TlsService, stranger: Listener, phone: RealPhone
) -> None:
    with tls.at() as address:
        phone.sync_client.pair_by(tls.link(), "Ines")
    phone.bed("North 1")

    with stranger.at(int(address.rpartition(":")[2])), pytest.raises(CertificateChanged):
        phone.sync_client.sync()

    assert stranger.calls >= 1
    assert stranger.heard == b""
    assert phone.fake.notebook.only_here > 0


def test_a_service_whose_address_changed_is_found_by_its_certificate(tls: TlsService, phone: RealPhone) -> None:
    with tls.at():
        phone.sync_client.pair_by(tls.link(), "Ines")
    phone.bed("North 1")
    with tls.at() as moved:
        phone.discovery.addresses = [moved]
        phone.sync_client.sync()
        phone.discovery.addresses = []
        phone.bed("North 2")
        phone.sync_client.sync()

    assert phone.fake.notebook.only_here == 0
    assert len(tls.service.records()["bed"]) == 2
    assert phone.discovery.asked == [tls.certificate.pin]  # where it was found is remembered, while the app runs
    assert phone.fake.notebook.setting("server") != moved  # and no longer


def test_a_neighbour_who_only_says_it_is_the_service_hears_nothing(
    tls: TlsService, stranger: Listener, phone: RealPhone
) -> None:
    """The real one is found behind it all the same."""
    with tls.at():
        phone.sync_client.pair_by(tls.link(), "Ines")
    phone.bed("North 1")
    with stranger.at() as false, tls.at() as moved:
        phone.discovery.addresses = [false, moved.replace("https", "http"), moved]
        phone.sync_client.sync()

    assert (stranger.calls, stranger.heard) == (1, b"")
    assert phone.fake.notebook.only_here == 0


def test_nobody_to_be_found_leaves_the_first_problem(tls: TlsService, phone: RealPhone) -> None:
    with tls.at():
        phone.sync_client.pair_by(tls.link(), "Ines")

    with pytest.raises(Unreachable, match="cannot be reached"):
        phone.sync_client.sync()

    assert phone.discovery.asked == [tls.certificate.pin]


def test_a_service_without_a_certificate_is_not_looked_for(phone: RealPhone) -> None:
    """It could not prove to be the one."""
    phone.fake.notebook.change_settings(server="http://127.0.0.1:9", credentials={"device": "x", "secret": "y"})

    with pytest.raises(Unreachable):
        phone.sync_client.sync()

    assert phone.discovery.asked == []


def test_a_pin_is_never_given_up_for_plain_http(phone: RealPhone) -> None:
    phone.fake.notebook.change_settings(
        server="http://127.0.0.1:9", pin="9f" * 32, credentials={"device": "x", "secret": "y"}
    )

    with pytest.raises(CertificateChanged):
        phone.sync_client.sync()


def test_an_address_typed_without_the_link_does_not_pair_over_tls(tls: TlsService, phone: RealPhone) -> None:
    """Nobody signed the certificate, and nobody named it to this phone."""
    with tls.at() as address, pytest.raises(Unreachable, match="pair by the office's link"):
        phone.sync_client.pair(address, tls.service.code(), "Ines")


def test_of_several_addresses_the_first_that_answers_is_kept(tls: TlsService, phone: RealPhone) -> None:
    with tls.at() as address:
        link = tls.link()
        phone.sync_client.pair_by(PairingLink(("https://127.0.0.1:9", address), link.code, link.pin), "Ines")

    assert phone.fake.notebook.setting("server") == address


def test_who_pairs_anew_without_a_pin_is_not_held_to_the_old_one(tls: TlsService, phone: RealPhone) -> None:
    """Else a service that got a certificate which everybody trusts would be shut out for ever."""
    with tls.at() as address:
        phone.sync_client.pair_by(tls.link(), "Ines")
        assert phone.session.get_adapter(address + "/").pin == tls.certificate.pin  # type: ignore[attr-defined]
        with pytest.raises(Unreachable, match="link"):
            phone.sync_client.pair(address, tls.service.code(), "Ines")


def test_no_proxy_and_no_other_authority_stands_in_between(
    tls: TlsService, phone: RealPhone, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("HTTPS_PROXY", "https_proxy", "ALL_PROXY"):
        monkeypatch.setenv(name, "http://127.0.0.1:9")
    monkeypatch.delenv("NO_PROXY", raising=False)
    monkeypatch.delenv("no_proxy", raising=False)
    monkeypatch.setenv("REQUESTS_CA_BUNDLE", str(tls.certificate.file.with_name("no-such-file")))
    with tls.at():
        phone.sync_client.pair_by(tls.link(), "Ines")
        phone.sync_client.sync()

    assert phone.fake.notebook.only_here == 0
