"""Tables in plain text: columns that line up, for a terminal or a printer."""

import unicodedata
from collections.abc import Sequence

from server.render.tables import Table

_GAP = "  "


def format_table(table: Table) -> str:
    """Lines of text: headings, a rule, the rows, and below another rule the total."""
    headings = [column.heading.split("\n") for column in table.columns]
    depth = max(len(parts) for parts in headings)
    heads = [[([""] * (depth - len(parts)) + parts)[line] for parts in headings] for line in range(depth)]
    body = [[plain(cell) for cell in row] for row in table.rows]
    foot = [[plain(cell) for cell in table.total]] if table.total else []
    widths = [max(_width(line[place]) for line in [*heads, *body, *foot]) for place in range(len(headings))]
    rule = _GAP.join("-" * width for width in widths)
    lines = [*(_line(table, widths, head) for head in heads), rule, *(_line(table, widths, row) for row in body)]
    lines += [rule, *(_line(table, widths, row) for row in foot)] if foot else []
    return "\n".join(lines)


def plain(text: str) -> str:
    """The text without what would steer a terminal or break a line."""
    return "".join(letter if letter.isprintable() else " " for letter in text)


def _line(table: Table, widths: Sequence[int], cells: Sequence[str]) -> str:
    padded = []
    for column, width, cell in zip(table.columns, widths, cells, strict=True):
        space = " " * (width - _width(cell))
        padded.append(cell + space if column.words else space + cell)
    return _GAP.join(padded).rstrip()


def _width(text: str) -> int:
    """Places on a terminal: wide letters take two, marks on a letter none."""
    return sum(
        0 if unicodedata.combining(letter) else 2 if unicodedata.east_asian_width(letter) in "WF" else 1
        for letter in text
    )
