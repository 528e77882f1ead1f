"""What goes with misses as it is read: on the page and over HTTP."""

import pytest
from playwright.sync_api import Page

from server.office.reports.misses import misses_page
from server.office.shell.query import FilterForm
from server.render.localizer import Localizer
from server.web.language import LANGUAGE_COOKIE
from shared_models.reports.misses import MissesSheet
from shared_models.trade.misses.effects import analyze_misses
from shared_models.trade.misses.factors import Factor
from shared_models.trade.misses.suggestion import Proposal, Suggestion
from tests.fixtures.axe import grave_findings
from tests.server.office.test_report_pages import words
from tests.server.support.office import cells, fits, get_page
from tests.server.support.service import Service
from tests.shared_models.reports.support.farmbook import FarmBook, HandDay
from tests.shared_models.reports.test_misses import logged
from tests.shared_models.trade.weather.season import season

NOTHING_ASKED = FilterForm("/misses", None, None, (), ())


@pytest.fixture
def year(office: Service, farm: str) -> FarmBook:
    """A season of twelve plantings in which depth went with misses."""
    book = FarmBook(office.engine, id=farm)
    logged(book, season(12, depth_effect=0.06, planting_scatter=0.2))
    return book


@pytest.mark.usefixtures("year")
def test_the_page_says_what_went_with_misses_and_what_to_try(page: Page, address: str) -> None:
    page.goto(f"{address}/misses")

    main = page.inner_text("main")
    assert "What goes along with misses (a hint, not proof)." in main
    assert "Set the furrow to this depth in the next rows and see whether misses fall." in main
    assert page.get_by_role("region", name="Try next").locator(".big").inner_text() == "0.9 in"
    assert "0.4 in deeper: Deeper rows had more misses. Odds of a miss: 1." in main
    effects = page.get_by_role("table", name="Each one adjusted for the others")
    depth = cells(effects, "0.4 in deeper")
    assert float(depth[0]) > 1.4
    assert depth[2] == ">\N{NO-BREAK SPACE}99%"
    assert float(depth[3]) > 1.4
    assert effects.get_by_role("row").filter(has_text="against").last.get_by_role("cell", name="–").count() == 2
    says = page.get_by_role("img").get_attribute("aria-label") or ""
    assert says.startswith("How many times the odds of a miss, with 95% intervals")
    left_out = page.get_by_role("region", name="Not compared").inner_text()
    assert "spacing: The same in every row" in left_out


@pytest.mark.usefixtures("year")
@pytest.mark.parametrize(("width", "language"), [(360, "es"), (1280, "en")])
def test_everybody_can_use_it_with_a_picture_too(page: Page, address: str, width: int, language: str) -> None:
    page.set_viewport_size({"width": width, "height": 800})
    page.context.add_cookies([{"name": LANGUAGE_COOKIE, "value": language, "url": address}])
    page.goto(f"{address}/misses")

    assert page.get_by_role("img").count() == 1
    assert (grave_findings(page), fits(page)) == ([], True)


@pytest.mark.usefixtures("hand_day")
def test_few_rows_say_how_many_more_it_takes(office: Service) -> None:
    page = words(get_page(office, "/misses"))

    assert "Not enough rows yet to say what goes along with misses." in page
    assert "Too few rows to be sure: about 7 more rows like these needed" in page
    assert "To compare moisture, plant age and tillage, 3 more plantings needed." in page
    assert "Odds of a miss" not in page


def test_rows_without_a_miss_and_rows_left_out_are_told(office: Service, hand_day: HandDay) -> None:
    hand_day.book.change("row_pass", hand_day.second, misses=0, filled=0)
    hand_day.book.row(hand_day.leeks, 2, "10:00", None, [hand_day.cy])

    page = words(get_page(office, "/misses"))

    assert "No misses in these rows, so there is nothing to compare." in page
    assert "1 row is left out." in page


@pytest.mark.parametrize(
    ("factor", "settings", "told"),
    [
        (Factor.PLANT_AGE, (30.0, 44.0), "30 days and 44 days"),
        (Factor.TILLAGE_AGE, (1.0, 48.4), "1 hour and 48 hours"),
        (Factor.MOISTURE, ("wet", "slightly_moist"), "wet and slightly moist"),
        (Factor.DEPTH, (25.4, 38.1), "1 in and 1.5 in"),
    ],
)
def test_two_settings_to_compare_are_told_with_the_rows_it_takes(
    factor: Factor, settings: tuple[float | str, ...], told: str
) -> None:
    suggestion = Suggestion(factor, Proposal.COMPARE, settings, 1.3, 1e-9, 1e9, beyond=False, sure=0.8, more_rows=40)

    shown = misses_page(MissesSheet(analyze_misses([]), (), suggestion, 0), NOTHING_ASKED, Localizer()).to_try

    assert shown is not None
    assert shown.settings == told
    assert (
        "1.30 times the odds of a miss of the first (95% interval < 0.01 to > 100; 80% sure which is better)"
        in shown.sure
    )
    assert shown.beside == "If the difference is as large as it looks, 40 more rows should make it clear."


def test_a_step_outside_of_what_was_tried_is_to_be_tried_in_one_row() -> None:
    step = Suggestion(Factor.DEPTH, Proposal.STEP, (12.7,), 0.5, 0.4, 0.6, beyond=True, sure=0.99, more_rows=None)

    shown = misses_page(MissesSheet(analyze_misses([]), (), step, 0), NOTHING_ASKED, Localizer()).to_try

    assert shown is not None
    assert shown.beside == "Not tried yet: test it in one row first."


@pytest.mark.usefixtures("year")
def test_the_api_gives_the_same_figures(service: Service) -> None:
    told = service.client.get("/v1/misses").json()

    depth = told["effects"][0]
    assert (depth["factor"], depth["direction"], depth["step"]) == ("depth_mm", "more", 10)
    assert depth["low"] < depth["odds_ratio"] < depth["high"]
    assert depth["alike_low"] > 1
    assert (told["rows"], told["plantings"], told["unusable"]) == (60, 12, 0)
    assert (told["next"]["proposal"], told["next"]["factor"]) == ("step", "depth_mm")


@pytest.mark.usefixtures("hand_day")
def test_the_api_says_what_is_lacking(service: Service) -> None:
    told = service.client.get("/v1/misses", params={"since": "2026-05-01"}).json()

    assert (told["effects"], told["next"], told["rows_lacking"]) == ([], None, 7)


def test_a_stranger_learns_nothing(service: Service) -> None:
    assert service.client.get("/v1/misses").status_code == 401


def test_the_misses_are_described_with_an_example(service: Service) -> None:
    described = service.app.openapi()
    answer = described["paths"]["/v1/misses"]["get"]["responses"]["200"]["content"]["application/json"]

    assert answer["example"].keys() == described["components"]["schemas"]["MissesOut"]["properties"].keys()
