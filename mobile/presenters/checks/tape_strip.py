"""The tape along the row: one tap for each plant. Shown in stretches of a few plants, large enough for gloves."""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from mobile.device.haptics.protocol import Haptic
from mobile.presenters.base.form import Number
from mobile.presenters.base.labels import name_of
from mobile.presenters.base.presenter import AppContext, Presenter
from mobile.presenters.base.routes import Route
from mobile.presenters.checks.tape_draft import Draft, draft, save_draft
from shared_models.core.units import MM_PER_INCH
from shared_models.errors import WrongMoment

#: plants on one stretch of the tape, if none is missing
PLANTS_SHOWN = 6


@dataclass(frozen=True, slots=True)
class Ruler:
    """How a tape is divided: its unit, finest step, and the length that a stretch is a multiple of."""

    unit: str
    unit_mm: float
    step: float
    decimals: int
    stretch: float

    @property
    def step_mm(self) -> float:
        return self.step * self.unit_mm


INCHES = Ruler("in", MM_PER_INCH, step=0.25, decimals=2, stretch=12)
CENTIMETRES = Ruler("cm", 10.0, step=0.5, decimals=1, stretch=10)
#: units between numbered marks
NUMBERED = {"in": (2, 6, 12, 24, 60, 120), "cm": (5, 10, 20, 50, 100, 200, 500)}
MOST_NUMBERS = 6


@dataclass(frozen=True, slots=True)
class Mark:
    """A mark of the tape: where on the stretch (0 its near end, 1 its far end), and its number where it has one."""

    at: float
    text: str


@dataclass(frozen=True, slots=True)
class Spot:
    """A plant on the stretch; the chosen one is moved or taken away."""

    at: float
    chosen: bool


@dataclass(frozen=True, slots=True)
class TapeStripView:
    """The tape screen. `value` is where the chosen plant stands, in the tape's unit; None where none is chosen."""

    title: str
    stretch: str
    marks: tuple[Mark, ...]
    spots: tuple[Spot, ...]
    can_farther: bool
    can_nearer: bool
    next: str
    remove: str
    can_remove: bool
    place: str
    value: float | None
    number: Number
    point: str
    back: str
    done: str
    can_done: bool


class TapeStripPresenter(Presenter):
    """One tape beside one row."""

    def __init__(self, context: AppContext, planting: str, row: int, length_mm: int) -> None:
        super().__init__(context)
        self._tape = Draft(planting, row, length_mm)
        begun = draft(context.notebook)
        if begun is not None and begun.where == self._tape.where:
            self._tape = begun
        self._ruler = INCHES if context.localizer.feet else CENTIMETRES
        self._chosen: int | None = len(self._tape.placed) - 1 if self._tape.placed else None
        self._stretch = 0
        self.read()
        self._show_chosen()

    def read(self) -> None:
        """Read the row and its spacing."""
        self._state = self.context.notebook.row_state(self._tape.planting)

    # what a tap means

    def touch(self, at: float, reach: float) -> None:
        """Choose the plant within reach, else add one there; both are shares of the stretch."""
        near = sorted((abs(spot - at), index) for index, spot in self._on_stretch())
        if near and near[0][0] <= reach:
            self._chosen = near[0][1]
        else:
            self._add_plant(self._from_mm + at * self._stretch_mm)

    def next_plant(self) -> None:
        """Add a plant one spacing after the last one; it can be moved from there."""
        placed = self._tape.placed
        at_mm = max(placed) + self._state.require_spacing_mm() if placed else 0.0
        if at_mm > self._tape.length_mm:
            raise WrongMoment("The tape ends here.", "Go to the result.")
        self._add_plant(at_mm)

    def move(self, value: float | None) -> None:
        """Move the chosen plant here; without one, add a plant."""
        if value is None or value == self._value:
            return
        at_mm = self._within(value * self._ruler.unit_mm)
        if self._chosen is None:
            self._add_plant(at_mm)
            return
        placed = list(self._tape.placed)
        placed[self._chosen] = at_mm
        self._keep(placed)

    def remove(self) -> None:
        """Remove the chosen plant; the one added before it is chosen then."""
        if self._chosen is None:
            return
        placed = list(self._tape.placed)
        del placed[self._chosen]
        self._chosen = len(placed) - 1 if placed else None
        self.context.feedback(Haptic.UNDO)
        self._keep(placed)

    def farther(self) -> None:
        self._stretch = min(self._stretch + 1, self._stretches - 1)

    def nearer(self) -> None:
        self._stretch = max(self._stretch - 1, 0)

    def done(self) -> None:
        self.context.navigator.go(Route.TAPE_RESULT, **self._tape.where)

    def _add_plant(self, at_mm: float) -> None:
        self._chosen = len(self._tape.placed)
        self.context.feedback(Haptic.MISS)
        self._keep([*self._tape.placed, self._within(at_mm)])

    def _within(self, at_mm: float) -> int:
        steps = round(at_mm / self._ruler.step_mm)
        return min(max(0, round(steps * self._ruler.step_mm)), self._tape.length_mm)

    def _keep(self, placed: Iterable[int]) -> None:
        self._tape = replace(self._tape, placed=tuple(placed))
        save_draft(self.context.notebook, self._tape)
        self._show_chosen()

    def _show_chosen(self) -> None:
        if self._chosen is not None and self._chosen not in {index for index, _ in self._on_stretch()}:
            last = self._stretches - 1
            self._stretch = min(int(self._tape.placed[self._chosen] / self._stretch_mm), last)

    # the tape

    @property
    def _stretch_mm(self) -> float:
        """Long enough for a few plants; full feet, or tens of centimeters."""
        whole = self._ruler.stretch * self._ruler.unit_mm
        wanted = math.ceil(PLANTS_SHOWN * self._state.require_spacing_mm() / whole - 0.01) * whole
        return float(min(wanted, self._tape.length_mm))

    @property
    def _stretches(self) -> int:
        return math.ceil(self._tape.length_mm / self._stretch_mm - 0.001)

    @property
    def _from_mm(self) -> float:
        """Where the stretch begins; the last one ends with the tape."""
        return min(self._stretch * self._stretch_mm, self._tape.length_mm - self._stretch_mm)

    def _on_stretch(self) -> list[tuple[int, float]]:
        """The plants on the stretch, each with its place from 0 to 1."""
        spots = ((index, (mm - self._from_mm) / self._stretch_mm) for index, mm in enumerate(self._tape.placed))
        half_mm = 0.5 / self._stretch_mm
        return [(index, min(max(at, 0.0), 1.0)) for index, at in spots if -half_mm <= at <= 1 + half_mm]

    def _marks(self) -> tuple[Mark, ...]:
        ruler, from_mm, length_mm = self._ruler, self._from_mm, self._stretch_mm
        units = length_mm / ruler.unit_mm
        apart = next((each for each in NUMBERED[ruler.unit] if units / each <= MOST_NUMBERS + 0.01), units)
        fine = max(1.0, apart / MOST_NUMBERS)
        first = math.ceil(from_mm / ruler.unit_mm / fine - 0.01)
        last = math.floor((from_mm + length_mm) / ruler.unit_mm / fine + 0.01)
        places = (number * fine for number in range(first, last + 1))
        return tuple(
            Mark((place * ruler.unit_mm - from_mm) / length_mm, "" if place % apart else self.localizer.number(place))
            for place in places
        )

    @property
    def _value(self) -> float | None:
        if self._chosen is None:
            return None
        return round(self._tape.placed[self._chosen] / self._ruler.step_mm) * self._ruler.step

    # what is shown

    @property
    def view(self) -> TapeStripView:
        t, localizer, ruler = self.t, self.localizer, self._ruler
        plants = localizer.tn("{n} plant", "{n} plants", len(self._tape.placed))
        until_mm = self._from_mm + self._stretch_mm
        return TapeStripView(
            title=t(
                "{bed}, row {row}: {plants}",
                bed=name_of(self.localizer, self._state.bed),
                row=self._tape.row,
                plants=plants,
            ),
            stretch=t("{start} to {end} of {length}", **self._lengths(self._from_mm, until_mm)),
            marks=self._marks(),
            spots=tuple(Spot(at, index == self._chosen) for index, at in self._on_stretch()),
            can_farther=self._stretch < self._stretches - 1,
            can_nearer=self._stretch > 0,
            next=t("next plant"),
            remove=t("remove"),
            can_remove=self._chosen is not None,
            place=t("Tap the tape where there is a plant.") if self._chosen is None else self._gap(),
            value=self._value,
            number=Number(
                start=0,
                step=ruler.step,
                highest=math.floor(self._tape.length_mm / ruler.step_mm + 0.1) * ruler.step,
                decimals=ruler.decimals,
                unit=t(ruler.unit),
            ),
            point=localizer.conventions.point,
            back=t("Back"),
            done=t("Next"),
            can_done=bool(self._tape.placed),
        )

    def _lengths(self, from_mm: float, until_mm: float) -> dict[str, str]:
        """In the unit of the marks, so that the screen shows the same figures as the tape."""
        start, end = (self.localizer.number(mm / self._ruler.unit_mm, 1) for mm in (from_mm, until_mm))
        return {"start": start, "end": end, "length": self.localizer.spacing(self._tape.length_mm)}

    def _gap(self) -> str:
        places = sorted(self._tape.placed)
        at_mm = self._tape.placed[self._chosen or 0]
        place = places.index(at_mm)
        if place == 0:
            return self.t("first plant")
        return self.t("{gap} after the plant before", gap=self.localizer.spacing(at_mm - places[place - 1]))
