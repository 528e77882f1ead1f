"""A printed record is checked months later: scanned or typed, in the office or by a command."""

import html
import re
from datetime import timedelta
from pathlib import Path
from urllib.parse import parse_qsl, urlsplit

import pytest
import segno
from playwright.sync_api import Page, expect
from sqlalchemy import update

from server.cli import main as cli
from server.exports.proof import paper
from server.farms import qr
from server.farms.edits import edit
from server.office.log import inspector_record
from server.web.language import LANGUAGE_COOKIE
from shared_models.core.vocabulary import Role
from shared_models.log.fork import branch_off
from shared_models.log.log import find
from shared_models.log.store import writing
from shared_models.records.tables import Line, table_of
from tests.fixtures.axe import grave_findings
from tests.server.office.log.conftest import EVENING
from tests.server.support.office import fits, get_page
from tests.server.support.service import BROWSER, Service
from tests.shared_models.reports.support.farmbook import HandDay

UNCHANGED = "Unchanged up to line N (May N, N)."


class Printed:
    """The planting record of the hand day's first bed, as it was printed."""

    def __init__(self, office: Service, day: HandDay) -> None:
        self.page = office.client.get(f"/record/{day.north}", headers=BROWSER).text
        self.typed = re.findall(r"<td>([0-9a-f]{8} \d+(?: [0-9a-f]{4}){4})</td>", self.page)


@pytest.fixture
def links(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What was put into QR codes."""
    drawn: list[str] = []

    def draw(link: str) -> str:
        drawn.append(link)
        return qr.qr_svg(link)

    monkeypatch.setattr(inspector_record, "qr_svg", draw)
    return drawn


@pytest.fixture
def printed(office: Service, farm: str, day: HandDay, links: list[str]) -> Printed:
    """A correction from the office stands on it already."""
    assert links == []
    edit(office.engine, farm, "row_pass", day.second, {"length_mm": 30_000}, day.ben, EVENING)
    return Printed(office, day)


def local(link: str) -> str:
    """The path and query of an address."""
    parts = urlsplit(link)
    return f"{parts.path}?{parts.query}"


def answers(page: str) -> list[str]:
    found = re.findall(r'<p class="verdict">.*?</svg>(.*?)</p>', page, re.DOTALL)
    return [html.unescape(re.sub(r"<[^>]+>|\s+", " ", each)).strip().replace("  ", " ") for each in found]


def check(office: Service, **asked: str) -> str:
    answer = office.client.get("/log/proof", params=asked, headers=BROWSER)
    assert answer.status_code == 200, answer.text
    return answer.text


def test_each_log_of_the_record_is_printed_to_be_typed_and_scanned(
    office: Service, farm: str, printed: Printed, links: list[str]
) -> None:
    holds = office.holds(farm)
    (link,) = links
    pairs = parse_qsl(urlsplit(link).query)
    scanned = [paper.parse_scanned(value) for name, value in pairs if name == "head"]

    assert len(printed.typed) == 2
    assert {(head.device, head.line, head.digest) for head in scanned} == {
        (device.replace("-", ""), seq, digest) for device, (seq, digest) in holds.items()
    }
    assert link.startswith("http://127.0.0.1:8000/log/proof?bed=")
    assert segno.make_qr(link, error="m").symbol_size(border=0)[0] <= 17 + 4 * 14  # version 14
    assert "<svg" in printed.page


def test_the_code_leads_to_unchanged_and_to_what_was_added_since(
    office: Service, farm: str, day: HandDay, printed: Printed, links: list[str]
) -> None:
    """A correction in this bed, and a phone's that had not synced; none of another bed."""
    del printed
    before = get_page(office, local(links[0]))
    office.fakes.wait(days=80)
    edit(office.engine, farm, "row_pass", day.second, {"misses": 9}, None, office.fakes.time)
    edit(office.engine, farm, "bed", day.south, {"note": "elsewhere"}, None, office.fakes.time)
    phone = office.phone(farm, "Late phone")
    phone.write("soil_check", bed=day.north, at=EVENING.isoformat(), feel="moist", note="from late phone")
    phone.exchange(office, phone.page({}))
    office.open_office(farm, Role.GROWER)

    after = get_page(office, local(links[0]))

    assert [len(answers(before)), *(re.sub(r"\d+", "N", each.partition(": ")[2]) for each in answers(before))] == [
        2,
        *[UNCHANGED] * 2,
    ]
    assert "Nothing." in before
    assert answers(after) == answers(before)
    added = after[after.index('id="added"') : after.index('id="ask"')]
    assert "<ins>9</ins>" in added
    assert "from late phone" in added
    assert "elsewhere" not in added
    assert "30,000" not in added


def test_typed_digests_are_answered_too(office: Service, farm: str, day: HandDay, printed: Printed) -> None:
    edit(office.engine, farm, "bed", day.south, {"note": "elsewhere"}, None, EVENING)
    typed = "\n".join(printed.typed).upper().replace("0", "O")

    everywhere, here = check(office, typed=typed), check(office, typed=typed, bed=day.north)

    assert len(answers(here)) == 2
    assert all("Unchanged up to line" in each for each in answers(here))
    assert "elsewhere" in everywhere
    assert "elsewhere" not in here[: here.index('id="ask"')]


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("{device} 1 {other}", "Line 1 of this log has another digest. This paper does not come from these records"),
        ("{device} {line} {typo}", "All digits but group 2 fit. Check that group"),
        ("{device} 99,999 {digest}", "Line 99,999 is not here: this log ends at line {line}. Sync that phone"),
        ("{device} 0 {digest}", "Line 0 is not here"),
        ("abcdef12 1 {digest}", "No log here begins with abcdef12."),
        ("{device} {line} 9f2c", "Type at least 16 digits of the digest. These are 4."),
        ("{device} {line}", "Type the log, the line number and the digest as they are printed"),
        ("{device} x {digest}", "“x” is not a line number."),
        ("{device} {line} 9f2c 81aa 03bd 77zz", "“77zz” is not part of a digest."),
        ("ab 1 {digest}", "“ab” is not the beginning of a log's id."),
        ("{device} {line} " + "ab" * 33, "is not part of a digest"),
    ],
)
def test_whatever_else_is_typed_gets_an_answer_that_says_what_to_do(
    office: Service, printed: Printed, typed: str, sentence: str
) -> None:
    device, line, *groups = printed.typed[0].split()
    other = ["0000", "0000", *groups[2:]]
    typo = [groups[0], "0000" if groups[1] != "0000" else "1111", *groups[2:]]
    values = {"device": device, "line": line, "digest": " ".join(groups)}
    values |= {"other": " ".join(other), "typo": " ".join(typo)}

    page = html.unescape(check(office, typed=typed.format(**values)))

    assert sentence.format(line=line) in page
    assert "Unchanged" not in page


def test_a_line_changed_on_the_disk_is_found(office: Service, farm: str, printed: Printed) -> None:
    line = table_of(Line)
    with writing(office.engine, farm) as connection:
        connection.execute(update(line).where(line.c.seq == 1).values(text="changed"))

    assert all("Line 1 of this log is damaged here" in each for each in answers(check(office, typed=printed.typed[0])))


def test_lines_that_moved_to_a_branch_are_still_the_papers(office: Service, farm: str) -> None:
    phone = office.phone(farm)
    for name in ("West 1", "West 2", "West 3"):
        phone.add_bed(name)
    phone.sync(office)
    with writing(office.engine, farm) as connection:
        log = find(connection, phone.device)
        assert log
        typed = paper.typed_form(log)
        branch_off(connection, farm, phone.device, 1)

    assert "Unchanged up to line 3" in check(office, typed=typed)


@pytest.mark.usefixtures("printed")
def test_other_farms_strangers_and_odd_codes_learn_nothing(office: Service, links: list[str]) -> None:
    office.open_office(office.make_farm("Oak Hollow"))

    elsewhere = get_page(office, local(links[0]))
    odd = check(office, head="a.b.c", bed="no bed")
    office.client.cookies.clear()
    stranger = office.client.get(local(links[0]), headers=BROWSER, follow_redirects=False)

    assert all("No log here begins with" in each for each in answers(elsewhere))
    assert "Type the log, the line number" in odd
    assert "Unchanged" not in stranger.text


@pytest.mark.usefixtures("printed")
def test_whoever_scans_signed_out_is_led_back_after_signing_in(office: Service, farm: str, links: list[str]) -> None:
    """A code of many logs is long."""
    form = {"sign_in": "Ana", "password": "nine wet trays of leeks"}
    office.account(farm, Role.GROWER, "Ana", password=form["password"])
    office.client.cookies.clear()
    code = local(links[0]) + "&head=AAAAAAABcACAAAAAAAAAAA.13.wsOG3Mugn5q58DPXlUyzWKMSE6AtrU692KNZyvGcfmQ" * 8
    asked = office.client.get(code, headers=BROWSER).text
    found = re.search(r'name="back" value="([^"]*)"', asked)
    assert found
    form["back"] = html.unescape(found[1])

    answer = office.client.post("/sign-in", data=form, headers=BROWSER, follow_redirects=False)

    assert answer.headers.get("location") == code


def test_the_command_answers_alike(
    office: Service, farm: str, day: HandDay, printed: Printed, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    edit(office.engine, farm, "row_pass", day.second, {"misses": 9}, None, EVENING + timedelta(minutes=1))

    def run(*words: str) -> tuple[int, str, str]:
        status = cli.run(["verify", *words, "--data", str(tmp_path)])
        return status, *capsys.readouterr()

    both = [word for typed in printed.typed for word in ("--digest", typed)]
    status, said, _ = run(*both, "--bed", "Bed 1")
    assert status == 0
    assert said.count("Unchanged up to line") == 2
    assert "Misses: 6 → 9" in said
    assert run("--digest", printed.typed[0], "--bed", "Bed 1")[0] == 0
    status, _, errors = run("--digest", "abcdef12 1 9f2c 81aa 03bd 77e1")
    assert status == 1
    assert "No log here begins" in errors
    assert run("--digest", "ab 1")[0] == 2
    assert run("some file", "--digest", printed.typed[0])[0] == 2


@pytest.mark.parametrize("language", ["en", "es"])
def test_record_and_answer_are_for_everybody_and_print(
    page: Page, office: Service, farm: str, day: HandDay, printed: Printed, links: list[str], language: str
) -> None:
    """At 360 and 1280 px nothing scrolls sideways, Axe finds nothing serious, and no policy is broken."""
    edit(office.engine, farm, "row_pass", day.second, {"misses": 9}, None, EVENING)
    broken: list[str] = []
    page.on("console", lambda message: broken.append(message.text))
    with office.served_to(page, farm) as address:
        page.context.add_cookies([{"name": LANGUAGE_COOKIE, "value": language, "url": address}])
        for width in (360, 1280):
            page.set_viewport_size({"width": width, "height": 800})
            page.goto(f"{address}/record/{day.north}")
            expect(page.locator(".code svg")).to_be_visible()
            assert (grave_findings(page), fits(page)) == ([], True)
            page.goto(address + local(links[0]))
            assert page.locator(".verdict").count() == 2
            assert (grave_findings(page), fits(page)) == ([], True)
            page.get_by_role("textbox").fill("\n".join(printed.typed))
            page.locator("form.paper button").click()
            assert page.locator(".verdict").count() == 2
        page.emulate_media(media="print")
        page.set_viewport_size({"width": 718, "height": 1000})
        page.goto(f"{address}/record/{day.north}")
        box = page.locator(".code svg").bounding_box()
    assert broken == []
    assert box
    assert 150 < box["width"] < 300
