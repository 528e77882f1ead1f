"""Entries, the newest first: flagged ones with the reason, then day by day. Tap an entry to correct it."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from mobile.presenters.base.options import Option, Section
from mobile.presenters.base.presenter import AppContext, Presenter
from mobile.presenters.base.routes import Route
from mobile.presenters.history.entry_titles import EntryTitles
from shared_models.reports.audit import entries
from shared_models.reports.audit.entries import KIND_NAMES, KINDS, Entry

#: entries on one page, and flagged ones before them
PAGE, MOST_FLAGGED = 24, 12
NOT_IN_REPORTS = "To fix; not in reports until then"
LAST_GOOD_COUNTS = "To fix; last good values count until then"
EARLIER, ALL = "earlier", "all"
SIGNS = {
    "row_pass": "≡",
    "soil_check": "▒",
    "stand_count": "#",
    "tray_check": "▦",
    "planting": "▶",
    "sowing": "∴",
    "bed": "▭",
    "person": "☺",
    "weather": "☁",
}


@dataclass(frozen=True, slots=True)
class EntriesView:
    """A page of entries; `nothing` is the text where there is none."""

    title: str
    nothing: str
    sections: tuple[Section, ...]
    back: str
    by_kind: str


class EntriesPresenter(Presenter):
    """One page: of one `kind`, or of all, made before the entry `before`. With `choose`, the kinds themselves."""

    def __init__(self, context: AppContext, kind: str = "", before: str = "", choose: str = "") -> None:
        super().__init__(context)
        self._kind, self._before, self._choose = kind, before, bool(choose)
        self.read()

    def read(self) -> None:
        farm, kinds = self.context.notebook.farm, (self._kind,) if self._kind else KINDS
        with self.context.notebook.reading() as session:
            flagged = [] if self._before else entries.flagged(session, farm, MOST_FLAGGED)
            self._flagged = [each for each in flagged if each.key.kind in kinds]
            self._entries, self._more = entries.newest(session, farm, PAGE, self._before, kinds)
            every = [*self._flagged, *self._entries]
            values = (value for entry in every for value in (entry.key.id, *entry.fields.values()))
            self._titles = EntryTitles(self.context, entries.names_in(session, farm, values))

    # what a tap means

    def pick(self, key: str) -> None:
        if self._choose:
            self.context.navigator.go(Route.ENTRIES, kind="" if key == ALL else key, instead=True)
        elif key == EARLIER:
            self.context.navigator.go(Route.ENTRIES, kind=self._kind, before=self._entries[-1].key.id)
        else:
            kind, _, record = key.partition(" ")
            self.context.navigator.go(Route.ENTRY, kind=kind, record=record)

    def by_kind(self) -> None:
        self.context.navigator.go(Route.ENTRIES, choose="kind")

    # what is shown

    @property
    def view(self) -> EntriesView:
        sections = (self._kinds(),) if self._choose else (*self._wrong(), *self._days(), *self._earlier())
        kind = self.t(KIND_NAMES[self._kind][1]) if self._kind else ""
        return EntriesView(
            title=self.t("Entries: {kind}", kind=kind.lower()) if kind else self.t("Entries"),
            nothing="" if sections else self.t("Nothing logged yet."),
            sections=sections,
            back=self.t("Back"),
            by_kind="" if self._choose else self.t("By kind"),
        )

    def _kinds(self) -> Section:
        options = (Option(kind, self.t(KIND_NAMES[kind][1]), sign=SIGNS[kind]) for kind in KINDS)
        return Section(self.t("Which entries?"), (Option(ALL, self.t("All"), sign="…"), *options))

    def _wrong(self) -> Iterable[Section]:
        for title, kept in ((NOT_IN_REPORTS, False), (LAST_GOOD_COUNTS, True)):
            found = [each for each in self._flagged if each.kept is kept]
            if found:
                options = (self._option(each, "▲", self._titles.broken(each)) for each in found)
                yield Section(self.t(title), tuple(options))

    def _days(self) -> Iterable[Section]:
        """A title and its entries for each day and kind; the days as they come, the kinds in their order."""
        by_day: dict[date | None, dict[str, list[Entry]]] = defaultdict(lambda: defaultdict(list))
        above = {each.key for each in self._flagged}
        for entry in (each for each in self._entries if each.key not in above):
            by_day[self._titles.day(entry)][entry.key.kind].append(entry)
        for day in sorted(by_day, key=lambda each: each or date.min, reverse=True):
            for kind in KINDS:
                found = by_day[day][kind]
                if found:
                    options = (self._option(each, SIGNS[kind], self._titles.detail(each)) for each in found)
                    yield Section(self._title(day, kind), tuple(options))

    def _title(self, day: date | None, kind: str) -> str:
        title = self.localizer.day_by_itself(day, self.context.today()) if day else self.localizer.t("Day unknown")
        return f"{title} · {self.localizer.t(KIND_NAMES[kind][1]).lower()}"

    def _option(self, entry: Entry, sign: str, detail: str) -> Option:
        text = self._titles.title(entry) or self.t(KIND_NAMES[entry.key.kind][0])
        return Option(f"{entry.key.kind} {entry.key.id}", text, detail, "✕" if entry.voided else sign)

    def _earlier(self) -> Iterable[Section]:
        if self._more:
            yield Section("", (Option(EARLIER, self.t("Earlier entries"), sign="↓"),))
