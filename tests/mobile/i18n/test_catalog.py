"""The Spanish catalog is complete, and its gaps are the English ones."""

from collections.abc import Iterator
from pathlib import Path

import pytest

import mobile
from mobile.i18n.localizer import FOLDER
from mobile.log import moving
from mobile.presenters import about
from mobile.presenters.base import labels, numbers
from mobile.presenters.base.form import Form
from mobile.presenters.checks import trays
from mobile.presenters.history import entries as history_entries
from mobile.presenters.history import fields, pace
from mobile.presenters.menus import Menu
from mobile.presenters.row import row_length, undo
from mobile.screens import routes
from shared_models.fields.catalog import fields_of
from shared_models.i18n import localizer
from shared_models.i18n.catalog import catalog
from shared_models.i18n.labels import LABELS
from shared_models.reports.audit import entries
from shared_models.trade.raising import tray_readiness
from shared_models.trade.soil.feel import GUIDE, STEPS
from shared_models.trade.soil.readiness import SENTENCES
from tests.fixtures.catalogs import differing_gaps, in_calls, read_catalog
from tests.shared_models.error_texts import raised_in, shared_texts

SOURCES = [*sorted(Path(mobile.__file__).parent.rglob("*.py")), Path(localizer.__file__)]
SPANISH = read_catalog(FOLDER, "es")


def in_tables() -> Iterator[str]:
    """Texts that are looked up by what they stand for."""
    for table in LABELS.values():
        yield from table.values()
    yield from (*pace.BYS.values(), *(text for each in pace.MEASURES.values() for text in each), *labels.UNKNOWN)
    for guide in GUIDE.values():
        yield from guide.values()
    for _, reason, change in (*SENTENCES.values(), *tray_readiness.SENTENCES.values()):
        yield from (reason, change)
    yield from (*row_length.HINDRANCES.values(), *row_length.WHY_TAPE.values(), trays.TOO_OLD)
    yield from (*STEPS, *localizer.NEAR_DAYS.values(), *undo.FIELDS.values())
    yield from (*about.CAUTIONS, *labels.SLOW_ROW_FIXES.values())
    yield from (moving.MOVE, moving.REPLANT)
    yield from (each.label for kind in fields.ASKS for each in fields_of(kind).values())
    yield from (each.label for kind in fields.ASKS for each in fields.fields_of(kind))
    yield from (unit.name for each in numbers.STEPS if each.is_length for unit in (each.feet, each.metres))
    yield from (name for both in entries.KIND_NAMES.values() for name in both)
    yield from (entries.IN_NO_REPORT, entries.LAST_GOOD, entries.CONFLICT)
    yield from (history_entries.NOT_IN_REPORTS, history_entries.LAST_GOOD_COUNTS)
    for presenter, _ in routes.ROUTES.values():
        if isinstance(presenter, type) and issubclass(presenter, Form):
            yield from (presenter.title, presenter.saves)
            if issubclass(presenter, Menu):
                yield from (presenter.ask, *(text for each in presenter.entries for text in (each.text, each.detail)))


ASKED = {text for text in (*in_calls(SOURCES), *in_tables(), *raised_in(SOURCES), *shared_texts()) if text}


def test_every_text_has_its_spanish() -> None:
    assert sorted(ASKED - SPANISH.keys()) == []


def test_no_spanish_is_kept_that_nobody_asks_for() -> None:
    assert sorted(SPANISH.keys() - ASKED - {""}) == []


def test_the_gaps_are_the_same() -> None:
    assert differing_gaps(SPANISH) == []


def test_plurals_are_chosen_by_number() -> None:
    texts = catalog(FOLDER, "es")

    one, two = (texts.ngettext("{n} miss", "{n} misses", n) for n in (1, 2))

    assert (one, two) == ("{n} falla", "{n} fallas")


def test_english_is_what_the_code_says() -> None:
    assert catalog(FOLDER, "en").gettext("a") == "a"


def test_a_language_without_a_compiled_catalog_is_refused(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        catalog(tmp_path, "es")
