"""The scheduler syncs when woken, and retries by itself until it succeeds."""

import random
import threading
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
import requests

from mobile.sync.client import Progress, SyncClient
from mobile.sync.scheduler import SyncScheduler, SyncStatus
from shared_models.errors import CertificateChanged, ExpiredCode, OverLimit, Unreachable
from shared_models.sync.pairing_link import PairingLink
from tests.fixtures.network import ADDRESS, Deliver, answer, no_signal, session_over
from tests.journeys.support.farm_service import FarmService, FieldPhone

NOW = datetime(2026, 5, 14, 20, 0, tzinfo=UTC)


class NoPause(random.Random):
    """Draws no pause at all."""

    def uniform(self, _a: float, _b: float) -> float:
        return 0.0


class Listener:
    """Collects statuses from the sync thread; the test waits for the one it wants."""

    def __init__(self) -> None:
        self.statuses: list[SyncStatus] = []
        self._more = threading.Condition()

    def __call__(self, status: SyncStatus) -> None:
        with self._more:
            self.statuses.append(status)
            self._more.notify_all()

    def wait_for(self, wanted: Callable[[SyncStatus], object]) -> SyncStatus:
        with self._more:
            assert self._more.wait_for(lambda: any(map(wanted, self.statuses)), timeout=20), self.statuses
            return next(filter(wanted, self.statuses))


@pytest.fixture
def service(tmp_path: Path) -> FarmService:
    return FarmService(tmp_path / "service")


@pytest.fixture
def phone(service: FarmService, tmp_path: Path) -> FieldPhone:
    return FieldPhone.at(service, tmp_path / "phone", seed=1)


@pytest.fixture
def listener() -> Listener:
    return Listener()


@pytest.fixture
def scheduler(phone: FieldPhone, listener: Listener) -> Iterator[SyncScheduler]:
    def make_client(on_progress: Callable[[Progress], None]) -> SyncClient:
        return SyncClient(phone.phone.notebook, session_over(phone.network), on_progress=on_progress)

    scheduler = SyncScheduler(make_client, lambda: NOW, listener, NoPause())
    scheduler.start()
    yield scheduler
    scheduler.end()


def succeeded(status: SyncStatus) -> bool:
    return status.success == NOW and not status.under_way


def test_pairing_is_followed_by_a_sync(
    service: FarmService, phone: FieldPhone, scheduler: SyncScheduler, listener: Listener
) -> None:
    phone.add_beds(3)

    scheduler.pair(PairingLink((ADDRESS,), service.code()), "Field phone")
    listener.wait_for(succeeded)

    assert phone.phone.notebook.only_here == 0
    assert len(service.records()["bed"]) == 3
    assert listener.statuses[0].under_way
    assert any(status.progress and status.progress.sent for status in listener.statuses)


def test_a_wake_sends_what_is_new(
    service: FarmService, phone: FieldPhone, scheduler: SyncScheduler, listener: Listener
) -> None:
    phone.sync_client.pair(ADDRESS, service.code(), "Field phone")
    phone.add_beds(2)

    scheduler.wake()
    listener.wait_for(succeeded)

    assert len(service.records()["bed"]) == 2


def test_a_failed_sync_is_reported_and_retried(
    service: FarmService, phone: FieldPhone, scheduler: SyncScheduler, listener: Listener
) -> None:
    phone.sync_client.pair(ADDRESS, service.code(), "Field phone")
    phone.add_beds(2)
    phone.fail_with(no_signal, no_signal, no_signal)

    scheduler.wake()
    failed = listener.wait_for(lambda status: status.problem)
    listener.wait_for(succeeded)

    assert isinstance(failed.problem, Unreachable)
    assert scheduler.status.problem is None
    assert phone.phone.notebook.only_here == 0


def test_a_sync_that_met_another_certificate_is_retried(
    service: FarmService, phone: FieldPhone, scheduler: SyncScheduler, listener: Listener
) -> None:
    """Another device may have the service's address in this network; it may be gone when the phone is back."""

    def stranger(request: requests.PreparedRequest, _: Deliver) -> requests.Response:
        raise requests.exceptions.SSLError("Fingerprints did not match", request=request)

    phone.sync_client.pair(ADDRESS, service.code(), "Field phone")
    phone.add_beds(2)
    phone.fail_with(stranger)

    scheduler.wake()
    failed = listener.wait_for(lambda status: status.problem)
    listener.wait_for(succeeded)

    assert isinstance(failed.problem, CertificateChanged)
    assert phone.phone.notebook.only_here == 0


def test_a_mistake_of_the_app_is_reported_and_the_sync_goes_on(
    service: FarmService, phone: FieldPhone, scheduler: SyncScheduler, listener: Listener
) -> None:
    """The thread must not end: nobody would sync any more until the app is started again."""

    def mistake(_request: requests.PreparedRequest, _: Deliver) -> requests.Response:
        raise KeyError("farm")

    phone.sync_client.pair(ADDRESS, service.code(), "Field phone")
    phone.add_beds(2)
    phone.fail_with(mistake)

    scheduler.wake()
    failed = listener.wait_for(lambda status: status.problem)
    listener.wait_for(succeeded)

    assert isinstance(failed.problem, Unreachable)
    assert phone.phone.notebook.only_here == 0


def test_a_refusal_is_not_tried_again(phone: FieldPhone, scheduler: SyncScheduler, listener: Listener) -> None:
    scheduler.pair(PairingLink((ADDRESS,), "BCDF-GHJK"), "Field phone")

    refused = listener.wait_for(lambda status: status.problem)

    assert isinstance(refused.problem, ExpiredCode)
    assert phone.network.requests == 1


def test_an_unpaired_phone_has_nowhere_to_go(phone: FieldPhone, scheduler: SyncScheduler, listener: Listener) -> None:
    scheduler.wake()
    scheduler.end()

    assert (phone.network.requests, listener.statuses) == (0, [])


def test_the_last_success_is_remembered() -> None:
    scheduler = SyncScheduler(lambda _: pytest.fail("nobody started"), lambda: NOW, lambda _: None, NoPause(), NOW)

    assert scheduler.status == SyncStatus(success=NOW)
    scheduler.end()


def test_a_phone_that_reached_a_limit_waits_as_it_is_told_and_tries_again(
    service: FarmService, phone: FieldPhone, scheduler: SyncScheduler, listener: Listener
) -> None:
    def over_limit(request: requests.PreparedRequest, _: Deliver) -> requests.Response:
        headers = {"Content-Type": "application/problem+json", "Retry-After": "0"}
        return answer(429, b'{"code":"over-limit"}', headers, request)

    phone.sync_client.pair(ADDRESS, service.code(), "Field phone")
    phone.add_beds(2)
    phone.fail_with(over_limit)

    scheduler.wake()
    failed = listener.wait_for(lambda status: status.problem)
    listener.wait_for(succeeded)

    assert isinstance(failed.problem, OverLimit)
    assert failed.problem.wait_s == 0
    assert phone.phone.notebook.only_here == 0
