"""The courier's rounds go in their own time: when nudged, and again by themselves until they come through."""

from __future__ import annotations

import random
import threading
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
import requests

from mobile.sync.client import Progress, SyncClient
from mobile.sync.scheduler import SyncScheduler, SyncStatus
from shared_models.errors import CertificateChanged, CodeSpent, Unreachable
from shared_models.sync.pairing_link import PairingLink
from tests.fixtures.network import ADDRESS, Deliver, no_signal, session_over
from tests.journeys.support.barn import Barn, FieldPhone

NOW = datetime(2026, 5, 14, 20, 0, tzinfo=UTC)


class Hurried(random.Random):
    """Draws no pause at all."""

    def uniform(self, _a: float, _b: float) -> float:
        return 0.0


class Ear:
    """Hears the news in the rounds' thread; the test waits for what it wants to hear."""

    def __init__(self) -> None:
        self.heard: list[SyncStatus] = []
        self._more = threading.Condition()

    def __call__(self, news: SyncStatus) -> None:
        with self._more:
            self.heard.append(news)
            self._more.notify_all()

    def wait_for(self, wanted: Callable[[SyncStatus], object]) -> SyncStatus:
        with self._more:
            assert self._more.wait_for(lambda: any(map(wanted, self.heard)), timeout=20), self.heard
            return next(filter(wanted, self.heard))


@pytest.fixture
def barn(tmp_path: Path) -> Barn:
    return Barn(tmp_path / "barn")


@pytest.fixture
def phone(barn: Barn, tmp_path: Path) -> FieldPhone:
    return FieldPhone.at(barn, tmp_path / "phone", seed=1)


@pytest.fixture
def ear() -> Ear:
    return Ear()


@pytest.fixture
def rounds(phone: FieldPhone, ear: Ear) -> Iterator[SyncScheduler]:
    def make_courier(on_progress: Callable[[Progress], None]) -> SyncClient:
        return SyncClient(phone.phone.notebook, session_over(phone.network), on_progress=on_progress)

    going = SyncScheduler(make_courier, lambda: NOW, ear, Hurried())
    going.start()
    yield going
    going.end()


def came_through(news: SyncStatus) -> bool:
    return news.success == NOW and not news.under_way


def test_pairing_is_followed_by_a_round(barn: Barn, phone: FieldPhone, rounds: SyncScheduler, ear: Ear) -> None:
    phone.add_beds(3)

    rounds.pair(PairingLink((ADDRESS,), barn.code()), "Field phone")
    ear.wait_for(came_through)

    assert phone.phone.notebook.only_here == 0
    assert len(barn.records()["bed"]) == 3
    assert ear.heard[0].under_way
    assert any(news.progress and news.progress.sent for news in ear.heard)


def test_a_nudge_hands_over_what_is_new(barn: Barn, phone: FieldPhone, rounds: SyncScheduler, ear: Ear) -> None:
    phone.sync_client.pair(ADDRESS, barn.code(), "Field phone")
    phone.add_beds(2)

    rounds.wake()
    ear.wait_for(came_through)

    assert len(barn.records()["bed"]) == 2


def test_a_round_that_fails_is_told_and_goes_again_by_itself(
    barn: Barn, phone: FieldPhone, rounds: SyncScheduler, ear: Ear
) -> None:
    phone.sync_client.pair(ADDRESS, barn.code(), "Field phone")
    phone.add_beds(2)
    phone.meets(no_signal, no_signal, no_signal)

    rounds.wake()
    failed = ear.wait_for(lambda news: news.problem)
    ear.wait_for(came_through)

    assert isinstance(failed.problem, Unreachable)
    assert rounds.news.problem is None
    assert phone.phone.notebook.only_here == 0


def test_a_round_that_met_another_certificate_goes_again_by_itself(
    barn: Barn, phone: FieldPhone, rounds: SyncScheduler, ear: Ear
) -> None:
    """Whoever has the service's address in this network may have gone when the phone is back at the barn."""

    def stranger(request: requests.PreparedRequest, _: Deliver) -> requests.Response:
        raise requests.exceptions.SSLError("Fingerprints did not match", request=request)

    phone.sync_client.pair(ADDRESS, barn.code(), "Field phone")
    phone.add_beds(2)
    phone.meets(stranger)

    rounds.wake()
    failed = ear.wait_for(lambda news: news.problem)
    ear.wait_for(came_through)

    assert isinstance(failed.problem, CertificateChanged)
    assert phone.phone.notebook.only_here == 0


def test_a_refusal_is_not_tried_again(phone: FieldPhone, rounds: SyncScheduler, ear: Ear) -> None:
    rounds.pair(PairingLink((ADDRESS,), "BCDF-GHJK"), "Field phone")

    refused = ear.wait_for(lambda news: news.problem)

    assert isinstance(refused.problem, CodeSpent)
    assert phone.network.requests == 1


def test_an_unpaired_phone_has_nowhere_to_go(phone: FieldPhone, rounds: SyncScheduler, ear: Ear) -> None:
    rounds.wake()
    rounds.end()

    assert (phone.network.requests, ear.heard) == (0, [])


def test_the_rounds_remember_when_they_last_came_through() -> None:
    rounds = SyncScheduler(lambda _: pytest.fail("nobody started"), lambda: NOW, lambda _: None, Hurried(), NOW)

    assert rounds.news == SyncStatus(success=NOW)
    rounds.end()
