"""The app as it is started, and a day's entries synced with a real service by touches."""

import random
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from mobile.app import RowendApp, build_app
from mobile.device.deep_links.desk import DeskDeepLinks
from mobile.device.hardware import Hardware, choose_hardware
from mobile.log.notebook import Notebook
from mobile.main import main, phone_app
from mobile.sync.client import Progress, SyncClient
from mobile.sync.scheduler import SyncScheduler, SyncStatus
from shared_models.sync.pairing_link import PairingLink
from tests.fixtures.network import no_signal, session_over
from tests.journeys.support.farm_service import FarmService, FieldPhone
from tests.mobile.conftest import plan_bed
from tests.mobile.support.quiet_phone import hardware_of
from tests.screens.conftest import RunApp

PAIRED_WAIT_S = 20.0


def app_near(phone: FieldPhone, hardware: Hardware | None = None) -> Callable[[], RowendApp]:
    """The app with real syncs, on the phone's own piece of network."""

    def make_scheduler(notebook: Notebook, tell: Callable[[SyncStatus], None]) -> SyncScheduler:
        def make_client(on_progress: Callable[[Progress], None]) -> SyncClient:
            return SyncClient(notebook, session_over(phone.network), on_progress=on_progress)

        return SyncScheduler(make_client, lambda: datetime.now(UTC), tell, random.Random(1))

    return lambda: build_app(hardware or hardware_of(phone.phone), lambda: phone.phone.notebook, make_scheduler)


@pytest.fixture
def service(tmp_path: Path) -> FarmService:
    return FarmService(tmp_path / "service")


@pytest.fixture
def phone(service: FarmService, tmp_path: Path) -> FieldPhone:
    return FieldPhone.at(service, tmp_path / "phone", seed=1)


def test_pairing_by_touch_hands_the_day_over(run_app: RunApp, service: FarmService, phone: FieldPhone) -> None:
    crew = plan_bed(phone.phone)
    crew.notebook.start_row(crew.planting)
    crew.notebook.end_row(crew.planting)
    crew.wait(7200)
    probe = run_app(app_near(phone))
    probe.tap("Sync")
    alone = probe.shows("5 entries only on this phone · not paired")
    probe.tap("Pair this phone")
    for answer in ("barn.test", service.code(), "Ines"):
        probe.type(answer)
        probe.tap("Next")
    probe.tap("Pair")

    def all_synced() -> bool:
        return probe.shows("All synced · last synced")

    probe.wait_until(all_synced, "everything is synced", PAIRED_WAIT_S)
    assert alone
    assert len(service.records()["row_pass"]) == 1
    assert phone.phone.notebook.setting("last_sync") is not None


def test_without_a_network_it_says_so_and_taps_go_on(run_app: RunApp, service: FarmService, phone: FieldPhone) -> None:
    crew = plan_bed(phone.phone)
    phone.sync_client.pair("http://barn.test", service.code(), "Ines")
    phone.fail_with(*[no_signal] * 50)
    probe = run_app(app_near(phone))
    probe.wait_until(lambda: probe.shows("sync failed"), "the failure is shown", PAIRED_WAIT_S)

    probe.tap("North 1 · scallion")
    crew.wait(5)
    probe.tap("row_button")

    assert crew.state.open is not None


def test_a_link_opens_the_app_where_it_asks_before_it_pairs(
    run_app: RunApp, service: FarmService, phone: FieldPhone
) -> None:
    link = PairingLink(("http://barn.test",), service.code())
    hardware = replace(hardware_of(phone.phone), deep_links=DeskDeepLinks(str(link)))
    probe = run_app(app_near(phone, hardware))
    probe.wait_until(lambda: probe.shows("What is this phone called?"), "the link is followed")
    probe.settle()
    probe.type("Ines")
    probe.tap("Next")
    asked = probe.shows("barn.test"), phone.network.requests

    probe.tap("Pair")
    probe.wait_until(lambda: probe.shows("All synced · last synced"), "it is paired", PAIRED_WAIT_S)

    assert asked == (True, 0)
    assert probe.shows("Service: barn.test")


def test_a_bad_link_is_told(run_app: RunApp, phone: FieldPhone) -> None:
    hardware = replace(hardware_of(phone.phone), deep_links=DeskDeepLinks("rowend://pair?at=nowhere"))
    probe = run_app(app_near(phone, hardware))

    probe.wait_until(lambda: probe.shows("This cannot be used to pair"), "the link is refused")


def test_a_bundle_goes_from_phone_to_phone_by_touch(
    run_app: RunApp, service: FarmService, phone: FieldPhone, tmp_path: Path
) -> None:
    for each in (phone, other := FieldPhone.at(service, tmp_path / "other", seed=2)):
        each.sync_client.pair("http://barn.test", service.code(), "Ines")
        each.sync_client.sync()
        each.fail_with(*[no_signal] * 50)
    phone.add_beds(3)
    probe = run_app(app_near(phone))
    probe.tap("Sync")
    probe.tap("By file, without a network")
    probe.tap("Share a file")
    probe.wait_until(lambda: probe.shows("4 entries are in the file."), "the bundle is written")
    (file,) = (phone.folder / "bundles" / "shared").iterdir()
    carried = other.folder / "bundles" / file.name
    carried.parent.mkdir()
    file.rename(carried)

    probe = run_app(app_near(other))
    probe.tap("Sync")
    probe.tap("By file, without a network")
    probe.tap("Open a file from another phone")
    probe.wait_until(lambda: probe.shows("new entries added."), "the bundle is read in")

    assert len(other.records()["bed"]) == 3


def test_the_program_opens_with_its_real_parts(run_app: RunApp, tmp_path: Path) -> None:
    probe = run_app(lambda: phone_app(choose_hardware(), tmp_path / "data"))

    assert probe.shows("Nothing is planned. Add a planting under New.")
    assert (tmp_path / "data" / "rowend-phone.db").exists()


def test_the_program_says_how_it_is_called(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as left:
        main(["--help"])

    assert left.value.code == 0
    assert "rowend-phone [-h] [--data DATA] [--link LINK]" in capsys.readouterr().out
