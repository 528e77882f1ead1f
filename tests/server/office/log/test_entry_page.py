"""The page of one record: what it shows, and how the record is corrected, deleted and put back from it."""

from datetime import timedelta

import pytest
from playwright.sync_api import Page, expect
from sqlmodel import Session

from server.farms.edits import edit
from shared_models.core.moments import Moment
from shared_models.core.vocabulary import Role
from shared_models.log.projection import RecordKey
from shared_models.log.store import reading
from shared_models.records.tables import RowPass
from shared_models.reports.audit.entries import entry_of
from tests.server.office.log.conftest import EVENING
from tests.server.support.html_form import FormPage
from tests.server.support.office import get_page
from tests.server.support.service import BROWSER, Service
from tests.shared_models.reports.support.farmbook import HandDay


def row_of(service: Service, farm: str, record: str) -> RowPass:
    with reading(service.engine) as connection, Session(connection) as session:
        found = session.get(RowPass, (farm, record))
        assert found
        return found


def test_an_entry_shows_its_fields_and_its_history(office: Service, day: HandDay) -> None:
    page = get_page(office, f"/log/row_pass/{day.second}")

    assert "<h1>Row: Onion Varna (O1), Bed 1 (North), row 2</h1>" in page
    for told in (
        "May 4, 2026, 8:15\xa0AM",
        "May 4, 2026, 8:30\xa0AM",
        "100 ft",
        "Ana, Ben",
        "Tray change 3:00",
    ):
        assert f"<dd>{told}</dd>" in page, told
    assert "Not entered" in page


def test_a_correction_is_a_further_line_by_its_person(office: Service, farm: str, day: HandDay) -> None:
    account = office.account(farm, Role.GROWER, "Ana")
    with office.engine.begin() as connection:
        connection.exec_driver_sql("UPDATE account SET person = ? WHERE id = ?", (day.ana, account))
    office.open_office(farm, account=account)

    answer = FormPage(office, f"/log/row_pass/{day.second}").send(misses="7", length_mm="95.5")

    assert answer.headers["location"] == f"/log/row_pass/{day.second}?done=saved"
    row = row_of(office, farm, day.second)
    assert (row.misses, row.length_mm) == (7, 29_108)
    page = get_page(office, answer.headers["location"])
    assert "Saved." in page
    assert "May 14, 2026, 6:00\xa0PM</span> · Ana · the office" in page


def test_only_what_was_changed_is_written(office: Service, farm: str, day: HandDay) -> None:
    """Somebody else corrects the misses while the form is open: they stay."""
    form = FormPage(office, f"/log/row_pass/{day.second}")
    edit(office.engine, farm, "row_pass", day.second, {"misses": 9}, None, EVENING)

    form.send(note="wind")

    row = row_of(office, farm, day.second)
    assert (row.misses, row.note) == (9, "wind")
    same = FormPage(office, f"/log/row_pass/{day.second}").send()
    assert same.headers["location"].endswith("done=same")


def test_what_cannot_be_is_told_beside_its_field_and_stays_typed(office: Service, farm: str, day: HandDay) -> None:
    answer = FormPage(office, f"/log/row_pass/{day.second}").send(row="many", filled="40", note="kept")

    assert answer.status_code == 422
    assert '<p class="problem" id="row-problem">enter a number</p>' in answer.text
    assert 'value="many" inputmode="numeric"' in answer.text
    assert 'aria-describedby="row-problem " aria-invalid="true"' in answer.text
    assert "kept</textarea>" in answer.text
    assert row_of(office, farm, day.second).note == ""


def test_a_rule_about_two_fields_is_told_beside_one(office: Service, day: HandDay) -> None:
    answer = FormPage(office, f"/log/row_pass/{day.second}").send(filled="40")

    assert answer.status_code == 422
    assert 'id="filled-problem">more misses were filled than were logged' in answer.text


def test_a_rows_times_are_set_on_both_clocks(office: Service, farm: str, day: HandDay) -> None:
    """The phone's clock was three hours wrong; what is typed is the farm's time, and the row is as long as it says."""
    book, wrong = day.book, timedelta(hours=3)
    right = [book.row(day.leeks, row, book.moment(f"9:{row}0", "b", row * 10), None, []) for row in (2, 3, 4)]
    start, end = book.moment("10:00", "b", 60), book.moment("10:10", "b", 70)
    start, end = (Moment(at.at - wrong, at.boot, at.boot_ms) for at in (start, end))
    odd = book.row(day.leeks, 5, start, end, [])
    form = FormPage(office, f"/log/row_pass/{odd}")

    form.send(ended_at="2026-05-04T10:25:00")

    assert right
    assert form.fields["started_at"] == ["2026-05-04T10:00:00"]
    with reading(office.engine) as connection, Session(connection) as session:
        entry = entry_of(session, farm, RecordKey("row_pass", odd))
    assert (entry.corrected("started"), entry.corrected("ended")) == (book.at("10:00"), book.at("10:25"))
    ended = entry.moment("ended")
    assert ended is not None
    assert ended.boot_ms == 85 * 60_000


def test_a_row_that_is_moved_takes_its_stops_along(office: Service, farm: str, day: HandDay) -> None:
    form = FormPage(office, f"/log/row_pass/{day.second}")

    form.send(started_at="2026-05-04T10:15:00", ended_at="2026-05-04T10:30:00")

    (stop,) = row_of(office, farm, day.second).stop_entries
    assert stop.began.at == day.book.at("10:20")


def test_stops_can_be_added_changed_and_taken_away(office: Service, farm: str, day: HandDay) -> None:
    path = f"/log/row_pass/{day.second}"
    FormPage(office, path).send(
        stops__0__reason="rest", stops__1__reason="other", stops__1__began="2026-05-04T08:26:00"
    )
    both = row_of(office, farm, day.second).stop_entries
    FormPage(office, path).send(stops__0__reason="")
    one = row_of(office, farm, day.second).stop_entries

    assert [(stop.reason, stop.ended is None) for stop in both] == [("rest", False), ("other", True)]
    assert [stop.reason for stop in one] == ["other"]


def test_units_of_fields_are_written_whole(office: Service, day: HandDay) -> None:
    count = day.book.add(
        "stand_count", planting=day.leeks, at=EVENING.isoformat(), row=1, sample_length_mm=3048, plants=18
    )
    FormPage(office, f"/log/stand_count/{count}").send(plants="17")
    FormPage(office, f"/log/bed/{day.north}").send(latitude="42.6", longitude="-73.7")
    FormPage(office, f"/log/bed/{day.north}").send(latitude="42.7")

    page = get_page(office, f"/log/stand_count/{count}")
    assert "<dd>17</dd>" in page
    assert "<dd>10 ft</dd>" in page
    assert "<dd>-73.7 °</dd>" in get_page(office, f"/log/bed/{day.north}")


def test_an_entry_is_deleted_and_put_back(office: Service, farm: str, day: HandDay) -> None:
    path = f"/log/row_pass/{day.second}"

    office.send_form(f"{path}/void", voided="yes")
    deleted = row_of(office, farm, day.second).voided, get_page(office, path)
    office.send_form(f"{path}/void", voided="no")

    assert deleted[0]
    assert "Deleted: not in any list or report." in deleted[1]
    assert "Restore" in deleted[1]
    assert not row_of(office, farm, day.second).voided


def test_deleting_twice_deletes_once(office: Service, farm: str, day: HandDay) -> None:
    """A second tap, or two people at once: nothing comes back that somebody has just deleted."""
    path = f"/log/row_pass/{day.second}"

    answers = [office.send_form(f"{path}/void", voided="yes") for _ in range(2)]

    assert [answer.headers["location"] for answer in answers] == [f"{path}?done=deleted"] * 2
    assert row_of(office, farm, day.second).voided
    assert get_page(office, path).count("Deleted.") == 1


def test_what_somebody_else_wrote_meanwhile_is_told_before_it_is_written_over(
    office: Service, farm: str, day: HandDay
) -> None:
    path = f"/log/row_pass/{day.second}"
    one, other = FormPage(office, path), FormPage(office, path)
    one.send(misses="4", doubles="1")

    answer = other.send(misses="5", note="by hand")
    meanwhile = row_of(office, farm, day.second)
    saved = FormPage(office, path, answer=answer).send()

    assert answer.status_code == 422
    assert 'id="misses-problem">someone else changed this to: 4. Save again to keep yours<' in answer.text
    assert "by hand</textarea>" in answer.text
    assert (meanwhile.misses, meanwhile.note) == (4, "")
    assert saved.headers["location"].endswith("done=saved")
    row = row_of(office, farm, day.second)
    assert (row.misses, row.doubles, row.note) == (5, 1, "by hand")


def test_who_writes_the_same_as_somebody_else_writes_nothing(office: Service, day: HandDay) -> None:
    path = f"/log/row_pass/{day.second}"
    one, other = FormPage(office, path), FormPage(office, path)
    one.send(misses="4")

    assert other.send(misses="4").headers["location"].endswith("done=same")


def test_what_a_browser_sends_back_otherwise_is_no_change(office: Service, day: HandDay) -> None:
    """Browsers leave out seconds that are nought, and send ticks in the order of the page."""
    row = day.book.row(day.leeks, 4, "10:30", "10:45", [day.cy, day.ana])
    form = FormPage(office, f"/log/row_pass/{row}")
    to_the_minute = {name: form.fields[name][0].removesuffix(":00") for name in ("started_at", "ended_at")}

    answer = form.send(**to_the_minute, crew=[day.ana, day.cy])

    assert to_the_minute["started_at"] == "2026-05-04T10:30"
    assert answer.headers["location"].endswith("done=same")


def test_a_form_that_is_sent_as_it_stands_writes_nothing(page: Page, address: str, day: HandDay) -> None:
    """In a browser, which has its own way to write the times of a row and of its stops."""
    page.goto(f"{address}/log/row_pass/{day.second}")
    page.get_by_text("Open the form").click()
    page.get_by_role("button", name="Save").click()

    expect(page.get_by_role("status")).to_have_text("No changes to save.")


def test_crew_reads_and_corrects_nothing(office: Service, farm: str, day: HandDay) -> None:
    office.open_office(farm, Role.CREW)
    path = f"/log/row_pass/{day.second}"

    page, sent = (
        get_page(office, path),
        [office.send_form(path, misses="1"), office.send_form(f"{path}/void", voided="yes")],
    )

    assert "You can read this. A grower corrects it." in page
    assert "<textarea" not in page
    assert [answer.status_code for answer in sent] == [403, 403]
    assert "Set-up" not in page


def test_people_are_an_owners_business(office: Service, farm: str, day: HandDay) -> None:
    path = f"/log/person/{day.ana}"
    refused = office.send_form(path, name="Anna")
    office.open_office(farm, Role.OWNER)

    FormPage(office, path).send(name="Anna", wage_per_hour="20")

    assert refused.status_code == 403
    assert "<dd>Anna</dd>" in get_page(office, path)


@pytest.mark.parametrize("path", ["/log/row_pass/nonsense", "/log/tractor/{id}", "/log/bed/{id}"])
def test_what_is_not_here_is_a_page_that_says_so(office: Service, path: str) -> None:
    answer = office.client.get(path.format(id=office.fakes.new_id()), headers=BROWSER)

    assert answer.status_code == 404


def test_another_farms_entry_is_not_here(office: Service, day: HandDay) -> None:
    office.open_office(office.make_farm("Alder Lane"))

    assert office.client.get(f"/log/row_pass/{day.second}", headers=BROWSER).status_code == 404
    assert day.second not in get_page(office, "/log")


def test_what_was_deleted_says_what_stays(office: Service, day: HandDay) -> None:
    day.book.change("bed", day.north, voided=True)
    day.book.change("row_pass", day.second, voided=True)

    assert "What was logged with it stays." in get_page(office, f"/log/bed/{day.north}")
    assert "not in any list or report" in get_page(office, f"/log/row_pass/{day.second}")
