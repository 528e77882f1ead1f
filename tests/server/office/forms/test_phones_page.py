"""The page of the phones: pairing one, what is known of each, and taking one off."""

import html
import re
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from server.farms import sync_limits
from server.farms.pairing import CODE_LIFE
from server.farms.refusals import MOST_KEPT
from server.runtime.address import note_address
from shared_models.core.moments import Moment
from shared_models.core.vocabulary import Role
from shared_models.records.models import moment_fields
from shared_models.sync.pairing_link import read_link
from shared_models.sync.wire import Page, pack, unpack
from tests.server.farms.test_pairing import succeed
from tests.server.support.service import BROWSER, Phone, Service
from tests.shared_models.log.device import line, public_key, run_of

AT = "https://192.168.1.20:8000"


def get_page(office: Service, path: str = "/phones") -> str:
    answer = office.client.get(path, headers=BROWSER)
    assert answer.status_code == 200, answer.text
    return answer.text


def code_on(page: str) -> str:
    found = re.search(r'class="big code">([A-Z]{4}-[A-Z]{4})<', page)
    assert found, page
    return found[1]


def test_a_code_is_made_by_the_form_and_tells_all_a_phone_needs(office: Service) -> None:
    note_address(office.engine, AT, "ab" * 32)
    made = office.send_form("/phones/pair")
    page = get_page(office, "/phones/pair")
    link = re.search(r'value="(rowend:[^"]+)"', page)

    assert made.headers["location"] == "/phones/pair"
    assert link
    read = read_link(html.unescape(link[1]))
    assert (read.addresses, read.pin) == ((AT,), "ab" * 32)
    assert read.code == code_on(page).replace("-", "")
    assert "<svg" in page
    assert f'<span class="big address">{AT}</span>' in page
    assert "until 08:15 farm time" in page
    assert "http-equiv" not in page
    assert 'http-equiv="refresh"' in get_page(office, "/phones/pair?watch=1")
    assert office.client.get("/phones/pair").headers["cache-control"] == "private, no-store"
    assert "httponly" in made.headers["set-cookie"].lower()


def test_nothing_is_made_by_looking(office: Service) -> None:
    answer = office.client.get("/phones/pair", headers=BROWSER, follow_redirects=False)

    assert (answer.status_code, answer.headers["location"]) == (303, "/phones")


def test_the_page_sees_the_phone_arrive(office: Service, farm: str) -> None:
    office.send_form("/phones/pair")
    waiting = get_page(office, "/phones/pair?watch=1")

    Phone(farm, office.fakes).pair(office, code_on(waiting), "Ana's phone")

    arrived = get_page(office, "/phones/pair?watch=1")
    assert "Ana&#39;s phone is paired." in arrived
    assert "http-equiv" not in arrived


def test_a_code_that_is_over_says_so(office: Service) -> None:
    office.send_form("/phones/pair")
    office.fakes.time += CODE_LIFE

    assert "This code has expired" in get_page(office, "/phones/pair")


def test_an_address_that_only_this_machine_reaches_is_told(office: Service) -> None:
    note_address(office.engine, "http://127.0.0.1:8000")
    office.send_form("/phones/pair")

    page = get_page(office, "/phones/pair")

    assert "No phone can reach this address" in page
    assert "not encrypted" in page


def test_a_phone_tells_its_last_sync_and_its_lines_and_not_what_nobody_can_know(office: Service, farm: str) -> None:
    phone = office.phone(farm, "Ana's phone")
    phone.add_bed("West 1")
    office.fakes.wait(hours=1)
    phone.sync(office)

    page = get_page(office)

    assert "<h3>Ana&#39;s phone</h3>" in page
    assert "<dt>Entries received</dt><dd>1</dd>" in page
    assert "<dt>Last sync</dt><dd>May 14, 2026, 9:00\xa0AM</dd>" in page
    assert "<dt>Last entry</dt><dd>May 14, 2026, 8:00\xa0AM (phone clock)</dd>" in page
    assert "entries that have synced" in page


def test_a_clock_that_runs_ahead_is_told(office: Service, farm: str) -> None:
    phone = office.phone(farm)
    office.fakes.wait(hours=3)
    phone.add_bed("West 1")
    office.fakes.wait(hours=-3)
    phone.sync(office)

    assert "Its clock is at least 3 hours fast." in get_page(office)


def test_a_clock_that_was_set_while_the_phone_was_on_is_told(office: Service, farm: str) -> None:
    phone = office.phone(farm)
    for row, wrong in enumerate((0, 0, 0, -9), 1):
        at = office.fakes.time + timedelta(hours=wrong, minutes=row)
        begun: dict[str, Any] = moment_fields("started", Moment(at, "boot", row * 60_000))
        phone.write("row_pass", None, planting=office.fakes.new_id(), row=row, length_mm=1000, **begun)
    phone.sync(office)

    assert "Its clock was 9 hours slow at May 14, 2026, 8:04\xa0AM. Reports correct for that." in get_page(office)


def test_a_phone_that_goes_on_from_a_copy_is_told(office: Service, farm: str) -> None:
    phone = office.phone(farm, "Ana's phone")
    assert succeed(office, phone, office.fakes.new_device()).status_code == 200

    assert "both went on under one id" in get_page(office)


def test_a_removed_phone_syncs_no_more_and_its_lines_stay(office: Service, farm: str) -> None:
    phone = office.phone(farm)
    phone.add_bed("West 1")
    phone.sync(office)

    answer = office.send_form(f"/phones/{phone.device}/remove")
    refused = phone.send(office, b"")

    assert answer.headers["location"] == "/phones?done=removed"
    assert refused.status_code == 401
    assert "Pair it again with a new code from the office" in refused.json()["detail"]
    assert list(office.beds(farm).values()) == ["West 1"]
    page = get_page(office)
    assert "<dt>Removed</dt>" in page
    assert f"/phones/{phone.device}/remove" not in page
    assert office.send_form(f"/phones/{phone.device}/remove").status_code == 404
    phone.pair(office, office.code(farm))
    phone.sync(office)


def test_a_phone_that_writes_in_somebody_elses_name_is_named(office: Service, farm: str) -> None:
    liar, honest = office.phone(farm, "Field phone 2"), office.phone(farm, "Ana's phone")
    (office_log,) = office.holds(farm)
    held = office.holds(farm)[office_log]
    forged = run_of(office_log, line(2), after=1, before=bytes.fromhex(held[1]))
    other = run_of(honest.device, line(1))
    runs = [replace(forged, key=public_key(liar.device)), replace(other, signature=b"")]

    refused = unpack(liar.send(office, pack(Page(farm, {}, runs))).content).refused

    assert [each.code for each in refused] == ["not-signed"] * 2
    assert office.holds(farm) == {office_log: held}
    page = get_page(office)
    assert "It sent entries in the office&#39;s name, last on May 14, 2026" in page
    assert "It sent entries in the name of Ana&#39;s phone, last on" in page
    assert page.count("Remove this phone if you do not know why.") == 2
    office.fakes.wait(days=31)
    office.open_office(farm)
    assert "It sent entries" not in get_page(office)


def test_a_phone_that_hands_on_what_a_removed_one_wrote_is_named(office: Service, farm: str) -> None:
    removed, other = office.phone(farm, "Ana's phone"), office.phone(farm)
    removed.add_bed("North 1")
    other.ingest(removed.page({}))
    office.send_form(f"/phones/{removed.device}/remove")

    other.send(office, pack(other.page({})))

    assert "It handed on entries from Ana&#39;s phone, which was removed." in get_page(office)


def test_refusals_of_many_logs_are_counted_together(office: Service, farm: str) -> None:
    liar = office.phone(farm)
    for _ in range(MOST_KEPT + 5):
        liar.send(office, pack(Page(farm, {}, [replace(run_of(office.fakes.new_device(), line(1)), signature=b"")])))

    page = get_page(office)

    assert page.count("It sent entries in the name of an unknown phone") == MOST_KEPT + 1


def test_a_phone_that_reached_a_limit_can_be_let_on(
    office: Service, farm: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sync_limits, "LINES_ON_RECORD", 3)
    phone = office.phone(farm)
    run = run_of(phone.device, *(line(seq, stamp=seq) for seq in range(1, 6)))
    phone.send(office, pack(Page(farm, {}, [run])))
    told = get_page(office)

    answer = office.send_form(f"/phones/{phone.device}/again")
    phone.send(office, pack(Page(farm, {}, [run])))

    assert "It sent too many entries about one record, last on May 14, 2026" in told
    assert answer.headers["location"] == "/phones?done=again"
    after = get_page(office, answer.headers["location"])
    assert "It can send again." in after
    assert "too many" not in after
    assert office.holds(farm)[phone.device][0] == 5


def test_removing_a_phone_says_what_goes_with_it(office: Service, farm: str) -> None:
    phone = office.phone(farm, "Ana's phone")
    assert succeed(office, phone, office.fakes.new_device()).status_code == 200

    page = get_page(office)

    assert "This also removes the phone that went on from it: Field phone, paired May 14, 2026" in page
    assert "Ana&#39;s phone, which it went on from, stays paired." in page


def test_phones_are_an_owners_business(office: Service, farm: str) -> None:
    phone = office.phone(farm)
    office.open_office(farm, Role.GROWER)

    answers = [
        office.client.get("/phones", headers=BROWSER),
        office.client.get("/phones/pair", headers=BROWSER),
        office.send_form("/phones/pair"),
        office.send_form(f"/phones/{phone.device}/remove"),
        office.send_form(f"/phones/{phone.device}/again"),
    ]

    assert [answer.status_code for answer in answers] == [403] * 5
    phone.sync(office)


def test_another_farms_phone_cannot_be_removed(office: Service, farm: str) -> None:
    phone = office.phone(office.make_farm("Alder Lane"))

    assert office.send_form(f"/phones/{phone.device}/remove").status_code == 404
    assert office.send_form(f"/phones/{farm}/remove").status_code == 404
    assert office.send_form(f"/phones/{phone.device}/again").status_code == 404
    assert "No phone is paired yet." in get_page(office)
