"""How each figure comes about, as a page of the office and as a command."""

from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Page

from server.cli import main as cli
from shared_models.core.vocabulary import Role
from shared_models.methods import topics
from tests.fixtures.axe import grave_findings
from tests.server.support.service import Service


@pytest.fixture
def opened(page: Page, service: Service, farm: str) -> Iterator[Callable[[str], Page]]:
    """Opens an address in a browser in which somebody of the crew is signed in."""
    with service.served_to(page, farm, Role.CREW) as address:

        def at(path: str) -> Page:
            page.goto(address + path)
            return page

        yield at


def test_every_question_stands_in_its_stage_and_leads_to_its_methods(opened: Callable[[str], Page]) -> None:
    page = opened("/methods")

    assert page.get_by_role("heading", level=1).inner_text() == "How we calculate this"
    links = page.get_by_role("main").get_by_role("listitem").get_by_role("link")
    assert sorted(links.all_inner_texts()) == sorted(topic.question for topic in topics())
    page.get_by_role("region", name="Plant", exact=True).get_by_role("link", name="How fast did the rows go").click()
    assert page.get_by_role("heading", level=1).inner_text().startswith("How fast did the rows go")


def test_a_page_tells_every_method_with_its_formula_units_and_source(opened: Callable[[str], Page]) -> None:
    page = opened("/methods/pace.pace")

    methods = page.get_by_role("article")
    assert methods.count() == next(len(topic.methods) for topic in topics() if topic.module == "pace.pace")
    turns = page.get_by_role("article", name="turns(rows, longest_turn_s=1800.0)")
    assert turns.locator("dt").all_inner_texts() == ["Formula", "Units", "Source", "Refused"]
    assert "ASABE EP496" in turns.inner_text()


def test_an_address_leads_to_one_method(opened: Callable[[str], Page]) -> None:
    page = opened("/methods/stand.stand#wilson")

    wilson = page.get_by_role("article", name="wilson(")
    box = wilson.bounding_box()
    assert box is not None
    assert -1 <= box["y"] < 100
    assert wilson.evaluate("article => article.matches(':target')")


def test_outside_checks_are_told_with_how_far_off_they_were(opened: Callable[[str], Page]) -> None:
    page = opened("/methods/stand.stand")

    table = page.get_by_role("table", name="Checked against")
    row = table.get_by_role("row").filter(has_text="R 3.6.2 prop.test")
    assert row.locator("td").evaluate_all("cells => cells.map(cell => cell.lastChild.data.trim())") == [
        "quoted",
        "Confidence intervals of a stand",
        "22",
        "4.7\N{NO-BREAK SPACE}×\N{NO-BREAK SPACE}10⁻⁸",
        "1\N{NO-BREAK SPACE}×\N{NO-BREAK SPACE}10⁻⁶",
    ]


def test_what_nobody_outside_prints_says_so(opened: Callable[[str], Page]) -> None:
    page = opened("/methods/soil.readiness")

    assert "We know of no outside figure" in page.get_by_role("main").inner_text()
    assert page.get_by_role("table").count() == 0


def test_an_unknown_question_is_no_page(service: Service, farm: str) -> None:
    service.open_office(farm)

    answer = service.client.get("/methods/cheese", headers={"Accept": "text/html"})

    assert answer.status_code == 404
    assert "Page not found" in answer.text


def test_every_page_fits_its_screen(opened: Callable[[str], Page]) -> None:
    for path in ("/methods", *(f"/methods/{topic.module}" for topic in topics())):
        page = opened(path)
        for width in (360, 1280):
            page.set_viewport_size({"width": width, "height": 800})
            assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"), (path, width)
        ids: list[str] = page.evaluate("[...document.querySelectorAll('[id]')].map(each => each.id)")
        assert len(ids) == len(set(ids)), path


@pytest.mark.parametrize("path", ["/methods", "/methods/stand.stand"])
def test_everybody_can_use_the_pages(opened: Callable[[str], Page], path: str) -> None:
    assert grave_findings(opened(path)) == []


def test_the_page_is_for_the_farm_and_guarded_like_the_others(service: Service, farm: str) -> None:
    stranger = service.client.get("/methods/pace.pace", headers={"Accept": "text/html"})
    service.open_office(farm)
    answer = service.client.get("/methods/pace.pace")

    assert stranger.status_code == 401
    assert "Formula" not in stranger.text
    assert answer.status_code == 200
    assert answer.headers["content-security-policy"].startswith("default-src 'none'")
    assert "<script" not in answer.text
    assert '<p class="farm">Heronbrook</p>' in answer.text


def test_the_command_prints_one_part(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["methods", "pace.pace"]) == 0

    told = capsys.readouterr().out
    assert told.startswith("PACE.PACE  How fast did the rows go")
    assert "\n  turns(rows, longest_turn_s=1800.0)\n    Assign to each row of one team" in told
    assert "\n    Refused  when the longest turn is negative or not finite.\n" in told
    assert "\n    - Hand-setting rates: Bartok" in told
    assert "1 case, exact." in told
    assert max(map(len, told.splitlines())) <= 100
    assert "CHAIN" not in told


def test_the_command_prints_everything(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["methods"]) == 0

    told = capsys.readouterr().out
    assert [topic.module for topic in topics() if f"{topic.module.upper()}  " not in told] == []
    assert "Not checked against any outside figure." in told


def test_an_unknown_part_is_wrong_use(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["methods", "cheese"]) == 2

    complained = capsys.readouterr().err
    assert "No calculations are called 'cheese'. Choose one of: chain, misses.effects," in complained
    assert complained.count("\n") == 1
