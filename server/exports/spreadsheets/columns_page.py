"""The page that documents the columns, made from the field models (docs/columns.md)."""

import json
import sys
from collections.abc import Iterable

from server.exports.spreadsheets.columns import Column, columns_of
from server.exports.spreadsheets.records import FLAGGED, FLAGGED_COLUMNS
from shared_models.fields.catalog import FieldType
from shared_models.records.models import KINDS

_HEAD = """\
# The columns of the exported tables

*Made from the field models; do not edit. `rowend export --out DIR` writes it beside the tables.*

One table for each kind of record, `KIND.csv`, and the same in one document, `records.json`. Columns are found by their
names: their order may change and new ones may come, but a name keeps its meaning. `records.json` also has the logs
that the records come from, with their signatures: `rowend verify records.json` checks them on any machine
(docs/sync.md, section 12).

* Tables are CSV as RFC 4180 has it: UTF-8, commas, quotes where they are needed, lines end with CR LF.
* A **time** is ISO 8601 in UTC, such as `2026-05-14T12:15:00Z`; a **day** is `2026-05-14` on the farm's clock.
* Lengths are in millimeters (`_mm`) or meters (`_m`), temperatures in °C (`_c`), percentages 0 to 100 (`_pct`).
* **yes or no** is `true` or `false`. An empty cell is a field that was never filled in, or an empty text.
* A **list** or a **table** is JSON text in one cell.
* A text that a spreadsheet could take for a formula (it begins with `=`, `+`, `-` or `@`, also after spaces or
  apostrophes) has one apostrophe put before it. `rowend import` takes it away again. JSON has none of this.
* Deleted records are there, with `voided` as `true`. Columns marked *office only* are left out for phones and with
  `--no-private`.
* Reports as tables (`GET /v1/export/rates.csv`, `stands.csv`, `soil.csv`) have the names and figures of
  `GET /v1/rates`, `/v1/stands` and `/v1/soil`, which OpenAPI describes.
* Kinds and fields that a newer program wrote stand in no table; they stay in the logs, and travel in a bundle
  (`rowend bundle`).
"""
_FLAGGED = f"""
## {FLAGGED}

Records that break a rule, such as a length of -3, until somebody corrects them: left out of the tables above and of all
reports, or there as they last were good (`kept`). Only the latter are imported, in that form. Columns:
{", ".join(f"`{name}`" for name in FLAGGED_COLUMNS)}; `problems` (field and reason) and `fields` are JSON.
"""


def columns_page() -> str:
    """The page, in Markdown."""
    return _HEAD + "".join(_kind(kind) for kind in KINDS) + _FLAGGED


def _kind(kind: str) -> str:
    head = f"\n## {kind}\n\n{_summary(kind)}\n\n| column | form | meaning |\n|---|---|---|\n"
    return head + "".join(_lines(columns_of(kind)))


def _summary(kind: str) -> str:
    return (KINDS[kind].__doc__ or "").partition("\n")[0]


def _lines(columns: Iterable[Column]) -> Iterable[str]:
    for column in columns:
        yield f"| `{column.name}` | {_type(column)} | {column.meaning} |\n"


def _type(column: Column) -> str:
    text = "one of " + ", ".join(f"`{word}`" for word in column.words) if column.words else column.type.value
    if column.required:
        return f"{text}; required"
    if column.default not in (None, "") and column.type not in (FieldType.LIST, FieldType.TABLE):
        text += f"; `{json.dumps(column.default)}` when empty"
    return f"{text}; *office only*" if column.private else text


if __name__ == "__main__":  # python -m server.exports.spreadsheets.columns_page > docs/columns.md
    sys.stdout.write(columns_page())
