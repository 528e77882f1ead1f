"""A table as text (RFC 4180: commas, quotes where they are needed, lines end with CR LF), and back."""

import csv
import io
from collections.abc import Iterable, Sequence
from typing import NamedTuple

MEDIA_TYPE = "text/csv; charset=utf-8; header=present"


class SheetLine(NamedTuple):
    """A line of a table: its number in the file (of its first line, where cells hold line ends) and its cells."""

    number: int
    cells: list[str]


def sheet_text(header: Sequence[str], lines: Iterable[Sequence[str]]) -> str:
    """The table as text. Half a letter, as a record that breaks a rule may hold, is written as JSON writes it."""
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(header)
    writer.writerows(lines)
    return out.getvalue().encode(errors="backslashreplace").decode()


def sheet_lines(text: str, comma: str = ",") -> list[SheetLine]:
    """The lines of a table, its header first; empty ones are left out. `comma` is what stands between cells.

    Raises:
        ValueError: when it is no table.
    """
    reader = csv.reader(io.StringIO(text, newline=""), strict=True, delimiter=comma)
    lines, before = [], 0
    try:
        for cells in reader:
            if cells:
                lines.append(SheetLine(before + 1, cells))
            before = reader.line_num
    except csv.Error as problem:
        raise ValueError(f"line {before + 1}: {problem}") from problem
    return lines
