"""The planting record as a page that needs nothing else: to show, to print, to keep as a file."""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Iterator, Sequence
from datetime import date, datetime
from functools import cache
from importlib.resources import files
from typing import Any, NamedTuple

from jinja2 import Environment, PackageLoader, StrictUndefined, Template
from markupsafe import Markup

from server.exports.planting_record import BedRecord, PlantedCrop
from server.speech import Speech
from shared_models.reports.farm import FarmFacts
from shared_models.reports.figures import NOT_TOLD, in_farm_units, number, percent, spacing, unit
from shared_models.reports.gather import LoggedRow
from shared_models.reports.history import FieldChange, Written
from shared_models.reports.soil_words import READINESS, seen, why

_PACKAGE = "server.exports"


class Sheet(NamedTuple):
    """A table of the page."""

    caption: str
    headings: tuple[str, ...]
    rows: tuple[Sequence[str], ...]


class CropPage(NamedTuple):
    """One planting: facts in pairs, then its rows and counts."""

    label: str
    facts: tuple[tuple[str, str], ...]
    rows: Sheet
    counts: Sheet


def record_html(record: BedRecord, now: datetime) -> str:
    """The page."""
    return _page().render(
        style=Markup(_style()),  # noqa: S704 - our own file
        farm=record.farm.name or "The farm",
        bed=record.label,
        facts=tuple(_bed_facts(record)),
        crops=[_crop(crop, record.farm) for crop in record.plantings],
        changes=Sheet(
            "What was changed after it had been filled in, as the logs hold it",
            ("when", "entry", "field", "before", "after", "who", "device", "line"),
            tuple(_change(line, change, record) for line in record.corrections for change in line.changes),
        ),
        flagged=Sheet("Entries left out because they break a rule", ("entry", "reason"), record.flagged),
        logs=Sheet(
            "The logs these entries stand in",
            ("device", "id of the log", "lines", "digest of the last line (sha256)"),
            tuple(
                (record.devices.get(log.device, NOT_TOLD), log.device, str(log.seq), log.digest.hex())
                for log in record.logs
            ),
        ),
        zone=record.farm.zone.key,
        printed=f"{record.farm.local(now):%Y-%m-%d %H:%M}",
    )


def style_guard() -> str:
    """The style's hash, as a Content-Security-Policy wants it."""
    return f"sha256-{base64.b64encode(hashlib.sha256(_style().encode()).digest()).decode()}"


@cache
def _style() -> str:
    return files(_PACKAGE).joinpath("record.css").read_text(encoding="utf-8")


@cache
def _page() -> Template:
    loader = PackageLoader(_PACKAGE, "")
    pages = Environment(loader=loader, autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    return pages.get_template("record.html")


def _bed_facts(record: BedRecord) -> Iterator[tuple[str, str]]:
    bed, farm = record.bed, record.farm
    yield "Length", f"{number(in_farm_units(bed.length_mm, farm.units), 1)} {unit(farm.units)}"
    yield "Rows", str(bed.rows)
    yield "Soil texture", (bed.texture or NOT_TOLD).replace("_", " ")
    if bed.latitude is not None and bed.longitude is not None:
        yield "Position", f"{bed.latitude:.6f}, {bed.longitude:.6f}"
    if bed.retired or bed.voided:
        yield "State", "deleted" if bed.voided else "no longer planted"


def _crop(crop: PlantedCrop, farm: FarmFacts) -> CropPage:
    far = unit(farm.units)
    return CropPage(
        crop.label,
        tuple(_facts(crop, farm)),
        Sheet(
            "Rows",
            ("row", "day", "from", "to", far, "depth", "who", "misses", "filled", "doubles", "note"),
            tuple(_row(row, farm) for row in crop.rows),
        ),
        Sheet(
            "Stand counts",
            ("day", "days after planting", "samples", "plants", "places", "stand", "95 % interval"),
            tuple(
                (
                    counted.on.isoformat(),
                    NOT_TOLD if counted.days_after_planting is None else str(counted.days_after_planting),
                    str(counted.stand.samples),
                    number(counted.stand.plants),
                    number(counted.stand.positions),
                    percent(counted.stand.proportion),
                    f"{percent(counted.stand.interval.low)} to {percent(counted.stand.interval.high)}",
                )
                for counted in crop.stand.rounds
            ),
        ),
    )


def _facts(crop: PlantedCrop, farm: FarmFacts) -> Iterator[tuple[str, str]]:
    sowing, stand = crop.sowing, crop.stand
    yield "Crop", stand.crop
    if sowing is not None:
        yield "Variety", sowing.variety or NOT_TOLD
        yield "Seed lot", sowing.seed_lot or NOT_TOLD
        yield "Supplier", sowing.supplier or NOT_TOLD
        yield "Sown on", _day(sowing.sown_on)
        yield "Trays", f"{number(sowing.trays)} of {sowing.cells_per_tray} cells, {sowing.code or 'no code'}"
        yield "Spacing", spacing(sowing.spacing_mm, farm.units)
    yield "Planned for", _day(crop.planting.planned_on)
    yield "Planted", _days(stand.planted_from, stand.planted_until)
    yield "Misses", f"{stand.misses}, of them filled {stand.filled}"
    yield "Planted stand", percent(stand.planted)
    yield "Soil before planting", _check(crop, farm)
    if crop.planting.note:
        yield "Note", crop.planting.note


def _day(day: date | None) -> str:
    return day.isoformat() if day else NOT_TOLD


def _days(first: date | None, last: date | None) -> str:
    return _day(first) if first == last else f"{_day(first)} to {_day(last)}"


def _check(crop: PlantedCrop, farm: FarmFacts) -> str:
    check = crop.check
    if check is None:
        return "nobody looked"
    look = seen(check.look, Speech.of(farm))
    told = f"{farm.local(check.at):%Y-%m-%d %H:%M}: {READINESS[check.verdict.readiness]} ({look})."
    return " ".join(part for part in (told, why(check.verdict), check.note) if part)


def _row(row: LoggedRow, farm: FarmFacts) -> tuple[str, ...]:
    start = farm.local(row.start)
    return (
        str(row.row),
        f"{start:%Y-%m-%d}",
        f"{start:%H:%M}",
        f"{farm.local(row.end):%H:%M}" if row.end else "open",
        number(in_farm_units(row.length_mm, farm.units), 1),
        f"{row.depth_mm} mm" if row.depth_mm is not None else NOT_TOLD,
        ", ".join(row.crew),
        str(row.misses),
        str(row.filled),
        str(row.doubles),
        " ".join((row.note, *row.looks)).strip(),
    )


def _change(line: Written, change: FieldChange, record: BedRecord) -> tuple[str, ...]:
    (who,) = record.names.people([line.by]) if line.by else ("office",)
    at = f"{record.farm.local(line.at):%Y-%m-%d %H:%M}"
    return (
        at if line.exact else f"{at} or before",
        record.labels.get(line.key.id, line.key.kind),
        "deleted" if change.field == "voided" else change.field.replace("_", " "),
        _value(change.field, change.before, record),
        _value(change.field, change.after, record),
        who,
        record.devices.get(line.device, line.device),
        str(line.seq),
    )


def _value(field: str, value: Any, record: BedRecord) -> str:
    """A value of the log, for people: names for ids, the farm's clock for times."""
    if field == "voided":
        return "yes" if value else "no"
    if value is None:
        return NOT_TOLD
    if field == "crew" and isinstance(value, list):
        return ", ".join(record.names.people(map(str, value)))
    if field in ("bed", "sowing", "planting"):
        return record.labels.get(value, str(value))
    if field.endswith("at") and isinstance(value, str):
        return _moment(value, record.farm)
    return value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)


def _moment(text: str, farm: FarmFacts) -> str:
    try:
        return f"{farm.local(datetime.fromisoformat(text)):%Y-%m-%d %H:%M:%S}"
    except (ValueError, OverflowError):
        return text
