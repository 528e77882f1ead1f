"""The documented columns are the ones there are."""

from pathlib import Path

import pytest

from server.exports.spreadsheets.column_docs import MEANINGS
from server.exports.spreadsheets.columns import columns_of, shown_columns
from server.exports.spreadsheets.columns_page import columns_page
from shared_models.fields.catalog import OFFICE_ONLY
from shared_models.records.models import KINDS
from shared_models.records.tables import PROJECTIONS, table_of

PAGE = Path(__file__).parents[3] / "docs" / "columns.md"


def test_the_page_in_docs_is_current() -> None:
    """Make it anew with: python -m server.exports.spreadsheets.columns_page > docs/columns.md."""
    assert PAGE.read_text(encoding="utf-8") == columns_page()


@pytest.mark.parametrize("kind", KINDS)
def test_every_field_is_a_column_with_a_meaning(kind: str) -> None:
    """A new field needs a sentence in server/exports/spreadsheets/column_docs.py."""
    columns = {column.name: column.meaning for column in columns_of(kind)}

    assert columns.keys() == set(table_of(PROJECTIONS[kind]).columns.keys()) - {"farm_id"}
    assert [name for name, meaning in columns.items() if not meaning] == []


def test_no_meaning_is_left_over() -> None:
    fields = {kind: set(model.model_fields) for kind, model in KINDS.items()}

    assert [(kind, name) for kind in KINDS for name in MEANINGS.get(kind, {}) if name not in fields[kind]] == []
    assert MEANINGS.keys() <= {"", *KINDS}


@pytest.mark.parametrize("kind", OFFICE_ONLY)
def test_what_is_for_the_office_only_is_no_column_for_others(kind: str) -> None:
    hidden = {column.name for column in columns_of(kind)} - {
        column.name for column in shown_columns(kind, private=False)
    }

    assert hidden == OFFICE_ONLY[kind]
