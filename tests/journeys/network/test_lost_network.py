"""A phone comes back from the field, and the network does what networks do."""

import contextlib
import itertools
import random
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
import requests

from mobile.log.phone_log import FILE_NAME
from mobile.sync.client import pauses
from shared_models.errors import ExpiredCode, OtherFarm, Unreachable, WrongMoment, WrongSecret
from tests.fixtures.network import (
    ADDRESS,
    Deliver,
    Mishap,
    captive_portal,
    cut_reply,
    cut_request,
    lost_reply,
    no_signal,
    nothing,
    repeated,
    status,
    too_slow,
)
from tests.journeys.support.farm_service import FarmService, FieldPhone


@pytest.fixture
def service(tmp_path: Path) -> FarmService:
    return FarmService(tmp_path / "service")


@pytest.fixture
def phone(service: FarmService, tmp_path: Path) -> FieldPhone:
    return FieldPhone.paired(service, tmp_path / "phone-1", seed=1)


@pytest.mark.parametrize(
    "mishap",
    [no_signal, lost_reply, cut_reply, cut_request, repeated, captive_portal, too_slow, status(503), status(413)],
)
@pytest.mark.parametrize("request_hit", [0, 1])
def test_whatever_hits_a_request_nothing_is_lost_or_stored_twice(
    service: FarmService, phone: FieldPhone, mishap: Mishap, request_hit: int
) -> None:
    """A sync that is hit fails or goes on; the next one ends with both sides holding the same, once."""
    phone.add_beds(20)
    phone.fail_with(*[nothing] * request_hit, mishap)

    with contextlib.suppress(Unreachable):
        phone.sync_client.sync()
    phone.fail_with()
    phone.sync_client.sync()

    assert phone.phone.notebook.only_here == 0
    assert len(service.records()["bed"]) == 20
    assert service.records() == phone.records()
    assert service.faults() == phone.faults() == []


def test_a_sync_with_nothing_to_exchange_writes_nothing_on_the_phone(phone: FieldPhone) -> None:
    """The phone asks every few minutes; its disk is only woken when there was something to say."""
    phone.add_beds(1)
    phone.sync_client.sync()
    with closing(sqlite3.connect(phone.folder / FILE_NAME)) as onlooker:
        before = onlooker.execute("PRAGMA data_version").fetchall()

        phone.sync_client.sync()

        assert onlooker.execute("PRAGMA data_version").fetchall() == before


def test_a_password_kept_for_the_host_is_not_sent_in_place_of_the_phones_secret(
    phone: FieldPhone, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    netrc = tmp_path / "netrc"
    netrc.write_text("machine service.test login somebody password else\n", encoding="utf-8")
    monkeypatch.setenv("NETRC", str(netrc))
    phone.add_beds(1)

    phone.sync_client.sync()

    assert phone.phone.notebook.only_here == 0


def test_an_entry_made_during_a_sync_keeps_the_mark_on(phone: FieldPhone) -> None:
    """What is written while the last answer is on its way is still counted as only here."""
    phone.add_beds(1)

    def meanwhile(request: requests.PreparedRequest, deliver: Deliver) -> requests.Response:
        response = deliver(request)
        phone.add_beds(1, "Late")
        return response

    phone.fail_with(meanwhile, no_signal)
    with pytest.raises(Unreachable, match="safe on this phone"):
        phone.sync_client.sync()
    only_here = phone.phone.notebook.only_here
    phone.sync_client.sync()

    assert (only_here, phone.phone.notebook.only_here) == (1, 0)


def test_pages_shrink_on_trouble_and_progress_is_kept(service: FarmService, phone: FieldPhone) -> None:
    """A network that lets only small bodies through gets small pages."""
    phone.add_beds(400)

    def narrow(request: requests.PreparedRequest, deliver: Deliver) -> requests.Response:
        return status(413)(request, deliver) if len(request.body or b"") > 6_000 else deliver(request)

    phone.fail_with(*[narrow] * 200)
    phone.sync_client.sync()

    assert len(service.records()["bed"]) == 400


def test_a_connection_too_weak_for_the_smallest_page_says_so(phone: FieldPhone) -> None:
    phone.add_beds(1)
    phone.fail_with(*[too_slow] * 20)

    with pytest.raises(Unreachable, match="too weak"):
        phone.sync_client.sync()

    assert phone.phone.notebook.only_here == 1


def test_one_new_entry_costs_one_small_request(service: FarmService, phone: FieldPhone) -> None:
    """Both sides hold the same but for one entry: one request, at most 1.2 kB both ways."""
    phone.add_beds(50)
    phone.sync_client.sync()
    phone.network.requests = phone.network.bytes_sent = phone.network.bytes_received = 0
    phone.add_beds(1)

    phone.sync_client.sync()

    assert phone.network.requests == 1
    assert phone.network.bytes_sent + phone.network.bytes_received <= 1200
    assert len(service.records()["bed"]) == 51


def test_two_phones_and_the_office_edit_one_bed_and_all_see_the_same(service: FarmService, tmp_path: Path) -> None:
    """Edited offline in three places; after syncing in any order all three show the same."""
    one = FieldPhone.paired(service, tmp_path / "one", seed=1)
    (bed,) = one.add_beds(1)
    one.sync_client.sync()
    two = FieldPhone.paired(service, tmp_path / "two", seed=2)

    one.phone.notebook.write("bed", bed, {"name": "North one", "rows": 5})
    two.phone.clock.wait(10)
    two.phone.notebook.write("bed", bed, {"name": "North uno", "block": "N"})
    service.edit("bed", bed, rows=6)
    two.sync_client.sync()
    one.sync_client.sync()
    two.sync_client.sync()

    assert one.records() == two.records() == service.records()
    assert one.faults() == two.faults() == service.faults() == []


def test_a_restored_service_that_wrote_on_loses_neither_history(
    service: FarmService, phone: FieldPhone, tmp_path: Path
) -> None:
    """The office's own log forks: what it wrote before the loss comes back, what it wrote since stays."""
    (bed,) = phone.add_beds(1)
    phone.sync_client.sync()
    service.backup(tmp_path / "backup")
    service.edit("bed", bed, block="written before the loss")
    phone.sync_client.sync()

    service.restore(tmp_path / "backup")
    service.edit("bed", bed, rows=9)
    phone.reopen(service)
    phone.sync_client.sync()
    phone.sync_client.sync()

    (row,) = service.records()["bed"]
    assert "written before the loss" in row
    assert 9 in row
    assert service.records() == phone.records()
    assert service.faults() == phone.faults() == []


def test_a_phone_restored_from_a_backup_that_wrote_on_gets_a_new_identity(
    service: FarmService, phone: FieldPhone, tmp_path: Path
) -> None:
    """A cloned phone is noticed as a fork, goes on under a new id, and neither history loses a line."""
    phone.add_beds(3, "Before")
    phone.sync_client.sync()
    clone = phone.cloned(service, tmp_path / "clone")
    phone.add_beds(2, "On the old phone")
    phone.sync_client.sync()

    clone.add_beds(4, "On the clone")
    progress = clone.sync_client.sync()
    phone.sync_client.sync()

    assert (progress.sent, progress.received, progress.to_send, progress.to_receive) == (4, 2, 0, 0)
    assert clone.phone.notebook.device != phone.phone.notebook.device
    assert len(service.records()["bed"]) == 9
    assert service.records() == phone.records() == clone.records()
    assert service.faults() == phone.faults() == clone.faults() == []
    clone.add_beds(1, "Later")
    clone.sync_client.sync()
    assert len(service.records()["bed"]) == 10


def test_a_phone_restored_without_its_key_loses_nothing(
    service: FarmService, phone: FieldPhone, tmp_path: Path
) -> None:
    """A key store gives no key to a backup: what was not signed goes on in a log of the new phone's own."""
    phone.add_beds(3, "Signed")
    phone.sync_client.sync()
    phone.add_beds(2, "Not signed yet")
    clone = phone.cloned(service, tmp_path / "clone", with_keys=False)
    phone.add_beds(1, "On the old phone")
    clone.add_beds(2, "On the clone")

    for each in (clone, phone, clone):
        each.sync_client.sync()

    assert clone.phone.notebook.device != phone.phone.notebook.device
    assert len(service.records()["bed"]) == 8
    assert service.records() == phone.records() == clone.records()
    assert service.faults() == phone.faults() == clone.faults() == []
    assert clone.phone.notebook.only_here == 0


def test_two_clones_with_the_same_unsynced_lines_keep_them_once_and_both_go_on(
    service: FarmService, tmp_path: Path
) -> None:
    """They move the same lines to the same log, and then each writes under an id and a secret of its own."""
    phone = FieldPhone.paired(service, tmp_path / "phone", seed=1)
    one = phone.cloned(service, tmp_path / "one", seed=2)
    phone.add_beds(1, "On the old phone")
    phone.sync_client.sync()
    one.add_beds(3, "Before the second copy")
    two = one.cloned(service, tmp_path / "two", seed=3)

    for clone in (one, two, one, two):
        clone.sync_client.sync()
        clone.add_beds(1, "Since")
        clone.sync_client.sync()
    one.sync_client.sync()

    assert len({each.phone.notebook.device for each in (phone, one, two)}) == 3
    assert len(service.records()["bed"]) == 8
    assert service.records() == one.records() == two.records()
    assert service.faults() == one.faults() == two.faults() == []


def test_a_phone_merely_behind_its_own_log_gets_its_lines_back(
    service: FarmService, phone: FieldPhone, tmp_path: Path
) -> None:
    phone.add_beds(3)
    phone.sync_client.sync()
    restored = phone.cloned(service, tmp_path / "restored")
    phone.add_beds(2, "Since")
    phone.sync_client.sync()

    restored.sync_client.sync()
    restored.add_beds(1, "After")
    restored.sync_client.sync()

    assert restored.phone.notebook.device == phone.phone.notebook.device
    assert len(service.records()["bed"]) == 6


def test_a_row_that_was_open_at_the_fork_is_still_open(service: FarmService, phone: FieldPhone, tmp_path: Path) -> None:
    (bed,) = phone.add_beds(1)
    phone.sync_client.sync()
    clone = phone.cloned(service, tmp_path / "clone")
    phone.add_beds(1, "Old")
    phone.sync_client.sync()
    notebook = clone.phone.notebook
    sowing = notebook.add("sowing", crop="leek", spacing_mm=101.6)
    planting = notebook.add("planting", bed=bed, sowing=sowing)
    notebook.start_row(planting)

    clone.sync_client.sync()

    assert notebook.current_planting() == planting
    assert notebook.row_state(planting).open is not None


def test_a_line_damaged_on_the_phone_holds_up_no_other(service: FarmService, phone: FieldPhone) -> None:
    """One line rots on the phone's disk: it is set aside, everything after it arrives under a new id."""
    phone.add_beds(6)
    with phone.phone.notebook.writing() as connection:
        connection.exec_driver_sql("UPDATE line SET text = replace(text, 'Bed 2', 'B') WHERE text LIKE '%Bed 2%'")
        connection.exec_driver_sql("UPDATE line SET text = substr(text, 1, 40) WHERE text LIKE '%Bed 4%'")

    phone.sync_client.sync()
    phone.add_beds(1, "After")
    phone.sync_client.sync()

    names = {row[3] for row in service.records()["bed"]}
    assert {"Bed 0", "Bed 1", "Bed 3", "Bed 5", "After 0"} <= names
    assert service.faults() == []
    assert any("set aside" in fault for fault in phone.faults())


def test_a_code_pairs_one_phone_once(service: FarmService, tmp_path: Path) -> None:
    code = service.code()
    FieldPhone.at(service, tmp_path / "one", seed=1).sync_client.pair(ADDRESS, code, "One")

    with pytest.raises(ExpiredCode, match="new one"):
        FieldPhone.at(service, tmp_path / "two", seed=2).sync_client.pair(ADDRESS, code, "Two")


def test_a_phone_that_logs_for_one_farm_does_not_join_another(
    service: FarmService, phone: FieldPhone, tmp_path: Path
) -> None:
    other = FarmService(tmp_path / "other")
    phone.add_beds(2)
    phone.reopen(other)

    with pytest.raises(OtherFarm, match="another farm"):
        phone.sync_client.pair(ADDRESS, other.code(), "Lost")

    assert other.records()["bed"] == []
    assert phone.phone.notebook.farm == service.farm


def test_a_phone_that_is_not_paired_says_what_to_do(service: FarmService, tmp_path: Path) -> None:
    with pytest.raises(WrongMoment, match="Pair it"):
        FieldPhone.at(service, tmp_path / "new", seed=3).sync_client.sync()


def test_a_wrong_secret_says_pair_again_and_keeps_the_entries(phone: FieldPhone) -> None:
    phone.add_beds(1)
    notebook = phone.phone.notebook
    notebook.change_settings(credentials={"device": notebook.device, "secret": "wrong"})

    with pytest.raises(WrongSecret, match="Pair it again"):
        phone.sync_client.sync()

    assert notebook.only_here == 1


def test_pauses_grow_and_differ() -> None:
    draws = pauses(random.Random(1))
    waited = [next(draws) for _ in range(12)]

    assert waited[0] < 4
    assert max(waited) <= 450
    assert sum(waited[6:]) > 10 * sum(waited[:6]) / 6
    assert list(itertools.islice(pauses(random.Random(2)), 12)) != waited


def test_what_a_phone_undoes_after_an_older_log_of_its_own_forked_is_its_last_entry(
    service: FarmService, phone: FieldPhone, tmp_path: Path
) -> None:
    """Its own log stays the one it writes, whatever becomes of one that it left."""
    phone.add_beds(2, "Before")
    phone.sync_client.sync()
    clone = phone.cloned(service, tmp_path / "clone")
    phone.add_beds(1, "On the old phone")
    phone.sync_client.sync()
    clone.add_beds(2, "On the clone")
    clone.sync_client.sync()
    notebook = clone.phone.notebook
    left = notebook.setting("own_devices")[0]
    (bed,) = clone.add_beds(1, "Last")

    notebook.branch_off(left, 1)
    last = notebook.last_line()

    assert last is not None
    assert last.record == bed
    assert notebook.setting("own_devices")[-1] == notebook.device
