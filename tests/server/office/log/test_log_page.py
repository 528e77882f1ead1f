"""The log of changes: what it lists, and to whom."""

import time

import pytest

from server.farms.edits import edit
from server.office.log.page import LIMIT
from shared_models.core.vocabulary import Role
from tests.server.office.log.conftest import EVENING
from tests.server.support.html_form import FormPage
from tests.server.support.office import get_page
from tests.server.support.service import Service
from tests.shared_models.reports.support.farmbook import HandDay


def test_a_change_tells_what_it_was_before_by_whom_and_where(office: Service, farm: str, day: HandDay) -> None:
    edit(office.engine, farm, "row_pass", day.second, {"misses": 8}, day.ana, EVENING)

    page = get_page(office, "/log")

    first = page[page.index('<ol class="log">') :].partition("</li>\n<li>")[0]
    assert f'href="/log/row_pass/{day.second}"' in first
    assert "Row: Onion Varna (O1), Bed 1 (North), row 2" in first
    assert "Misses:</span> <del>6</del>" in first
    assert "<ins>8</ins>" in first
    assert "May 14, 2026, 6:00\xa0PM</span> · Ana · the office" in first


@pytest.mark.parametrize("day", ["9999-12-31", "0001-01-01"])
def test_a_day_beyond_the_calendar_is_refused_with_the_years_it_takes(office: Service, day: str) -> None:
    headers = {"Accept": "text/html", "Accept-Language": "es"}

    answer = office.client.get("/log", params={"day": day}, headers=headers)

    assert answer.status_code == 422
    assert "(day: debe ser de los años 1900 a 2200). Corríjalo" in answer.text


def test_it_is_read_page_by_page_without_gaps_or_repeats(office: Service, farm: str, day: HandDay) -> None:
    for misses in range(LIMIT + 20):
        edit(office.engine, farm, "row_pass", day.third, {"misses": misses + 10}, None, EVENING)
    seen, path = [], "/log?kind=row_pass"

    while path:
        page = get_page(office, path)
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
        ("person=nobody", "no name entered", "· Ana ·"),
        ("day=2026-05-14", "<ins>9</ins>", "Nothing like"),
        ("day=2026-05-13", "Nothing like that was found", "Row:"),
        ("before=nonsense", "Row:", "Nothing like"),
        ("kind=&person=&phone=&day=&text=", "Row:", "Nothing like"),  # as a browser sends what was left empty
    ],
)
@pytest.mark.usefixtures("day")
def test_the_address_asks_for_some_of_it(
    office: Service, farm: str, day: HandDay, asked: str, there: str, not_there: str
) -> None:
    edit(office.engine, farm, "row_pass", day.second, {"misses": 9}, None, EVENING)

    page = get_page(office, f"/log?{asked}")
    lines = page[page.index('id="changes"') :]

    assert there in lines
    assert not_there not in lines


def test_a_phone_can_be_asked_for(office: Service, farm: str) -> None:
    phone, other = office.phone(farm, "Ana's phone"), office.phone(farm, "Ben's phone")
    for each, name in ((phone, "West 1"), (other, "West 2")):
        each.add_bed(name)
        each.sync(office)

    page = get_page(office, f"/log?phone={phone.device}")

    assert "West 1" in page
    assert "West 2" not in page
    assert "· Ana&#39;s phone" in page


def test_wages_and_prices_are_shown_to_an_owner_only(office: Service, farm: str, day: HandDay) -> None:
    edit(office.engine, farm, "person", day.ana, {"wage_per_hour": 21.5}, None, EVENING)
    edit(office.engine, farm, "farm", farm, {"prices": {"seed": 0.125}}, None, EVENING)
    as_grower = [get_page(office, path) for path in ("/log", f"/log/person/{day.ana}", f"/log/farm/{farm}")]
    office.open_office(farm, Role.OWNER)

    as_owner = [get_page(office, path) for path in ("/log", f"/log/person/{day.ana}", f"/log/farm/{farm}")]

    assert not any("21.5" in page or "0.125" in page or "owners only" in page for page in as_grower)
    assert "21.5" in as_owner[0]
    assert "0.125" in as_owner[0]
    assert "the office, for owners only" in as_owner[1]


def test_what_breaks_a_rule_stands_first_and_is_set_right_there(office: Service, farm: str, day: HandDay) -> None:
    bad = day.book.flag("bed", name="Bed 9", length_mm=-3, rows=2)
    page = get_page(office, "/log")
    form = FormPage(office, f"/log/bed/{bad}")

    answer = form.send(length_mm="100")

    assert page.index("Needs a look") < page.index(f"/log/bed/{bad}") < page.index("Changes, the newest")
    assert "Length: enter a number above 0, 32,808 at most" in page
    assert answer.status_code == 303
    assert office.beds(farm)[bad] == "Bed 9"
    assert "Needs a look" not in get_page(office, "/log")


def test_an_empty_log_says_what_comes_here(service: Service) -> None:
    """A farm taken over from a phone has no line yet."""
    phone_farm = service.fakes.new_id()
    code = service.code(None)
    service.pair(code=code, device=service.fakes.new_device(), name="Phone", farm=phone_farm)
    service.open_office(phone_farm)

    assert "Every entry and correction: who, when, on which phone" in get_page(service, "/log")


def test_a_long_log_is_read_no_further_than_the_page(office: Service, farm: str) -> None:
    """A page of 20,000 lines takes about as long as one of 200: at most the time of a quarter of them."""
    phone = office.phone(farm)

    def seconds(path: str) -> float:
        begun = time.perf_counter()
        get_page(office, path)
        return time.perf_counter() - begun

    _many_lines(office, phone.device, farm, 200)
    few = min(seconds("/log") for _ in range(3))
    _many_lines(office, phone.device, farm, 20_000)
    many = min(seconds("/log") for _ in range(3))

    assert many < 3 * few + 0.05


def _many_lines(office: Service, device: str, farm: str, count: int) -> None:
    from shared_models.core.revision import Revision, text_of  # noqa: PLC0415
    from shared_models.log.log import get_or_create, write_line  # noqa: PLC0415 - only here
    from shared_models.log.store import writing  # noqa: PLC0415

    with writing(office.engine, farm) as connection:
        head = get_or_create(connection, farm, device)
        for _ in range(count):
            record = office.fakes.new_id()
            line = Revision(device, head.seq + 1, head.stamp + 65536, "bed", record, {"name": "B", "rows": 1})
            head = write_line(connection, head, line, text_of(line))
