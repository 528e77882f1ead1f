"""The office in Spanish: its catalogue is complete, nothing is shown that was not translated, and browsers choose."""

from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

import server
import shared_models
from server.office.forms import fields, limits
from server.office.forms.field_kinds import Number
from server.office.forms.requests import NOT_SAVED
from server.office.log import routes as log
from server.office.methods import page as methods_page
from server.office.methods.calculators import labor, money, raising
from server.office.methods.calculators import soil as soil_calculators
from server.office.methods.calculators.registry import CALCULATORS
from server.office.people import account_routes, accounts, phone_routes, sign_in_routes
from server.office.reports import misses, season, soil
from server.office.reports.charts import base as charts
from server.office.setup import page as setup_page
from server.office.setup import routes as setup
from server.office.shell import navigation, public_pages
from server.render import localizer, plan_tables
from server.render.localizer import FOLDER, Localizer
from server.render.tables import BY, TOTAL
from server.web.language import preferred
from shared_models import errors
from shared_models.core.vocabulary import LengthUnits
from shared_models.errors import kind_in_words
from shared_models.i18n import localizer as shared_speech
from shared_models.i18n.labels import LABELS
from shared_models.lazy_message import LazyMessage
from shared_models.methods import topics
from shared_models.reports.audit import attention, entries
from shared_models.reports.common import references
from shared_models.reports.rows import rows
from shared_models.reports.sheets import heat as heat_words
from shared_models.reports.soil import beds, wording
from shared_models.reports.stand import stands
from shared_models.trade.misses import effects, suggestion
from shared_models.trade.planning import conflicts
from shared_models.trade.soil.readiness import SENTENCES
from shared_models.trade.weather.heat_index import ADVICE, LOCAL_RULES
from tests.fixtures.catalogs import differing_gaps, in_calls, read_catalog
from tests.server.support.office_texts import bare, constants, in_templates
from tests.shared_models.error_texts import raised_in, shared_texts

SPANISH = read_catalog(FOLDER, "es")
PHONES = read_catalog(Path(shared_models.__file__).parents[1] / "mobile" / "i18n" / "locale", "es")
SERVER = Path(server.__file__).parent
SOURCES = [*sorted(SERVER.rglob("*.py")), Path(shared_speech.__file__), Path(wording.__file__)]
TEMPLATES = sorted((SERVER / "office" / "templates").rglob("*.html"))
#: the same English means another thing on the phone, or has less room there
ELSE_ON_THE_PHONE = {"To", "field time", "planted", "deleted", "depth"}


def in_tables() -> Iterator[str]:
    yield from localizer.UNKNOWN
    yield from shared_speech.NEAR_DAYS.values()
    for table in (*LABELS.values(), wording.FACTORS, BY):
        yield from table.values()
    yield from (charts.SAME_FIGURES, soil.NOT_FELT)
    yield from (wording.NOT_CHECKED, wording.NO_PROBLEMS, TOTAL)
    for _, reason, change in SENTENCES.values():
        yield from (reason, change)
    yield from (rows.BED_AND_ROW, rows.NOT_ENDED, rows.ODD_TIMES, rows.LONG_STOPS, attention.IN_THE_FUTURE)
    yield from (references.NO_PLANTING, references.NO_SOWING, references.NO_BED, references.PLANTING_DELETED)
    yield from (beds.TILLED_AFTER, stands.MORE_MISSES, stands.MORE_PLANTS, *attention.LABELS.values())
    yield from (item.name for item in navigation.NAVIGATION)
    yield from (*sign_in_routes.TITLES.values(), *sign_in_routes.EXPLANATIONS.values(), *account_routes.DONE.values())
    yield from (*public_pages.TITLES.values(), public_pages.OTHER_TITLE, *accounts.MAY_DO.values())
    yield from (*soil.LACKING.values(), *season.PRICE_NAMES.values())
    yield from (*heat_words.LEVELS.values(), heat_words.HEAT, heat_words.BESIDE, LOCAL_RULES)
    yield from (ADVICE[level] for level in heat_words.LEVELS)
    yield from (*effects.SENTENCES.values(), *suggestion.SENTENCES.values())
    yield from misses.FACTOR_NAMES.values()
    yield from (*conflicts.SENTENCES.values(), *plan_tables.LACKING.values())
    yield from (plan_tables.NO_GROWING_TIME, plan_tables.HOLDING, plan_tables.DAYS_FROM)
    yield from (*methods_page.STAGES, *(topic.question for topic in topics()))
    yield from in_forms()
    yield from in_calculators()


def in_forms() -> Iterator[str]:
    """Texts of the forms: fields and their hints, kinds, rules, limits, and the lists of the set-up."""
    for form in fields.FIELDS.values():
        for field in form:
            yield from (field.label, field.hint)
            if isinstance(field.kind, Number) and field.kind.quantity.is_length:
                yield from (field.kind.quantity.feet.name, field.kind.quantity.metres.name)
    yield from (name for names in entries.KIND_NAMES.values() for name in names)
    yield from (entries.IN_NO_REPORT, entries.LAST_GOOD, entries.CONFLICT)
    yield from (limits.PRACTICE, NOT_SAVED, *log.DONE.values())
    yield from (*setup.DONE.values(), *phone_routes.DONE.values())
    for group, each in (*limits.GROUPS.items(), *limits.PRICES.items()):
        yield from (group, *(text for limit in each for text in (limit.label, limit.decides)))
    yield from (text for listed in setup_page.LISTS.values() for text in (listed.name, listed.what))


def in_calculators() -> Iterator[str]:
    """Texts of what can be worked out: titles, cautions, fields and their hints, what is said of a lift or of soil."""
    for calculator in (each for several in CALCULATORS.values() for each in several):
        yield from (calculator.title, calculator.caution)
        for field in calculator.inputs:
            yield from (field.label, field.hint)
            yield from getattr(field.kind, "labels", {}).values()
    yield from (*raising.CROPS.values(), *labor.PARTS.values(), *money.MOVED.values())
    yield from (labor.NOT_AT_ALL, labor.FOR_NEARLY_ALL, labor.FOR_SOME, labor.FOR_NOBODY)
    yield from (soil_calculators.TOO_WET, soil_calculators.FIT_TO_TILL)


def in_constants() -> Iterator[str]:
    """Every text in the code that is said when something goes wrong, or looked up in a table of somebody else's."""
    for source in (*SERVER.rglob("*.py"), Path(errors.__file__)):
        yield from constants(source)


#: the command line is in English
ROOMS = ("api", "auth", "farms", "office", "web")
KINDS_OF_THE_OFFICE = {kind_in_words(kind) for kind in ("account", "phone", "page", "password")}
RAISED = {
    *raised_in(path for room in ROOMS for path in sorted((SERVER / room).rglob("*.py"))),
    *raised_in([SERVER / "error_handlers.py"]),
    *shared_texts(),
    *KINDS_OF_THE_OFFICE,
}
ASKED = {text for text in (*in_calls(SOURCES), *in_templates(TEMPLATES), *in_tables(), *RAISED) if text}


def test_every_text_has_its_spanish() -> None:
    assert sorted(ASKED - SPANISH.keys()) == []


def test_no_spanish_is_kept_that_nobody_asks_for() -> None:
    assert sorted(SPANISH.keys() - ASKED - {"", *in_constants()}) == []


def test_the_gaps_are_the_same() -> None:
    assert differing_gaps(SPANISH) == []


def test_phone_and_office_say_the_same_thing_alike() -> None:
    both = {text for text in SPANISH.keys() & PHONES.keys() if text} - ELSE_ON_THE_PHONE

    assert {text: (SPANISH[text], PHONES[text]) for text in both if SPANISH[text] != PHONES[text]} == {}


@pytest.mark.parametrize("template", TEMPLATES, ids=lambda template: template.stem)
def test_a_template_shows_and_speaks_nothing_that_passes_no_catalogue(template: Path) -> None:
    assert set(bare(template)) <= {"Rowend", "CSV", "UTF"}


@pytest.mark.parametrize(
    ("accepted", "language"),
    [
        ("", "en"),
        ("es", "es"),
        ("es-MX,es;q=0.9,en;q=0.8", "es"),
        ("en-GB,en;q=0.9,es;q=0.8", "en"),
        ("de,fr;q=0.9", "en"),
        ("de,es;q=0.5", "es"),
        ("en;q=0,es;q=0.1", "es"),
        ("en;q=x,,;;", "en"),
    ],
)
def test_a_browser_is_answered_in_the_language_it_likes_best(accepted: str, language: str) -> None:
    assert preferred(accepted) == language


def test_figures_are_written_the_local_way() -> None:
    english, spanish = Localizer("en"), Localizer("es", LengthUnits.METRES, ZoneInfo("Europe/Madrid"))

    assert (english.fixed(1234.5, 1), spanish.fixed(1234.5, 1)) == ("1,234.5", "1.234,5")
    assert (english.percent(0.9999, 1), spanish.percent(0.9999, 1)) == ("99.9%", "99,9\N{NO-BREAK SPACE}%")
    assert (english.fixed(None), spanish.length_figure(30_480, 1)) == ("–", "30,5")
    assert (english.unit, Localizer("es").unit, spanish.spacing(50.8)) == ("ft", "pies", "5,1 cm")


def test_dates_are_written_the_local_way() -> None:
    english, spanish, day = Localizer("en"), Localizer("es"), date(2026, 5, 4)

    assert english.full_date(day) == "Monday, May 4, 2026"
    assert spanish.full_date(day) == "lunes, 4 de mayo de 2026"
    assert (english.date(day), spanish.date(day)) == ("May 4, 2026", "4 may 2026")
    assert spanish.date_range(day, date(2026, 5, 9)) == "4 may 2026 a 9 may 2026"
    assert (english.date_range(day, day), english.date(None)) == ("May 4, 2026", "–")
    assert english.date_time(datetime(2026, 5, 4, 14, 7, tzinfo=UTC)) == "May 4, 2026, 2:07\N{NO-BREAK SPACE}PM"


def test_a_sentence_of_a_report_is_translated_with_its_figures() -> None:
    message = LazyMessage(stands.MORE_MISSES, misses=7, places="5")

    assert message == "7 misses on 5 places: check the rows' lengths and misses."
    assert Localizer("es").t_lazy(message) == "7 fallas en 5 lugares: revise largos y fallas de las hileras."
    assert Localizer("es").t_lazy("what somebody typed") == "what somebody typed"


def test_what_is_not_known_has_a_name_in_every_language_and_names_stay() -> None:
    assert Localizer("es").name("Ana + unknown person") == "Ana + persona desconocida"
    assert Localizer("es").name("Bed 1") == "Bed 1"
