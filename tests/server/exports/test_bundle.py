"""`rowend bundle` and `rowend take-in`: logs that travel by memory card."""

import gzip
import json
from pathlib import Path

import pytest

from server.farms.edits import edit
from server.runtime.settings import Settings
from shared_models.errors import BadBody, TooLarge
from shared_models.log.store import reading
from shared_models.sync.bundle import bundle_of, pages_in
from shared_models.sync.wire import Page, pack
from tests.server.exports.conftest import run
from tests.server.support.service import FakeProviders, Phone, Service, running_service
from tests.shared_models.log.device import run_of


def carried_by(phone: Phone, file: Path) -> Path:
    file.write_bytes(pack(phone.page({})))
    return file


def test_a_bundle_carries_everything_but_the_offices_private_log(
    service: Service, phone: Phone, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    ana = phone.write("person", name="Ana")
    phone.sync(service)
    edit(service.engine, phone.farm, "person", ana, {"wage_per_hour": 21.5}, None, service.fakes.time)

    assert run(tmp_path, "bundle", "--out", tmp_path / "card.bundle") == 0

    assert "Wrote Heronbrook to" in capsys.readouterr().out
    text = gzip.decompress((tmp_path / "card.bundle").read_bytes()).decode()
    assert "Ana" in text
    assert "wage" not in text
    (page,) = pages_in((tmp_path / "card.bundle").read_bytes())
    assert {run.device: (run.end, run.digest) for run in page.runs} == service.holds(phone.farm)


def test_a_phones_bundle_is_taken_in_with_a_verdict_for_each_log(
    service: Service, phone: Phone, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    phone.add_bed("North 2")
    card = carried_by(phone, tmp_path / "card")

    assert run(tmp_path, "take-in", card) == 0
    printed = capsys.readouterr().out
    assert f"Field phone ({phone.device}): 1 new line, 2 held." in printed
    assert "Office" in printed
    assert set(service.beds(phone.farm).values()) == {"North 1", "North 2"}

    assert run(tmp_path, "take-in", card) == 0
    assert "0 new lines from 2 logs." in capsys.readouterr().out


def test_the_reply_holds_only_what_the_sender_lacks(service: Service, phone: Phone, tmp_path: Path) -> None:
    edit(service.engine, phone.farm, "bed", phone.fakes.new_id(), {"name": "South", "length_mm": 9000, "rows": 2}, None,
         service.fakes.time)  # fmt: skip
    phone.add_bed("North 2")
    card, reply = carried_by(phone, tmp_path / "card"), tmp_path / "reply"

    assert run(tmp_path, "take-in", card) == 0
    assert run(tmp_path, "bundle", "--out", reply, "--reply-to", card) == 0

    (page,) = pages_in(reply.read_bytes())
    assert [len(run.texts) for run in page.runs] == [1]
    phone.ingest(page)
    assert phone.holds == service.holds(phone.farm)
    assert run(tmp_path, "bundle", "--out", reply, "--reply-to", carried_by(phone, card)) == 0
    (page,) = pages_in(reply.read_bytes())
    assert page.runs == ()


def test_a_large_bundle_is_written_in_pages_and_read_page_by_page(
    service: Service, phone: Phone, tmp_path: Path, fakes: FakeProviders
) -> None:
    """Pages are as large as a sync's, so that whoever takes them in needs no more room; together they are one gzip."""
    for number in range(2, 302):
        phone.add_bed(f"North {number}")
    phone.sync(service)
    with reading(service.engine) as connection:
        bundle = b"".join(bundle_of(connection, phone.farm, {}, page_bytes=400))

    assert len(list(pages_in(bundle))) > 3
    assert gzip.decompress(bundle).count(b"North") == 301
    (tmp_path / "card").write_bytes(bundle)
    other = tmp_path / "other"
    assert run(other, "take-in", tmp_path / "card", "--adopt") == 0
    with running_service(Settings.in_directory(other).database_url, fakes) as elsewhere:
        assert elsewhere.beds(phone.farm) == service.beds(phone.farm)
        assert elsewhere.faults(phone.farm) == []


def test_a_farm_that_is_not_here_is_taken_over_only_when_told(
    service: Service, phone: Phone, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    other = tmp_path / "other"
    run(other, "farm", "new", "Oak Hollow", "--zone", "UTC")
    card = carried_by(phone, tmp_path / "card")

    assert run(other, "take-in", card) == 2
    assert "--adopt" in capsys.readouterr().err
    assert run(other, "take-in", card, "--adopt") == 0
    assert service.beds(phone.farm)
    assert run(other, "verify", "--farm", phone.farm) == 0


def test_a_reply_to_another_farm_is_refused(
    service: Service, phone: Phone, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    stranger = service.make_farm("Oak Hollow")
    card = carried_by(phone, tmp_path / "card")

    assert run(tmp_path, "bundle", "--out", tmp_path / "x", "--reply-to", card, "--farm", stranger) == 1
    assert "another farm" in capsys.readouterr().err
    assert not (tmp_path / "x").exists()


def test_a_log_that_parted_is_refused_by_line_and_the_others_are_kept(
    service: Service, phone: Phone, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    clone = Phone(phone.farm, service.fakes)
    clone.device = phone.device
    clone.add_bed("Other")
    tablet = Phone(phone.farm, service.fakes)
    tablet.add_bed("East")
    runs = [*clone.page({}).runs, *tablet.page({}).runs]
    (tmp_path / "card").write_bytes(pack(Page(phone.farm, {}, runs)))

    assert run(tmp_path, "take-in", tmp_path / "card") == 1

    printed = capsys.readouterr()
    assert f"Field phone ({phone.device}): 0 new lines, 1 held; line 1 was refused: another line" in printed.err
    assert f"{tablet.device}: 1 new line, 1 held." in printed.out
    assert set(service.beds(phone.farm).values()) == {"North 1", "East"}


def test_of_a_line_nobody_can_take_the_ones_before_it_are_kept(
    service: Service, farm: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    tablet = Phone(farm, service.fakes)
    tablet.add_bed("East")
    (good,) = tablet.page({}).runs
    bad = json.dumps({"seq": 2})
    pages = [Page(farm, {}, [run_of(tablet.device, *good.texts, bad, at_each=True)]), Page(farm, {}, [])]
    (tmp_path / "card").write_bytes(b"".join(map(pack, pages)))

    assert run(tmp_path, "take-in", tmp_path / "card") == 1
    assert f"{tablet.device}: 1 new line, 1 held; line 2 was refused" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"", "it is empty"),
        (b"I am a letter", "it is not a file from Rowend"),
        (gzip.compress(b"{}", mtime=0), "it is not a file from Rowend"),
        (gzip.compress(b"{}", mtime=0)[:-4], "it was cut"),
    ],
)
def test_a_file_that_is_no_bundle_is_told_and_nothing_is_stored(
    tmp_path: Path, service: Service, capsys: pytest.CaptureFixture[str], content: bytes, message: str
) -> None:
    (tmp_path / "card").write_bytes(content)

    assert service.make_farm()
    assert run(tmp_path, "take-in", tmp_path / "card") == 1
    assert message in capsys.readouterr().err
    assert run(tmp_path, "take-in", tmp_path / "none") == 2


def test_a_cut_bundle_stores_no_page_of_it(service: Service, phone: Phone, tmp_path: Path) -> None:
    phone.add_bed("North 2")
    whole = carried_by(phone, tmp_path / "card").read_bytes()
    (tmp_path / "card").write_bytes(whole + whole[:-5])

    assert run(tmp_path, "take-in", tmp_path / "card") == 1
    assert set(service.beds(phone.farm).values()) == {"North 1"}


def test_a_bomb_is_not_unpacked() -> None:
    with pytest.raises(TooLarge):
        list(pages_in(gzip.compress(b" " * 100_000), max_bytes=10_000))
    with pytest.raises(BadBody):
        list(pages_in(gzip.compress(b" " * 10_000), max_bytes=10_000))
