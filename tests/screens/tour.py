"""A walk through every screen of the app, on a notebook as full as one is after three weeks: for rulers and cameras."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import Any

from sqlmodel import select

from mobile import fieldday
from mobile.presenters.places import Place
from mobile.pretend import PretendPhone
from mobile.rounds import News
from shared_models.errors import Unreachable
from shared_models.tables import Bed, Person, Planting, Sowing
from shared_models.words import StopReason
from tests.mobile.hand import QuietPost
from tests.screens.probe import Probe


@dataclass(frozen=True)
class Field:
    """A farm at half past four: beds done today, one that waits, one under way, one stopped, one between rows."""

    phone: PretendPhone
    post: QuietPost
    #: plantings by what is going on in them
    open: str
    stopped: str
    between: str
    waiting: str
    finished: str
    #: beds with and without a texture, and a row with misses to fill
    bed: str
    plain_bed: str
    to_fill: str


def farm_at_half_past_four(folder: Path) -> Field:
    """Play the scripted day, then go on with a few beds of our own."""
    phone = PretendPhone(folder, fieldday._at(fieldday.FIRST_DAY, 6))
    for _ in fieldday.script(phone):
        pass
    notebook = phone.notebook
    notebook.write("farm", notebook.farm, {"name": fieldday.FARM, "zone": fieldday.ZONE})
    with notebook.reading() as session:
        beds = {bed.name: bed.id for bed in session.exec(select(Bed))}
        sowings = {sowing.code: sowing.id for sowing in session.exec(select(Sowing))}
        crew = [person.id for person in session.exec(select(Person))]
        waiting = next(each.id for each in session.exec(select(Planting)) if each.bed == beds["Creek 1"])
    planted = iter(("West 1", "West 2", "West 3", "West 4"))

    def begun(rows: int) -> str:
        today = fieldday.DAY.isoformat()
        told = {"bed": beds[next(planted)], "sowing": sowings["SC-0318"], "planned_on": today}
        planting = notebook.add("planting", **told)
        notebook.set_crew(planting, crew[:2])
        for _ in range(rows):
            _pull(phone, planting)
        return planting

    plain = notebook.add("bed", name="South 1", length_mm=30_000, rows=4)
    notebook.add("planting", bed=plain, sowing=sowings["LE-0416"], planned_on=fieldday.DAY.isoformat())
    finished, between, stopped, now = begun(4), begun(2), begun(0), begun(1)
    notebook.start_row(stopped)
    phone.clock.wait(120)
    notebook.stop(stopped, StopReason.CLOGGED)
    notebook.start_row(now)
    notebook.set_depth(now, notch=3, depth_mm=32)
    phone.clock.wait(252)
    notebook.miss(now)
    notebook.change_settings(server="http://barn.local:8000", phone_name="Field phone")
    last_success = phone.clock.true - timedelta(hours=20)
    post = QuietPost(News(success=last_success, problem=Unreachable("The service cannot be reached from here.")))
    to_fill = next(row.id for row in notebook.row_state(finished).passes if row.misses)
    return Field(phone, post, now, stopped, between, waiting, finished, beds["East 1"], plain, to_fill)


def _pull(phone: PretendPhone, planting: str) -> None:
    row = phone.notebook.start_row(planting)
    phone.clock.wait(phone.draw.uniform(400, 520))
    if phone.draw.random() < 0.7:
        phone.notebook.miss(planting, phone.draw.randint(1, 3))
    phone.notebook.end_row(planting)
    phone.clock.wait(70)
    assert row


@dataclass(frozen=True)
class Stop:
    """A screen on the walk: its name, how it comes about, and whether it is used in the row."""

    name: str
    arrive: Callable[[Probe, Field], None]
    in_row: bool = False


def _to(place: Place, **asked: Callable[[Field], str]) -> Callable[[Probe, Field], None]:
    def arrive(probe: Probe, field: Field) -> None:
        probe.app.go(place, **{name: of(field) for name, of in asked.items()})

    return arrive


def _then(*steps: tuple[str, Any] | str) -> Callable[[Probe, Field], None]:
    """Go on with the questions of the room: ("pick", key), ("put", value) and on, or an action's name alone."""

    def arrive(probe: Probe, field: Field) -> None:
        room = probe.app.room
        for step in steps:
            action, told = (step, None) if isinstance(step, str) else step
            value = told(field) if callable(told) else told
            room.do(getattr(room.presenter, action), *([] if told is None else [value]))
            if action == "put":
                room.do(room.presenter.forward)

    return arrive


def _first_day(probe: Probe, _field: Field) -> None:
    room = probe.app.room
    room.do(room.presenter.pick, room.view.options[1].key)


STOPS = [
    Stop("row", _to(Place.ROW, planting=lambda field: field.open), in_row=True),
    Stop("row-stopped", _to(Place.ROW, planting=lambda field: field.stopped), in_row=True),
    Stop("row-between", _to(Place.ROW, planting=lambda field: field.between), in_row=True),
    Stop("row-not-begun", _to(Place.ROW, planting=lambda field: field.waiting), in_row=True),
    Stop("row-trouble", _then("miss"), in_row=True),
    Stop("stop", _to(Place.STOP, planting=lambda field: field.open), in_row=True),
    Stop("depth-crew", _to(Place.DEPTH_CREW, planting=lambda field: field.open)),
    Stop("finished", _to(Place.FINISHED, planting=lambda field: field.finished)),
    Stop("fill", _to(Place.FILL, planting=lambda field: field.finished, row_pass=lambda field: field.to_fill)),
    Stop("today", _to(Place.TODAY)),
    Stop("soil-bed", _to(Place.SOIL)),
    Stop("soil-texture", _then(("pick", lambda field: field.plain_bed))),
    Stop("soil-feel", _then("back", ("pick", lambda field: field.bed))),
    Stop("soil-how", _then(("pick", "how"))),
    Stop("soil-residue", _then(("pick", "wet"))),
    Stop("soil-tilled", _then(("put", 15), ("pick", "some"), ("pick", "few"))),
    Stop("soil-warmth", _first_day),
    Stop("soil-review", _then(("put", 52))),
    Stop("stand-planting", _to(Place.STAND)),
    Stop("stand-row", _then(("pick", lambda field: field.finished))),
    Stop("stand-plants", _then(("put", 2), ("put", 10))),
    Stop("stand-review", _then(("put", 57))),
    Stop("new", _to(Place.BEGIN)),
    Stop("new-bed", _to(Place.BED)),
    Stop("new-bed-review", _then(("put", "South 2"), ("put", 120), ("put", 4))),
    Stop("new-sowing", _to(Place.SOWING)),
    Stop("new-planting", _to(Place.PLANTING)),
    Stop("new-planting-sowing", _then(("pick", lambda field: field.bed))),
    Stop("new-person", _to(Place.PERSON)),
    Stop("hand-over", _to(Place.HAND_OVER)),
    Stop("pair", _to(Place.PAIR)),
    Stop("this-phone", _to(Place.PHONE)),
    Stop("this-phone-language", _then(("pick", "language"))),
]


def walk(probe: Probe, field: Field) -> Iterator[Stop]:
    """From screen to screen."""
    for stop in STOPS:
        stop.arrive(probe, field)
        yield stop
