"""The log of changes: what it lists, to whom, and how an entry is corrected from its page."""

from __future__ import annotations

import time
from datetime import UTC, datetime, timedelta

import pytest
from sqlmodel import Session

from server.office import edit
from server.pages.log_page import LIMIT
from shared_models.moments import Moment
from shared_models.projection import RecordKey
from shared_models.reports.entries import entry_of
from shared_models.store import reading
from shared_models.tables import RowPass
from shared_models.words import Role
from tests.server.form_page import BROWSER, FormPage
from tests.server.world import Service
from tests.shared_models.reports.farmbook import FarmBook, HandDay

EVENING = datetime(2026, 5, 14, 22, 0, tzinfo=UTC)


@pytest.fixture
def office(service: Service, farm: str) -> Service:
    """A grower is signed in, some days after the hand day."""
    service.world.time = EVENING
    service.open_office(farm, Role.GROWER)
    return service


@pytest.fixture
def day(office: Service, farm: str) -> HandDay:
    return HandDay(FarmBook(office.engine, id=farm))


def shown(office: Service, path: str) -> str:
    answer = office.client.get(path, headers=BROWSER)
    assert answer.status_code == 200, answer.text
    return answer.text


def row_of(service: Service, farm: str, record: str) -> RowPass:
    with reading(service.engine) as connection, Session(connection) as session:
        found = session.get(RowPass, (farm, record))
        assert found
        return found


# the list


def test_a_change_tells_what_it_was_before_by_whom_and_where(office: Service, farm: str, day: HandDay) -> None:
    edit(office.engine, farm, "row_pass", day.second, {"misses": 8}, day.ana, EVENING)

    page = shown(office, "/log")

    first = page[page.index('<ol class="log">') :].partition("</li>\n<li>")[0]
    assert f'href="/log/row_pass/{day.second}"' in first
    assert "Row: Onion Varna (O1), Bed 1 (North), row 2" in first
    assert "Misses:</span> <del>6</del>" in first
    assert "<ins>8</ins>" in first
    assert "2026-05-14 18:00</span> · Ana · the office" in first


def test_it_is_read_page_by_page_without_gaps_or_repeats(office: Service, farm: str, day: HandDay) -> None:
    for misses in range(LIMIT + 20):
        edit(office.engine, farm, "row_pass", day.third, {"misses": misses + 10}, None, EVENING)
    seen, path = [], "/log?kind=row_pass"

    while path:
        page = shown(office, path)
        seen += [part.partition("</ins>")[0] for part in page.split("Misses:</span> <del>")[1:]]
        path = page.partition('rel="next" href="')[2].partition('"')[0].replace("&amp;", "&")

    told = [int(each.partition("<ins>")[2]) for each in seen]
    assert told == list(range(LIMIT + 29, 10, -1))


@pytest.mark.parametrize(
    ("asked", "there", "not_there"),
    [
        ("kind=bed", "Bed: Bed 1 (North)", "Row:"),
        ("text=varna", "Onion Varna", "Leek"),
        ("text=7%20misses", "Nothing like that was found", "Row:"),
        ("person=nobody", "nobody named", "· Ana ·"),
        ("day=2026-05-14", "<ins>9</ins>", "Nothing like"),
        ("day=2026-05-13", "Nothing like that was found", "Row:"),
        ("before=nonsense", "Row:", "Nothing like"),
    ],
)
@pytest.mark.usefixtures("day")
def test_the_address_asks_for_some_of_it(
    office: Service, farm: str, day: HandDay, asked: str, there: str, not_there: str
) -> None:
    edit(office.engine, farm, "row_pass", day.second, {"misses": 9}, None, EVENING)

    page = shown(office, f"/log?{asked}")
    lines = page[page.index('id="changes"') :]

    assert there in lines
    assert not_there not in lines


def test_a_phone_can_be_asked_for(office: Service, farm: str) -> None:
    phone, other = office.phone(farm, "Ana's phone"), office.phone(farm, "Ben's phone")
    for each, name in ((phone, "West 1"), (other, "West 2")):
        each.add_bed(name)
        each.sync(office)

    page = shown(office, f"/log?phone={phone.device}")

    assert "West 1" in page
    assert "West 2" not in page
    assert "· Ana&#39;s phone" in page


def test_wages_and_prices_are_shown_to_an_owner_only(office: Service, farm: str, day: HandDay) -> None:
    edit(office.engine, farm, "person", day.ana, {"wage_per_hour": 21.5}, None, EVENING)
    edit(office.engine, farm, "farm", farm, {"prices": {"seed": 0.125}}, None, EVENING)
    as_grower = [shown(office, path) for path in ("/log", f"/log/person/{day.ana}", f"/log/farm/{farm}")]
    office.open_office(farm, Role.OWNER)

    as_owner = [shown(office, path) for path in ("/log", f"/log/person/{day.ana}", f"/log/farm/{farm}")]

    assert not any("21.5" in page or "0.125" in page or "owners only" in page for page in as_grower)
    assert "21.5" in as_owner[0]
    assert "0.125" in as_owner[0]
    assert "the office, for owners only" in as_owner[1]


def test_what_breaks_a_rule_stands_first_and_is_set_right_there(office: Service, farm: str, day: HandDay) -> None:
    bad = day.book.flag("bed", name="Bed 9", length_mm=-3, rows=2)
    page = shown(office, "/log")
    form = FormPage(office, f"/log/bed/{bad}")

    answer = form.send(length_mm="100")

    assert page.index("Needs a look") < page.index(f"/log/bed/{bad}") < page.index("Changes, the newest")
    assert "Length: write a number above 0, and 32,808 at most" in page
    assert answer.status_code == 303
    assert office.beds(farm)[bad] == "Bed 9"
    assert "Needs a look" not in shown(office, "/log")


def test_an_empty_log_says_what_comes_here(service: Service) -> None:
    """A farm taken over from a phone has no line yet."""
    phone_farm = service.world.new_id()
    code = service.code(None)
    service.pair(code=code, device=service.world.new_id(), name="Phone", farm=phone_farm)
    service.open_office(phone_farm)

    assert "Whatever anybody writes down or corrects stands here" in shown(service, "/log")


def test_a_long_log_is_read_no_further_than_the_page(office: Service, farm: str) -> None:
    """A page of 20,000 lines takes about as long as one of 200: at most the time of a quarter of them."""
    phone = office.phone(farm)

    def seconds(path: str) -> float:
        begun = time.perf_counter()
        shown(office, path)
        return time.perf_counter() - begun

    _many_lines(office, phone.device, farm, 200)
    few = min(seconds("/log") for _ in range(3))
    _many_lines(office, phone.device, farm, 20_000)
    many = min(seconds("/log") for _ in range(3))

    assert many < 3 * few + 0.05


def _many_lines(office: Service, device: str, farm: str, count: int) -> None:
    from shared_models.log import find_or_open, write_line  # noqa: PLC0415 - only here
    from shared_models.revision import Revision, text_of  # noqa: PLC0415
    from shared_models.store import writing  # noqa: PLC0415

    with writing(office.engine, farm) as connection:
        head = find_or_open(connection, farm, device)
        for _ in range(count):
            record = office.world.new_id()
            line = Revision(device, head.seq + 1, head.stamp + 65536, "bed", record, {"name": "B", "rows": 1})
            head = write_line(connection, head, line, text_of(line))


# one record


def test_an_entry_shows_its_fields_and_its_history(office: Service, day: HandDay) -> None:
    page = shown(office, f"/log/row_pass/{day.second}")

    assert "<h1>Row: Onion Varna (O1), Bed 1 (North), row 2</h1>" in page
    for told in ("2026-05-04 08:15", "2026-05-04 08:30", "100 ft", "Ana, Ben", "tray change 3:00"):
        assert f"<dd>{told}</dd>" in page, told
    assert "Not told" in page


def test_a_correction_is_a_further_line_by_its_person(office: Service, farm: str, day: HandDay) -> None:
    account = office.account(farm, Role.GROWER, "Ana")
    with office.engine.begin() as connection:
        connection.exec_driver_sql("UPDATE account SET person = ? WHERE id = ?", (day.ana, account))
    office.open_office(farm, account=account)

    answer = FormPage(office, f"/log/row_pass/{day.second}").send(misses="7", length_mm="95.5")

    assert answer.headers["location"] == f"/log/row_pass/{day.second}?done=saved"
    row = row_of(office, farm, day.second)
    assert (row.misses, row.length_mm) == (7, 29_108)
    page = shown(office, answer.headers["location"])
    assert "Saved." in page
    assert "2026-05-14 18:00</span> · Ana · the office" in page


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
    assert '<p class="problem" id="row-problem">write a number in figures</p>' in answer.text
    assert 'value="many" inputmode="numeric"' in answer.text
    assert 'aria-describedby="row-problem " aria-invalid="true"' in answer.text
    assert "kept</textarea>" in answer.text
    assert row_of(office, farm, day.second).note == ""


def test_a_rule_about_two_fields_is_told_beside_one(office: Service, day: HandDay) -> None:
    answer = FormPage(office, f"/log/row_pass/{day.second}").send(filled="40")

    assert answer.status_code == 422
    assert 'id="filled-problem">more misses were filled than were noted' in answer.text


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
    assert (entry.told("started"), entry.told("ended")) == (book.at("10:00"), book.at("10:25"))
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

    page = shown(office, f"/log/stand_count/{count}")
    assert "<dd>17</dd>" in page
    assert "<dd>10 ft</dd>" in page
    assert "<dd>-73.7 °</dd>" in shown(office, f"/log/bed/{day.north}")


def test_an_entry_is_deleted_and_put_back(office: Service, farm: str, day: HandDay) -> None:
    path = f"/log/row_pass/{day.second}"

    office.send_form(f"{path}/void")
    deleted = row_of(office, farm, day.second).voided, shown(office, path)
    office.send_form(f"{path}/void")

    assert deleted[0]
    assert "It was deleted" in deleted[1]
    assert "Put it back" in deleted[1]
    assert not row_of(office, farm, day.second).voided


def test_crew_reads_and_corrects_nothing(office: Service, farm: str, day: HandDay) -> None:
    office.open_office(farm, Role.CREW)
    path = f"/log/row_pass/{day.second}"

    page, sent = shown(office, path), [office.send_form(path, misses="1"), office.send_form(f"{path}/void")]

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
    assert "<dd>Anna</dd>" in shown(office, path)


@pytest.mark.parametrize("path", ["/log/row_pass/nonsense", "/log/tractor/{id}", "/log/bed/{id}"])
def test_what_is_not_here_is_a_page_that_says_so(office: Service, path: str) -> None:
    answer = office.client.get(path.format(id=office.world.new_id()), headers=BROWSER)

    assert answer.status_code == 404


def test_another_farms_entry_is_not_here(office: Service, day: HandDay) -> None:
    office.open_office(office.make_farm("Alder Lane"))

    assert office.client.get(f"/log/row_pass/{day.second}", headers=BROWSER).status_code == 404
    assert day.second not in shown(office, "/log")
