"""Row settings, one level from the row: depth, crew, a double, a note, and more actions."""

from dataclasses import dataclass
from typing import Any

from mobile.device.haptics.protocol import Haptic
from mobile.presenters.base.form import Number
from mobile.presenters.base.labels import name_of
from mobile.presenters.base.lists import crews, people
from mobile.presenters.base.numbers import control_of
from mobile.presenters.base.options import Option
from mobile.presenters.base.presenter import AppContext, Presenter
from mobile.presenters.base.routes import Route
from shared_models.fields.quantities import DEPTH

NEW_PERSON = "new"
THIS_ROW, NEXT_ROW = "this", "next"
#: crews of late that are offered whole
MOST_CREWS = 2


@dataclass(frozen=True, slots=True)
class RowSettingsView:
    """What is set for the row; numbers are in the units people here say."""

    title: str
    notch: str
    notch_now: float | None
    depth: str
    depth_now: float | None
    depth_how: Number
    point: str
    crew: str
    crews: tuple[Option, ...]
    people: tuple[Option, ...]
    since: tuple[Option, ...]
    note: str
    note_now: str
    double: str
    doubles: str
    can_note: bool
    fill: str
    lock: str
    move: str
    length: str
    today: str
    done: str


class RowSettingsPresenter(Presenter):
    """The open row's setting, or the next one's. It counts when the person is done."""

    def __init__(self, context: AppContext, planting: str) -> None:
        super().__init__(context)
        self._planting = planting
        self.read()
        row = self._state.open
        comes = context.notebook.next_setting(self._state, context.notebook.last_row()) if row is None else {}
        self._was: dict[str, Any] = {
            name: comes.get(name) if row is None else getattr(row, name) for name in ("depth_notch", "depth_mm", "crew")
        }
        self._set = {**self._was, "crew": list(self._was["crew"] or []), "note": self._row.note if self._row else ""}
        #: a crew that was set for the next row waits there while this row goes on
        self._waiting: list[str] | None = (context.notebook.setting("next_row") or {}).get("crew") if row else None
        self._from_next = self._waiting is not None
        if self._waiting is not None:
            self._set["crew"] = list(self._waiting)

    def read(self) -> None:
        self._people, self._crews = people(self.context), crews(self.context)
        self._state = self.context.notebook.row_state(self._planting)
        self._row = self._state.at_hand

    # what a tap means

    def set_notch(self, notch: float | None) -> None:
        self._set["depth_notch"] = None if notch is None else int(notch)

    def set_depth(self, depth: float | None) -> None:
        self._set["depth_mm"] = None if depth is None else DEPTH.stored(depth, self.localizer)

    def write_note(self, note: str) -> None:
        self._set["note"] = note

    def pick(self, person: str) -> None:
        crew = self._set["crew"]
        if person == NEW_PERSON:
            self._keep()
            self.context.navigator.go(Route.PERSON)
        elif person in crew:
            crew.remove(person)
        else:
            crew.append(person)

    def pick_crew(self, crew: str) -> None:
        """A whole crew at one touch: people who worked together lately."""
        self._set["crew"] = crew.split()

    def pick_since(self, since: str) -> None:
        """Whether the crew changed with this row, or changes with the next."""
        self._from_next = since == NEXT_ROW

    def double(self) -> None:
        row = self.context.notebook.double(self._planting).require_at_hand()
        self.context.feedback(Haptic.MISS, self.t("double, {n}", n=row.doubles))

    def fill(self) -> None:
        self._keep()
        self.context.navigator.go(Route.SUMMARY, planting=self._planting, with_back=True)

    def lock(self) -> None:
        self._keep()
        self.context.navigator.go(Route.LOCKED, planting=self._planting, instead=True)

    def move(self) -> None:
        self._keep()
        self.context.navigator.go(Route.MOVE, planting=self._planting)

    def length(self) -> None:
        self._keep()
        self.context.navigator.go(Route.LENGTH, planting=self._planting)

    def today(self) -> None:
        self._keep()
        self.context.navigator.go(Route.TODAY)

    def done(self) -> None:
        self._keep()
        self.context.navigator.back()

    def _keep(self) -> None:
        notebook, now, was = self.context.notebook, self._set, self._was
        changed = {name: now[name] for name in ("depth_notch", "depth_mm") if now[name] not in (None, was[name])}
        if changed:
            notebook.set_depth(self._planting, notch=changed.get("depth_notch"), depth_mm=changed.get("depth_mm"))
        if self._crew_changed:
            notebook.set_crew(self._planting, now["crew"], from_next=self._from_next)
            self._was["crew"] = was["crew"] if self._from_next else list(now["crew"])
            self._waiting = list(now["crew"]) if self._from_next else None
        if self._row is not None and now["note"] != self._row.note:
            notebook.note_row(self._planting, now["note"])

    @property
    def _crew_changed(self) -> bool:
        """Whether there is something to write: another crew, or the waiting one is for this row after all."""
        if self._waiting is not None:
            return not self._from_next or sorted(self._set["crew"]) != sorted(self._waiting)
        return sorted(self._set["crew"]) != sorted(self._was["crew"] or [])

    # what is shown

    @property
    def view(self) -> RowSettingsView:
        t, row, now = self.t, self._row, self._set
        number = self._state.open.row if self._state.open else self._state.next_row
        return RowSettingsView(
            title=t("For row {row}", row=number) if number else name_of(self.localizer, self._state.bed),
            notch=t("Depth notch"),
            notch_now=now["depth_notch"],
            depth=t("Depth as measured"),
            depth_now=self._depth_now(),
            depth_how=control_of("row_pass", "depth_mm", self.localizer),
            point=self.localizer.conventions.point,
            crew=t("Crew"),
            crews=self._whole_crews(),
            people=self._crew(),
            since=self._since(),
            note=t("Note, row {row}", row=row.row) if row else "",
            note_now=now["note"],
            double=t("double, row {row}", row=row.row) if row else t("double"),
            doubles=str(row.doubles) if row else "–",
            can_note=row is not None,
            fill=t("Fill list"),
            lock=t("Lock screen"),
            move=t("Other bed or crop"),
            length=t("Row length"),
            today=t("Today"),
            done=t("Back to the row"),
        )

    def _depth_now(self) -> float | None:
        depth_mm = self._set["depth_mm"]
        return None if depth_mm is None else DEPTH.shown(depth_mm, self.localizer)

    def _crew(self) -> tuple[Option, ...]:
        known = (Option(key, name, chosen=key in self._set["crew"]) for key, name in self._people.items())
        return (*known, Option(NEW_PERSON, self.t("New person"), sign="+"))

    def _whole_crews(self) -> tuple[Option, ...]:
        """The crews of late, but for the one that is set."""
        others = [crew for crew in self._crews if sorted(crew) != sorted(self._set["crew"])]
        return tuple(
            Option(" ".join(crew), self.localizer.people(self._people[person] for person in crew), sign="☺")
            for crew in others[:MOST_CREWS]
        )

    def _since(self) -> tuple[Option, ...]:
        """While a row is open, another crew is asked since when."""
        row, was = self._state.open, self._was["crew"] or []
        if row is None or not (self._waiting is not None or sorted(self._set["crew"]) != sorted(was)):
            return ()
        whole = Option(THIS_ROW, self.t("All of row {row}", row=row.row), chosen=not self._from_next)
        return whole, Option(NEXT_ROW, self.t("From the next row on"), chosen=self._from_next)
