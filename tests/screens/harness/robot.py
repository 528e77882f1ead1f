"""A robot with fingers: does on the screens, touch by touch, what the story does in a notebook.

It stands where the story expects a pretend phone. Beside the phone it keeps a sheet of paper, as a person would, on
which the day can be worked out by hand.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from typing import Any

from sqlmodel import select

from mobile.demo.fake_phone import FakeClock, FakePhone
from mobile.log.rows import RowState
from mobile.screens.routes import RowScreen, RowSettingsScreen, SummaryScreen, TodayScreen
from shared_models.core.units import MM_PER_FOOT, MM_PER_INCH, mm_to_feet, mm_to_inches
from shared_models.core.vocabulary import Amount, Feel, Role, StopReason, Texture
from shared_models.i18n.labels import AMOUNTS, FEELS, ROLES, STOPS, TEXTURES
from shared_models.records.tables import PROJECTIONS
from tests.screens.harness.probe import Finder, Probe

BOUNCE_S = 2.0
MOST_STEPS = 30
NAMED_BY = {"person": ["name"], "bed": ["name"], "sowing": ["crop"], "planting": ["bed", "sowing"]}
BOUNCE = timedelta(seconds=1.5)
LONGEST_TURN = timedelta(minutes=30)
NEVER = datetime.min.replace(tzinfo=UTC)


@dataclass
class Pull:
    """A row on the sheet: when it began and ended, what it stood still, what was missed and filled."""

    began: datetime
    ended: datetime | None = None
    stopped: timedelta = timedelta()
    misses: int = 0
    filled: int = 0


@dataclass
class Sheet:
    """What the robot did, by planting. Breaks of more than half an hour are no work."""

    pulls: dict[str, list[Pull]] = field(default_factory=dict)
    tapped: datetime = NEVER
    stopped: datetime = NEVER

    def row_tap(self, planting: str, at: datetime) -> None:
        """The first tap begins a row and the next one ends it; a bounce is none."""
        pulls = self.pulls.setdefault(planting, [])
        bounced, self.tapped = at - self.tapped < BOUNCE, at
        if bounced:
            return
        if pulls and pulls[-1].ended is None:
            pulls[-1].ended = at
        else:
            pulls.append(Pull(at))

    def stopped_s(self, planting: str) -> float:
        """How long the rows of a planting stood still."""
        return sum((pull.stopped for pull in self.pulls[planting]), timedelta()).total_seconds()

    def field_s(self, planting: str) -> float:
        """From the first start to the last end, but for the breaks."""
        pulls, breaks = self.pulls[planting], timedelta()
        for before, after in pairwise(pulls):
            gap = after.began - (before.ended or after.began)
            breaks += gap if gap > LONGEST_TURN else timedelta()
        return ((pulls[-1].ended or pulls[-1].began) - pulls[0].began - breaks).total_seconds()

    def noted(self, planting: str) -> list[tuple[int, int]]:
        """Misses and fills, row by row."""
        return [(pull.misses, pull.filled) for pull in self.pulls[planting]]


class Fingers:
    """One robot. `open_app` takes the phone in the hand; again, after it was killed."""

    def __init__(self, phone: FakePhone, open_app: Callable[[], Probe]) -> None:
        self._phone, self._open_app = phone, open_app
        self.probe = open_app()
        self.sheet = Sheet()
        self.touches = 0
        self._names: dict[str, str] = {}
        self._textures: dict[str, Texture] = {}

    # what the story needs of a phone

    @property
    def clock(self) -> FakeClock:
        return self._phone.clock

    @property
    def draw(self) -> random.Random:
        return self._phone.draw

    @property
    def notebook(self) -> Fingers:
        return self

    def kill(self) -> None:
        self._phone.kill()
        self.probe = self._open_app()

    def row_state(self, planting: str) -> RowState:
        return self._phone.notebook.row_state(planting)

    # setting up

    def add(self, kind: str, **fields: Any) -> str:
        """Make a record under New; its id."""
        before, answers = self._ids(kind), self._answers(kind, fields)
        self.home()
        self.tap("New")
        self.tap(kind.capitalize())
        self.answer(answers)
        (made,) = self._ids(kind) - before
        self._names[made] = " · ".join(str(answers[name]) for name in NAMED_BY[kind])
        self._textures[made] = fields.get("texture", Texture.MEDIUM)
        if fields.get("role", Role.CREW) is not Role.CREW:
            self.change_person(made, "role", ROLES[fields["role"]])
        return made

    def _answers(self, kind: str, fields: dict[str, Any]) -> dict[str, Any]:
        """What a form asks, from the fields of the story."""
        match kind:
            case "bed":
                return {"name": fields["name"], "length": mm_to_feet(fields["length_mm"]), "rows": fields["rows"]}
            case "sowing":
                return {**fields, "spacing": mm_to_inches(fields["spacing_mm"])}
            case "planting":
                return {"bed": self._names[fields["bed"]], "sowing": self._names[fields["sowing"]], "day": "Today"}
            case _:
                return {"name": fields["name"]}

    def change_settings(self, *, person: str) -> None:
        """Somebody takes the phone."""
        self.change_person(person, "phone", f"{self._names[person]} has it")

    def change_person(self, person: str, question: str, answer: str) -> None:
        self.home()
        self.tap("History")
        self.tap("People")
        self.tap(self._names[person])
        self.tap({"role": "Role", "phone": "This phone"}[question])
        self.answer({question: answer})

    def _ids(self, kind: str) -> set[str]:
        with self._phone.notebook.reading() as session:
            return {record.id for record in session.exec(select(PROJECTIONS[kind]))}  # type: ignore[attr-defined]  # every projection has an id

    # looking

    def check_soil(self, bed: str, *, feel: Feel, stones: Amount, clods: Amount, **_: Any) -> None:
        self.home()
        self.tap("Check")
        self.tap("Soil check")
        ground = {"texture": TEXTURES[self._textures[bed]], "feel": FEELS[feel], "residue": 5}
        self.answer({"bed": self._names[bed], **ground, "stones": AMOUNTS[stones], "clods": AMOUNTS[clods]})

    def count_stand(self, planting: str, row: int, sample_length_mm: int, plants: int) -> None:
        self.home()
        self.tap("Check")
        self.tap("Stand count")
        length = round(sample_length_mm / MM_PER_FOOT)
        self.answer({"planting": self._names[planting], "row": row, "length": length, "plants": plants})

    # the row

    def tap_row(self, planting: str) -> None:
        """The glove bounces on the first tap in each bed."""
        self._to_row(planting)
        for _ in range(1 if planting in self.sheet.pulls else 2):
            self.tap("row_button")
            self.sheet.row_tap(planting, self.clock.true)

    def stop(self, planting: str, reason: StopReason) -> None:
        self._to_row(planting)
        self.tap("stop")
        self.tap(STOPS[reason])
        self.sheet.stopped = self.clock.true

    def go_on(self, planting: str) -> None:
        self.tap("row_button")
        self.sheet.pulls[planting][-1].stopped += self.clock.true - self.sheet.stopped

    def miss(self, planting: str) -> None:
        """The first miss in each bed is tapped once too often, and that is undone."""
        self._to_row(planting)
        pulls = self.sheet.pulls[planting]
        if not any(pull.misses for pull in pulls):
            self.tap("miss")
            self.tap("undo")
        self.tap("miss")
        pulls[-1].misses += 1

    def set_crew(self, planting: str, people: Sequence[str]) -> None:
        """A whole crew at one touch where it worked together lately, else one by one."""
        self._to_row(planting)
        self.tap("row_settings")
        view = self.screen.view
        wanted = ", ".join(sorted(self._names[person] for person in people))
        if wanted in {each.text for each in view.crews}:
            self.tap(wanted)
        else:
            for option in view.people:
                if option.chosen != (option.key in people) and option.key in self._names:
                    self.tap(option.text)
        self.tap("done")

    def set_depth(self, planting: str, *, notch: int, depth_mm: int) -> None:
        """The depth to a quarter of an inch."""
        self._to_row(planting)
        self.tap("row_settings")
        self._set("notch", notch)
        self._set("depth", round(4 * depth_mm / MM_PER_INCH) / 4)
        self.tap("done")

    def fill(self, row_pass: str, filled: int) -> None:
        """From the summary, as many as were missed."""
        row = next(each for each in self.screen.view.rows if each.key == row_pass)
        self.tap(row.text)
        self.tap("Save")
        state = self.row_state(self.screen.presenter._planting)
        place = [each.id for each in state.passes].index(row_pass)
        self.sheet.pulls[state.planting][place].filled = filled

    # touches

    @property
    def screen(self) -> Any:
        return self.probe.app.screen

    def tap(self, what: Finder) -> None:
        """Touch it; where it is in a list, swipe it into view before."""
        widget = self.probe.find(what)
        if not any(seen.widget is widget and seen.whole.within(seen.visible) for seen in self.probe.screen()):
            self.probe.scroll_to(widget)
        self.probe.tap(widget)
        self.touches += 1

    def home(self) -> None:
        """To the day's plantings."""
        if isinstance(self.screen, RowScreen):
            self.tap("row_settings")
        if isinstance(self.screen, RowSettingsScreen | SummaryScreen):
            self.clock.wait(BOUNCE_S)
            self.tap("today")
        while not isinstance(self.screen, TodayScreen):
            self.tap("Back")

    def open(self, planting: str) -> None:
        """A planting from the day's list."""
        self.home()
        self.tap(self._names[planting])
        self.clock.wait(BOUNCE_S)

    def _to_row(self, planting: str) -> None:
        if not isinstance(self.screen, RowScreen) or self.screen.presenter._planting != planting:
            self.open(planting)

    def answer(self, answers: dict[str, Any]) -> None:
        """Go through the questions of a form, skip what there is no answer to, and save."""
        form = self.screen.presenter
        while self.screen.presenter is form and self.screen.view.kind != "review":
            view, answer = self.screen.view, answers.get(self.screen.view.key)
            if answer is not None and view.kind == "choose":
                self.tap(answer)
                continue
            if answer is not None and view.kind == "write":
                self.probe.type(answer)
            elif answer is not None:
                self._set("number", answer)
            self.tap("forward")
        if self.screen.presenter is form:
            self.tap("forward")

    def _set(self, name: str, value: float) -> None:
        """A number, step by step."""
        entry = self.probe.find(name)
        for _ in range(MOST_STEPS):
            if entry.value is not None and math.isclose(entry.value, value):
                return
            step = "less" if entry.value is not None and entry.value > value else "more"
            self.tap(entry.ids[step].__self__)
        raise AssertionError(f"{name} stands at {entry.value}, not at {value}")
