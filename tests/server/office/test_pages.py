"""Every page about the farm's work, by the same rules: everybody can use it, it prints, it talks both languages."""

import re
from dataclasses import replace
from gettext import NullTranslations
from html import unescape
from typing import Any

import pytest
from fastapi import Request
from playwright.sync_api import Page
from sqlmodel import select

from server.auth.dependencies import OfficeOf, ProvidersOf, Reading
from server.office.shell.context import OfficeContext, office_context
from server.render.localizer import Localizer
from server.web.language import LANGUAGE_COOKIE
from shared_models.core.vocabulary import Role
from shared_models.i18n.conventions import conventions
from shared_models.records.tables import Bed, Person, RowPass, SoilCheck, Sowing
from tests.fixtures.axe import grave_findings
from tests.server.support.office import FullDay, fits, get_page
from tests.server.support.service import BROWSER, Service
from tests.shared_models.reports.support.farmbook import FarmBook, HandDay

NASTY = "<b>Bed 9</b><script>alert(1)</script>"
PAGES = ("/", "/pace", "/stand", "/soil", "/season", "/plan", "/misses")


@pytest.mark.parametrize("width", [360, 1280])
def test_everybody_can_use_every_page(page: Page, address: str, full_day: FullDay, width: int) -> None:
    """Axe finds nothing serious, and nothing scrolls sideways, on a phone and on a desk."""
    page.set_viewport_size({"width": width, "height": 800})
    found: dict[str, Any] = {}

    for name, path in full_day.paths.items():
        page.goto(address + path)
        found[name] = (grave_findings(page), fits(page))

    assert found == dict.fromkeys(full_day.paths, ([], True))


@pytest.mark.parametrize(("width", "language"), [(360, "es"), (1920, "en")])
def test_every_page_fits_in_spanish_and_on_a_wide_desk(
    page: Page, address: str, full_day: FullDay, width: int, language: str
) -> None:
    page.set_viewport_size({"width": width, "height": 800})
    page.context.add_cookies([{"name": LANGUAGE_COOKIE, "value": language, "url": address}])
    found: dict[str, Any] = {}

    for name, path in full_day.paths.items():
        page.goto(address + path)
        found[name] = (page.locator("html").get_attribute("lang"), fits(page))

    assert found == dict.fromkeys(full_day.paths, (language, True))


@pytest.mark.parametrize("paper", [718, 741], ids=["A4", "Letter"])
def test_every_page_prints_on_paper_without_navigation(page: Page, address: str, full_day: FullDay, paper: int) -> None:
    page.emulate_media(media="print")
    page.set_viewport_size({"width": paper, "height": 1000})
    found: dict[str, Any] = {}

    for name, path in full_day.paths.items():
        page.goto(address + path)
        shown = [each for each in page.locator("nav, .filters, .language").all() if each.is_visible()]
        found[name] = (fits(page), shown)

    assert found == dict.fromkeys(full_day.paths, (True, []))


def test_a_chart_is_one_picture_with_a_sentence_and_is_there_once(page: Page, address: str, full_day: FullDay) -> None:
    page.set_viewport_size({"width": 1280, "height": 800})
    for name in ("pace", "stand", "soil", "bed", "season"):
        page.goto(address + full_day.paths[name])
        pictures = page.get_by_role("img").all()

        assert pictures, name
        for picture in pictures:
            assert len(picture.get_attribute("aria-label") or "") > 40
            assert [each.is_visible() for each in picture.locator("> div").all()] == [True, False]
            assert picture.locator("svg").first.get_attribute("aria-hidden") == "true"


def test_a_language_is_chosen_at_the_foot_and_kept(page: Page, address: str, full_day: FullDay) -> None:
    page.goto(address + "/pace?by=hour")
    page.get_by_role("button", name="Español").click()

    assert page.url.endswith("/pace?by=hour")
    assert page.get_by_role("heading", level=1).inner_text().startswith("Ritmo")
    page.goto(address + full_day.paths["season"])
    assert page.get_by_role("heading", level=1).inner_text() == "Temporada"
    page.get_by_role("button", name="English").click()
    assert page.get_by_role("heading", level=1).inner_text() == "Season"


@pytest.mark.parametrize("back", ["//elsewhere.test/", "https://elsewhere.test/", "/\\elsewhere.test"])
def test_the_choice_of_a_language_leads_nowhere_else(office: Service, back: str) -> None:
    answer = office.client.post("/language", data={"language": "es", "back": back}, follow_redirects=False)

    assert (answer.status_code, answer.headers["location"]) == (303, "/")


def test_a_language_nobody_talks_here_is_not_kept(office: Service) -> None:
    answer = office.client.post("/language", data={"language": "xx", "back": "/pace"}, follow_redirects=False)

    assert (answer.headers["location"], "set-cookie" in answer.headers) == ("/pace", False)


@pytest.mark.parametrize("path", PAGES)
@pytest.mark.parametrize("language", ["en", "es"])
def test_an_empty_farm_says_what_will_be_here_and_how_to_get_it(office: Service, path: str, language: str) -> None:
    page = get_page(office, path, language)

    assert ("What you will see here" if language == "en" else "Qué verá aquí") in page
    way = "/setup" if path == "/plan" else "/phones"
    assert f'href="{way}"' in page.partition('class="steps"')[2]


@pytest.mark.usefixtures("hand_day")
@pytest.mark.parametrize("path", PAGES[1:])
def test_days_without_anything_say_so(office: Service, path: str) -> None:
    page = get_page(office, f"{path}?from=2020-01-01&to=2020-12-31&crop=&bed=")

    assert "on these days" in page
    assert 'value="2020-01-01"' in page


@pytest.mark.parametrize(
    ("path", "status"),
    [
        ("/pace?from=yesterday", 422),
        ("/pace?by=moon", 422),
        ("/stand?from=2026-05-04&to=2026-05-01", 422),
        ("/season?from=0001-01-01", 422),
        ("/bed/none", 404),
        ("/sowing/none", 404),
        ("/soil?bed=none", 200),
    ],
)
@pytest.mark.usefixtures("hand_day")
def test_what_cannot_be_asked_is_told(office: Service, path: str, status: int) -> None:
    answer = office.client.get(path, headers=BROWSER)

    assert answer.status_code == status
    assert "<h1>" in answer.text


def test_a_stranger_sees_none_of_them(service: Service) -> None:
    for path in (*PAGES, "/bed/x", "/sowing/x"):
        assert service.client.get(path, headers=BROWSER).status_code == 401


def test_html_in_any_name_is_shown_as_text(office: Service, full_day: FullDay) -> None:
    book = full_day.hand.book
    bed, person = book.bed(NASTY, block=NASTY, texture="fine"), book.add("person", name=NASTY)
    planting = book.planting(bed, NASTY, 50.8, variety=NASTY, code=NASTY, seed_lot=NASTY)
    book.row(planting, 1, "10:00", "10:10", [person], misses=1, note=NASTY)
    book.add("soil_check", bed=bed, at=full_day.hand.later(7).isoformat(), feel="wet", note=NASTY)
    book.farm(name=NASTY)

    pages = [get_page(office, path) for path in (*full_day.paths.values(), f"/bed/{bed}")]

    assert [page for page in pages if "<script" in page or "<b>" in page] == []
    assert all("&lt;script&gt;" in page for page in pages)


DATES = conventions("en")
#: names, and dates, which follow the farm's country instead of a catalog
UNTRANSLATED = {
    "Rowend",
    "English",
    "Espa",
    "ol",
    *DATES.months,
    *DATES.short_months,
    *DATES.weekdays,
    *DATES.half_days,
}


class Marked(NullTranslations):
    """Translations that can be told from what was not translated."""

    def gettext(self, message: str) -> str:
        return f"«{message}»"

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return f"«{msgid1 if n == 1 else msgid2}»"


class MarkedSpeech(Localizer):
    """Talks so that every text which passed the catalogue is in marks."""

    def catalog(self) -> NullTranslations:
        return Marked()


def marked_context(office: OfficeOf, session: Reading, providers: ProvidersOf, request: Request) -> OfficeContext:
    desk = office_context(office, session, providers, "en", request)
    return replace(desk, localizer=MarkedSpeech("en", desk.farm.units, desk.farm.zone))


def in_greek(book: FarmBook) -> None:
    """Give everything that people have named or noted a Greek name."""
    named: dict[type[Any], tuple[str, ...]] = {
        Bed: ("name", "block"),
        Person: ("name",),
        Sowing: ("crop", "variety", "code", "seed_lot", "supplier"),
        RowPass: ("note",),
        SoilCheck: ("note",),
    }
    with book.reading() as session:
        found = [(table, record.id) for table in named for record in session.exec(select(table)).all()]
    for number, (table, record) in enumerate(found):
        book.change(str(table.__tablename__), record, **dict.fromkeys(named[table], f"Ωμέγα {number}"))
    book.farm(name="Φάρμα")


def untranslated(page: str) -> list[str]:
    """Latin words that a page shows or speaks outside the marks."""
    body = page.partition("<body>")[2]
    spoken = re.findall(r'(?:aria-label|title|placeholder|alt)="([^"]*)"', body)
    text = unescape(" ".join([re.sub(r"<[^>]*>", " ", body), *spoken]))
    while "«" in text:
        text, before = re.sub(r"«[^«»]*[»…]", " ", text), text
        if text == before:
            break
    return [word for word in re.findall(r"[A-Za-z]{2,}", text) if word not in UNTRANSLATED]


def test_every_shown_text_comes_from_the_catalog(office: Service, full_day: FullDay) -> None:
    """On a farm whose people write Greek, every Latin word on a page is ours, and was looked up."""
    in_greek(full_day.hand.book)
    office.app.dependency_overrides[office_context] = marked_context

    left = {name: untranslated(get_page(office, path)) for name, path in full_day.paths.items()}

    assert {name: words for name, words in left.items() if words} == {}


@pytest.mark.usefixtures("full_day")
@pytest.mark.parametrize(("role", "sees"), [(Role.CREW, False), (Role.GROWER, False), (Role.OWNER, True)])
def test_only_an_owner_sees_what_plants_cost(service: Service, farm: str, role: Role, sees: bool) -> None:
    service.open_office(farm, role)

    page = get_page(service, "/season")

    assert ("What a living plant cost" in page) is sees
    assert "Successions" in page


def test_a_page_of_another_farm_is_not_found(office: Service, hand_day: HandDay) -> None:
    office.open_office(office.make_farm("Elsewhere"))

    assert office.client.get(f"/bed/{hand_day.north}", headers=BROWSER).status_code == 404
    assert "Ana" not in get_page(office, "/pace")
