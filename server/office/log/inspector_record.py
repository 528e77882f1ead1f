"""The planting record as a page that needs nothing else: to show, to print, to keep as a file."""

import base64
import hashlib
from collections.abc import Iterable
from datetime import datetime
from functools import cache
from importlib.resources import files
from typing import NamedTuple

from markupsafe import Markup
from sqlmodel import Session

from server.exports.feeds.planting_record import BedRecord, bed_record
from server.exports.proof.paper import PATH, link, typed_form
from server.exports.proof.record_file import logs_json, signed_page
from server.farms.qr import qr_svg
from server.office.forms.fields import field_kind, fields_of
from server.office.forms.names import RecordNames
from server.office.forms.record_form import RecordForm
from server.office.forms.titles import entries_of, kind_name, title
from server.office.log.lines import LineFormatter, names_for
from server.office.shell.planting_facts import bed_facts, counts_table, planting_facts, sowing_facts
from server.office.shell.render import render
from server.office.shell.view import Fact
from server.render.localizer import Localizer
from server.render.tables import Column, Table
from server.runtime.address import known_address
from shared_models.core.vocabulary import Role
from shared_models.i18n.formats import NO_VALUE
from shared_models.log.projection import RecordKey
from shared_models.reports.audit.entries import Entry
from shared_models.reports.audit.history import Written
from shared_models.reports.common.context import ReportContext
from shared_models.reports.common.farm import FarmFacts
from shared_models.reports.rows.rows import LoggedRow
from shared_models.reports.sheets.planting_history import PlantingHistory

#: an inspector sees what every grower of the farm may see, whoever shows it
SHOWN_TO = Role.GROWER


class CropPage(NamedTuple):
    """One planting: facts, then its rows and counts."""

    label: str
    facts: tuple[Fact, ...]
    rows: Table
    counts: Table


def record_html(reports: ReportContext, bed: str, now: datetime, language: str) -> str:
    """The record of a bed, by its id."""
    record = bed_record(reports, bed, now)
    localizer = Localizer.of(reports.farm, language)
    page = _RecordPage(reports.session, reports.farm, record, localizer).page(localizer.date_time(now))
    return signed_page(reports.session.connection(), reports.farm.id, page)


def style_guard() -> str:
    """The style's hash, as a Content-Security-Policy wants it."""
    return f"sha256-{base64.b64encode(hashlib.sha256(_style().encode()).digest()).decode()}"


@cache
def _style() -> str:
    return files("server.office").joinpath("templates/log/inspector_record.css").read_text(encoding="utf-8")


class _RecordPage:
    def __init__(self, session: Session, farm: FarmFacts, record: BedRecord, localizer: Localizer) -> None:
        self._farm, self._record, self._localizer, self._t = farm, record, localizer, localizer.t
        self._address = known_address(session.connection())
        self._link = link(self._address, record.bed.id, record.logs)
        self._logs_json = logs_json(session.connection(), farm.id, record)
        self._formatter = LineFormatter(session, farm.id, localizer, SHOWN_TO)
        self._entries = entries_of(session, farm.id, {line.key for line in record.corrections})
        entries = (*self._entries.values(), *record.flagged)
        self._names = names_for(session, farm.id, localizer, entries, record.corrections)

    def page(self, printed: str) -> str:
        record = self._record
        return render(
            "log/inspector_record.html",
            self._localizer,
            style=Markup(_style()),  # noqa: S704 - our own file
            farm=self._farm.name or self._t("The farm"),
            bed=self._localizer.name(record.label),
            facts=tuple(self._bed()),
            crops=[self._crop(lived) for lived in record.plantings],
            changes=self._changes(),
            flagged=self._flagged(),
            logs=self._logs(),
            logs_json=Markup(self._logs_json),  # noqa: S704 - written for a page
            code=Markup(qr_svg(self._link)) if record.logs else "",  # noqa: S704 - drawn here, of modules only
            page_to_type=self._address + PATH,
            zone=self._farm.zone.key,
            printed=printed,
        )

    def _bed(self) -> Iterable[Fact]:
        bed = self._record.bed
        yield from bed_facts(bed, self._localizer)
        if bed.latitude is not None and bed.longitude is not None:
            yield Fact(self._t("Position"), f"{bed.latitude:.6f}, {bed.longitude:.6f}")

    def _crop(self, lived: PlantingHistory) -> CropPage:
        return CropPage(
            self._localizer.name(lived.place.label),
            tuple(self._facts(lived)),
            self._rows(lived),
            counts_table(lived, self._localizer),
        )

    def _facts(self, lived: PlantingHistory) -> Iterable[Fact]:
        t, stand = self._t, lived.stand
        yield Fact(t("Crop"), self._localizer.name(stand.crop))
        if lived.sowing is not None:
            yield Fact(t("Variety"), lived.sowing.variety or t("not entered"))
            yield from sowing_facts(lived.sowing, self._localizer)
        yield from planting_facts(lived, self._localizer)
        if stand.rows:
            filled = t("{misses}, of them filled {filled}", misses=stand.misses, filled=stand.filled)
            yield Fact(t("Misses"), filled)

    def _rows(self, lived: PlantingHistory) -> Table:
        t = self._t
        columns = (
            Column(t("row")),
            Column(t("day"), words=True),
            Column(t("start")),
            Column(t("end")),
            Column(self._localizer.unit),
            Column(t("depth")),
            Column(t("crew"), words=True),
            Column(t("misses")),
            Column(t("filled")),
            Column(t("doubles")),
            Column(t("note"), words=True),
        )
        every = sorted((*lived.rates.rows, *lived.rates.not_counted), key=lambda row: (row.start, row.row))
        return Table(columns, tuple(_row(row, self._names) for row in every))

    def _changes(self) -> Table:
        t = self._t
        columns = (
            Column(t("when"), words=True),
            Column(t("entry"), words=True),
            Column(t("what"), words=True),
            Column(t("before"), words=True),
            Column(t("after"), words=True),
            Column(t("who"), words=True),
            Column(t("log"), words=True),
            Column(t("line")),
        )
        return Table(columns, tuple(cells for line in self._record.corrections for cells in self._change(line)))

    def _change(self, line: Written) -> Iterable[tuple[str, ...]]:
        sentence, changes = self._formatter.changes(line, None, self._names)
        when, entry = self._formatter.when(line), self._called(line.key)
        where = self._formatter.who(line.by), self._formatter.phone(line.device), str(line.seq)
        if sentence:
            yield when, entry, sentence, "", "", *where
        for change in changes:
            yield when, entry, change.label, change.before, change.after, *where

    def _called(self, key: RecordKey) -> str:
        return _named(self._entries.get(key, Entry(key, {})), self._names)

    def _flagged(self) -> Table:
        columns = (Column(self._t("entry"), words=True), Column(self._t("reason"), words=True))
        return Table(columns, tuple(self._reasons(entry) for entry in self._record.flagged))

    def _reasons(self, entry: Entry) -> tuple[str, str]:
        sheet = RecordForm(entry, fields_of(entry.key.kind, SHOWN_TO), self._names)
        reasons = (*sheet.faults(entry.problems), self._t(entry.until_corrected))
        return _named(entry, self._names), "; ".join(reasons)

    def _logs(self) -> Table:
        t = self._t
        columns = (
            Column(t("log"), words=True),
            Column(t("its id"), words=True),
            Column(t("lines")),
            Column(t("digest of its last line (sha256)"), words=True),
            Column(t("to type"), words=True),
        )
        rows = (
            (self._formatter.phone(log.device), log.device, str(log.seq), log.digest.hex(), typed_form(log))
            for log in self._record.logs
        )
        return Table(columns, tuple(rows))


def _named(entry: Entry, names: RecordNames) -> str:
    return ": ".join(part for part in (kind_name(entry.key.kind, names), title(entry, names)) if part)


def _row(row: LoggedRow, names: RecordNames) -> tuple[str, ...]:
    localizer = names.localizer
    start = localizer.local(row.start)
    return (
        str(row.row),
        localizer.date(start.date()),
        localizer.clock(start),
        localizer.clock(row.end) if row.end else localizer.t("open"),
        localizer.length_figure(row.length_mm, 1),
        field_kind("row_pass", "depth_mm").format(row.depth_mm, names) if row.depth_mm is not None else NO_VALUE,
        localizer.name(", ".join(row.crew)),
        str(row.misses),
        str(row.filled),
        str(row.doubles),
        " ".join((row.note, *map(localizer.t_lazy, row.issues))).strip(),
    )
