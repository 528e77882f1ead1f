"""Where there is no network at all, a file carries a phone's log to the office and to other phones."""

import io
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from sqlalchemy import Connection

from mobile.demo.fake_phone import FakePhone
from mobile.device.sharing.protocol import Opened
from mobile.sync.bundles import Bundles, BundleStatus, write_bundle
from mobile.sync.client import FIRST_PAGE_BYTES
from server.cli import main as cli
from shared_models.errors import BadBody, OtherFarm, StorageError, TooLarge, WrongMoment
from shared_models.log.log import holds
from shared_models.log.store import reading
from shared_models.sync.bundle import BUNDLE_PAGE_BYTES, bundle_of, pages_in
from tests.fixtures.network import ADDRESS
from tests.journeys.support.farm_service import MORNING, FarmService, FieldPhone


@dataclass
class FakeSharing:
    """Records what was shared, and offers a file to choose."""

    has_picker = True
    shared: list[Path] = field(default_factory=list)
    next: bytes | None = None

    def share(self, file: Path) -> str:
        self.shared.append(file)
        return f"the table, as {file.name}"

    def choose(self, folder: Path, tell: Callable[[Opened | None], None]) -> None:
        assert folder.is_dir()
        content = self.next
        tell(None if content is None else lambda: io.BytesIO(content))


class BrokenSharing(FakeSharing):
    """A memory card that was pulled out."""

    def share(self, file: Path) -> str:
        raise RuntimeError(f"a Java exception for {file}")

    def choose(self, folder: Path, tell: Callable[[Opened | None], None]) -> None:
        tell(lambda: (folder / "gone").open("rb"))


def run_now(step: Callable[[], None]) -> None:
    step()


@dataclass
class PhoneBundles:
    """A phone's bundles, run without threads."""

    phone: FakePhone
    sharing: FakeSharing = field(default_factory=FakeSharing)
    tuned: int = 0

    def __post_init__(self) -> None:
        self.bundles = Bundles(self.phone.notebook, self.sharing, run_now, self._tune, run_now)

    def _tune(self) -> None:
        self.tuned += 1

    def shared(self) -> bytes:
        self.bundles.share()
        assert self.bundles.status.problem is None
        return self.sharing.shared[-1].read_bytes()

    def reads(self, content: bytes | None) -> BundleStatus:
        self.sharing.next = content
        self.bundles.choose()
        return self.bundles.status


@pytest.fixture
def service(tmp_path: Path) -> FarmService:
    return FarmService(tmp_path / "service")


@pytest.fixture
def phone(service: FarmService, tmp_path: Path) -> FieldPhone:
    return FieldPhone.paired(service, tmp_path / "phone", seed=1)


@pytest.fixture
def other(service: FarmService, tmp_path: Path) -> FieldPhone:
    return FieldPhone.paired(service, tmp_path / "other", seed=2)


def test_a_phones_bundle_is_read_in_by_the_service(service: FarmService, phone: FieldPhone, tmp_path: Path) -> None:
    phone.add_beds(3)
    table = PhoneBundles(phone.phone)
    (tmp_path / "card").write_bytes(table.shared())

    assert cli.run(["take-in", str(tmp_path / "card"), "--data", str(service.folder)]) == 0

    assert service.records() == phone.records()
    assert service.faults() == []
    assert table.bundles.status.entries == 3 + 1  # and what the office said of the farm
    assert table.bundles.status.shared == f"the table, as {table.sharing.shared[0].name}"
    assert table.sharing.shared[0].name == "Phone-1-2026-05-14-1100.bundle"


def test_a_phones_bundle_is_read_in_by_another_phone(phone: FieldPhone, other: FieldPhone) -> None:
    phone.add_beds(3)
    other.add_beds(1, "South")
    table = PhoneBundles(other.phone)

    status = table.reads(PhoneBundles(phone.phone).shared())
    again = table.reads(PhoneBundles(phone.phone).shared())

    assert status.imported is not None
    assert status.imported.new == 3
    assert again.imported is not None
    assert again.imported.new == 0
    assert len(other.records()["bed"]) == 4
    assert other.faults() == []
    assert table.tuned == 2


def test_what_came_by_file_is_handed_on_to_the_service(
    service: FarmService, phone: FieldPhone, other: FieldPhone
) -> None:
    """The phone that made it may never come back to the service."""
    phone.add_beds(2)
    PhoneBundles(other.phone).reads(PhoneBundles(phone.phone).shared())

    other.sync_client.sync()

    assert len(service.records()["bed"]) == 2


def test_the_services_bundle_is_read_in_by_a_phone(service: FarmService, phone: FieldPhone) -> None:
    service.edit("bed", phone.phone.notebook.new_id(), name="West", length_mm=9_000, rows=2)
    with reading(service.engine) as connection:
        bundle = b"".join(bundle_of(connection, service.farm, {}))

    status = PhoneBundles(phone.phone).reads(bundle)

    assert status.imported is not None
    assert status.imported.new == 1
    assert phone.records() == service.records()


@pytest.mark.parametrize("kept", [0.25, 0.5, 0.99])
def test_a_bundle_cut_in_the_middle_is_refused_whole(phone: FieldPhone, other: FieldPhone, kept: float) -> None:
    phone.add_beds(40)
    with reading(phone.phone.notebook.engine) as connection:
        bundle = b"".join(bundle_of(connection, phone.phone.notebook.farm, {}, page_bytes=800))

    status = PhoneBundles(other.phone).reads(bundle[: int(len(bundle) * kept)])

    assert isinstance(status.problem, BadBody)
    assert other.records()["bed"] == []


@pytest.mark.parametrize("content", [b"", b"A letter to Ines", b"\x1f\x8b\x08\x00 and so on"])
def test_another_file_is_no_bundle(phone: FieldPhone, content: bytes) -> None:
    before = phone.records()

    status = PhoneBundles(phone.phone).reads(content)

    assert isinstance(status.problem, BadBody)
    assert phone.records() == before


def test_a_file_of_a_size_that_no_farm_has_is_not_read(phone: FieldPhone, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("mobile.sync.bundles.MOST_BYTES", 100)

    assert isinstance(PhoneBundles(phone.phone).reads(b"x" * 101).problem, TooLarge)


def test_a_bundle_of_another_farm_is_refused_by_a_paired_phone(phone: FieldPhone, tmp_path: Path) -> None:
    stranger = FakePhone(tmp_path / "stranger", MORNING, seed=9)
    stranger.notebook.add("bed", name="Theirs", length_mm=30_480, rows=4)

    status = PhoneBundles(phone.phone).reads(PhoneBundles(stranger).shared())

    assert isinstance(status.problem, OtherFarm)
    assert phone.records()["bed"] == []
    assert phone.phone.notebook.farm != stranger.notebook.farm


def test_a_phone_of_no_farm_yet_may_join_by_file(service: FarmService, phone: FieldPhone, tmp_path: Path) -> None:
    """It asks first; its own entries go with it; and only that farm's service can pair it later."""
    phone.add_beds(2)
    fresh = FieldPhone.at(service, tmp_path / "fresh", seed=3)
    fresh.add_beds(1, "Mine")
    table = PhoneBundles(fresh.phone)

    asked = table.reads(PhoneBundles(phone.phone).shared())
    farm_before = fresh.phone.notebook.farm
    table.bundles.join()

    assert asked.other_farm
    assert asked.imported is None
    assert farm_before != service.farm
    assert fresh.phone.notebook.farm == service.farm
    assert len(fresh.records()["bed"]) == 3
    elsewhere = FarmService(tmp_path / "elsewhere")
    fresh.reopen(elsewhere)
    with pytest.raises(OtherFarm):
        fresh.sync_client.pair(ADDRESS, elsewhere.code(), "Fresh")
    fresh.reopen(service)
    fresh.sync_client.pair(ADDRESS, service.code(), "Fresh")
    fresh.sync_client.sync()
    assert len(service.records()["bed"]) == 3


def test_whoever_does_not_want_to_join_leaves_the_bundle(
    service: FarmService, phone: FieldPhone, tmp_path: Path
) -> None:
    fresh = FieldPhone.at(service, tmp_path / "fresh", seed=3)
    table = PhoneBundles(fresh.phone)
    table.reads(PhoneBundles(phone.phone).shared())

    table.bundles.leave()
    table.bundles.join()

    assert fresh.phone.notebook.farm != service.farm
    assert isinstance(table.bundles.status.problem, BadBody)


def test_of_a_log_that_parted_nothing_is_taken_and_the_others_are(
    service: FarmService, phone: FieldPhone, other: FieldPhone, tmp_path: Path
) -> None:
    clone = phone.cloned(service, tmp_path / "clone")
    phone.add_beds(1, "First")
    clone.add_beds(2, "Clone")
    other.add_beds(1, "South")
    PhoneBundles(clone.phone).reads(PhoneBundles(other.phone).shared())

    status = PhoneBundles(phone.phone).reads(PhoneBundles(clone.phone).shared())

    assert status.imported is not None
    assert (status.imported.new, status.imported.refused) == (1, {phone.phone.notebook.device})
    assert len(phone.records()["bed"]) == 2
    assert phone.faults() == []


def test_a_bundle_made_for_somebody_who_holds_more_says_so(phone: FieldPhone, other: FieldPhone) -> None:
    phone.add_beds(2)
    phone.phone.notebook.sign()
    with reading(phone.phone.notebook.engine) as connection:
        farm = phone.phone.notebook.farm
        whole = next(pages_in(b"".join(bundle_of(connection, farm, {}))))
        own = next(run for run in whole.runs if run.device == phone.phone.notebook.device)
        held = holds(connection, farm)
        phone.add_beds(1, "Later")
    phone.phone.notebook.sign()
    with reading(phone.phone.notebook.engine) as connection:
        rest = b"".join(bundle_of(connection, farm, held))

    status = PhoneBundles(other.phone).reads(rest)

    assert status.imported is not None
    assert (status.imported.new, status.imported.beyond) == (0, {own.device})


def test_no_file_chosen_is_no_trouble(phone: FieldPhone) -> None:
    status = PhoneBundles(phone.phone).reads(None)

    assert status == BundleStatus(none_chosen=True)


def test_a_file_that_cannot_be_opened_is_told(phone: FieldPhone) -> None:
    status = PhoneBundles(phone.phone, BrokenSharing()).reads(b"")

    assert isinstance(status.problem, WrongMoment)


def test_a_system_that_fails_to_share_is_told(phone: FieldPhone) -> None:
    table = PhoneBundles(phone.phone, BrokenSharing())

    table.bundles.share()

    assert isinstance(table.bundles.status.problem, WrongMoment)


def test_a_full_disk_is_told_and_the_log_stays(phone: FieldPhone) -> None:
    phone.add_beds(1)
    (phone.phone.notebook.folder / "bundles").write_text("in the way")

    with pytest.raises(StorageError):
        write_bundle(phone.phone.notebook)

    assert phone.faults() == []


def test_a_few_shared_bundles_are_kept(phone: FieldPhone) -> None:
    for _ in range(5):
        file, _ = write_bundle(phone.phone.notebook)
        phone.phone.clock.wait(3600)

    kept = sorted(each.name for each in file.parent.iterdir())
    assert kept == [f"Phone-1-2026-05-14-{hour}00.bundle" for hour in (13, 14, 15)]


def test_a_large_bundle_goes_in_page_by_page_so_that_a_tap_comes_between(
    phone: FieldPhone, other: FieldPhone, monkeypatch: pytest.MonkeyPatch
) -> None:
    for _ in range(4):
        phone.add_beds(130)
        phone.phone.notebook.sign()
    with reading(phone.phone.notebook.engine) as connection:
        bundle = b"".join(bundle_of(connection, phone.phone.notebook.farm, {}, page_bytes=800))
    notebook, taps = other.phone.notebook, []
    writing = notebook.writing

    @contextmanager
    def between() -> Iterator[Connection]:
        taps.append(notebook.only_here)
        with writing() as connection:
            yield connection

    monkeypatch.setattr(notebook, "writing", between)
    PhoneBundles(other.phone).reads(bundle)

    assert len(taps) == len(list(pages_in(bundle))) > 3
    assert taps == sorted(taps)
    assert BUNDLE_PAGE_BYTES <= FIRST_PAGE_BYTES
