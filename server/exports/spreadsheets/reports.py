"""Reports as tables: the figures that the service answers as JSON, one line for each line of the report."""

from collections.abc import Iterable, Sequence
from typing import Any

from pydantic import BaseModel

from server.exports.spreadsheets.cells import text_of
from server.exports.spreadsheets.text import sheet_text
from server.render.json.rates import RateOut, RatesOut
from server.render.json.stands_and_soil import BedSoilOut, SoilOut, StandOut, StandsOut, VerdictOut

_NOW = "now_"


def rates_csv(report: RatesOut) -> str:
    """The lines of a report of rates. Its total stands in no line: sum the lines, and make rates of the sums."""
    return _sheet(RateOut, report.lines)


def stands_csv(report: StandsOut) -> str:
    """The stand of each planting; its counts and the rows to fill are JSON in a cell."""
    return _sheet(StandOut, report.plantings)


def soil_csv(report: SoilOut) -> str:
    """Each bed as it is now, what decides it in columns of its own; its checks are JSON in a cell."""
    verdict = list(VerdictOut.model_fields)
    names = [name for name in BedSoilOut.model_fields if name != "now"]
    header = [*names, *(f"{_NOW}{name}" for name in verdict)]
    return sheet_text(header, (_bed(bed, names, verdict) for bed in report.beds))


def _bed(bed: BedSoilOut, names: Sequence[str], verdict: Sequence[str]) -> list[str]:
    fields = bed.model_dump(mode="json")
    now: dict[str, Any] = fields["now"] or {}
    return [text_of(each) for each in (*map(fields.get, names), *map(now.get, verdict))]


def _sheet(model: type[BaseModel], lines: Iterable[BaseModel]) -> str:
    dumped = (line.model_dump(mode="json") for line in lines)
    return sheet_text(list(model.model_fields), ([text_of(value) for value in line.values()] for line in dumped))
