"""A walk through every screen of the app, on a notebook as full as one is after three weeks: for rulers and cameras."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import timedelta
from pathlib import Path
from typing import Any

from sqlmodel import select

from mobile.demo import story
from mobile.demo.fake_phone import FakePhone
from mobile.device.location.protocol import Fix, Search
from mobile.presenters.base.error_messages import in_words
from mobile.presenters.base.routes import Route
from mobile.presenters.checks.tape_draft import drop_draft
from mobile.sync.bundles import BundleStatus, Imported
from mobile.sync.scheduler import SyncStatus
from shared_models.core.vocabulary import StopReason
from shared_models.errors import BadBody, CertificateChanged, RowendError, StorageError, Unreachable
from shared_models.log.store import DISK_FULL
from shared_models.records.tables import Bed, Person, Planting, Sowing
from tests.mobile.support.quiet_phone import QuietSync
from tests.screens.harness.probe import Probe

PAIRING_LINK = f"rowend://pair?at=https://192.168.1.20:8000&code=BCDFGHJK&pin={'9f' * 32}"


@dataclass(frozen=True)
class Field:
    """A farm at half past four: beds done today, one that waits, one under way, one stopped, one between rows."""

    phone: FakePhone
    sync: QuietSync
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
    #: a bed and its row that took an hour, one whose row runs on, somebody, and a crew
    slow: str
    slow_row: str
    runs_on: str
    person: str
    other_crew: str
    #: a sowing whose trays can be looked at
    trays: str


def farm_at_half_past_four(folder: Path) -> Field:
    """Play the scripted day, then go on with a few beds of our own."""
    phone = FakePhone(folder, story.at(story.FIRST_DAY, 6))
    for _ in story.script(phone):
        pass
    notebook = phone.notebook
    notebook.write("farm", notebook.farm, {"name": story.FARM, "zone": story.ZONE})
    with notebook.reading() as session:
        beds = {bed.name: bed.id for bed in session.exec(select(Bed))}
        sowings = {sowing.code: sowing.id for sowing in session.exec(select(Sowing))}
        crew = [person.id for person in session.exec(select(Person))]
        waiting = next(each.id for each in session.exec(select(Planting)) if each.bed == beds["Creek 1"])
    planted = iter(("West 1", "West 2", "West 3", "West 4"))

    def begun(rows: int) -> str:
        today = story.DAY.isoformat()
        fields = {"bed": beds[next(planted)], "sowing": sowings["SC-0318"], "planned_on": today}
        planting = notebook.add("planting", **fields)
        notebook.set_crew(planting, crew[:2])
        for _ in range(rows):
            _pull(phone, planting)
        return planting

    plain = notebook.add("bed", name="South 1", length_mm=30_000, rows=4)
    notebook.add("planting", bed=plain, sowing=sowings["LE-0416"], planned_on=story.DAY.isoformat())
    slow, slow_row, runs_on = _slow_rows(phone, sowings["SC-0318"])
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
    sync = QuietSync(SyncStatus(success=last_success, problem=Unreachable("The service cannot be reached from here.")))
    to_fill = next(row.id for row in notebook.row_state(finished).passes if row.misses)
    places = (now, stopped, between, waiting, finished, beds["East 1"], plain, to_fill)
    return Field(phone, sync, *places, slow, slow_row, runs_on, crew[0], " ".join(crew[1:]), sowings["SC-0318"])


def _slow_rows(phone: FakePhone, sowing: str) -> tuple[str, str, str]:
    """A planting with a row in which somebody had lunch, that row, and a planting whose row was never ended."""
    notebook = phone.notebook
    slow, runs_on = (
        notebook.add("planting", bed=notebook.add("bed", name=name, length_mm=30_480, rows=4), sowing=sowing)
        for name in ("Slope 1", "Slope 2")
    )
    notebook.start_row(runs_on)
    _pull(phone, slow)
    row = notebook.start_row(slow)
    phone.clock.wait(50 * 60)
    notebook.end_row(slow)
    phone.clock.wait(70)
    return slow, row, runs_on


def _pull(phone: FakePhone, planting: str) -> None:
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


def _to(place: Route, **asked: Callable[[Field], Any]) -> Callable[[Probe, Field], None]:
    def arrive(probe: Probe, field: Field) -> None:
        probe.app.go(place, **{name: of(field) for name, of in asked.items()})

    return arrive


def _then(*steps: tuple[str, Any] | str) -> Callable[[Probe, Field], None]:
    """Go on with the questions of the screen: ("pick", key), ("put", value) and on, or an action's name alone."""

    def arrive(probe: Probe, field: Field) -> None:
        screen = probe.app.screen
        for step in steps:
            action, arg = (step, None) if isinstance(step, str) else step
            value = arg(field) if callable(arg) else arg
            screen.do(getattr(screen.presenter, action), *([] if arg is None else [value]))
            if action == "put":
                screen.do(screen.presenter.forward)

    return arrive


def _sync_problem(problem: RowendError) -> Callable[[Probe, Field], None]:
    """The same screen after a failed sync; the next stop gets the old status back."""

    def arrive(probe: Probe, field: Field) -> None:
        before = field.sync.status
        field.sync.status = replace(before, problem=problem)
        probe.app.screen.reload()
        field.sync.status = before

    return arrive


def _bundle_status(status: BundleStatus) -> Callable[[Probe, Field], None]:
    def arrive(probe: Probe, _field: Field) -> None:
        probe.app._context.bundles.status = status
        probe.app.screen.reload()

    return arrive


def _storage_full(probe: Probe, _field: Field) -> None:
    probe.app.screen.presenter.trouble = in_words(probe.app._context.localizer, StorageError(DISK_FULL))
    probe.app.screen.refresh()


def _first_day(probe: Probe, _field: Field) -> None:
    screen = probe.app.screen
    screen.do(screen.presenter.pick, screen.view.options[1].key)


def _bed(text: str) -> Callable[[Probe, Field], None]:
    def arrive(probe: Probe, _field: Field) -> None:
        probe.app.go(Route.BEDS)
        screen = probe.app.screen
        screen.do(
            screen.presenter.pick, next(option.key for option in screen.view.options if option.text.startswith(text))
        )

    return arrive


def _to_the_tape(probe: Probe, field: Field) -> None:
    """An empty one, 3 m long."""
    drop_draft(field.phone.notebook)
    probe.app.go(Route.TAPE_STRIP, planting=field.finished, row=2, length_mm=3_000)


def _plants_on_the_tape(probe: Probe) -> None:
    """Singles, two plants close to each other, two skips, and the last plant at the end."""
    screen = probe.app.screen
    for tenths in (0, 1.7, 3.3, 3.7, 6.8, 8.4, 10):
        screen.do(screen.presenter.touch, tenths / 10, 0.01)
    for _ in range(12):
        screen.do(screen.presenter.farther)
    for tenths in (1, 2.5, 4.2, 5.9, 10):
        screen.do(screen.presenter.touch, tenths / 10, 0.01)


def _at_an_end(probe: Probe, field: Field) -> None:
    probe.app.go(Route.LENGTH, planting=field.open)
    probe.app.screen.do(probe.app.screen.presenter.pick, "fixes")


def _look_for_an_end(probe: Probe) -> None:
    probe.app.screen.do(probe.app.screen.presenter.pick, "look")
    probe.settle()


def _half_found(probe: Probe) -> None:
    probe.app.screen.presenter._search = Search(Fix(50.0, 8.0, 11.0))
    probe.app.screen.refresh()


def _fix_both_ends(probe: Probe) -> None:
    screen = probe.app.screen
    for latitude in (50.0, 50.0003):
        screen.do(screen.presenter._use_fix, Fix(latitude, 8.0, 4.0))


STOPS = [
    Stop("row", _to(Route.ROW, planting=lambda field: field.open), in_row=True),
    Stop("row-stopped", _to(Route.ROW, planting=lambda field: field.stopped), in_row=True),
    Stop("row-between", _to(Route.ROW, planting=lambda field: field.between), in_row=True),
    Stop("row-not-begun", _to(Route.ROW, planting=lambda field: field.waiting), in_row=True),
    Stop("row-trouble", _then("miss"), in_row=True),
    Stop("row-storage-full", _storage_full, in_row=True),
    Stop("locked", _to(Route.LOCKED, planting=lambda field: field.open), in_row=True),
    Stop("locked-half-open", _then("hold_lower"), in_row=True),
    Stop("stop", _to(Route.STOP, planting=lambda field: field.open), in_row=True),
    Stop("row-settings", _to(Route.ROW_SETTINGS, planting=lambda field: field.open)),
    Stop("row-settings-changed", _then(("pick_crew", lambda field: field.other_crew))),
    Stop("summary", _to(Route.SUMMARY, planting=lambda field: field.finished)),
    Stop("fill", _to(Route.FILL, planting=lambda field: field.finished, row_pass=lambda field: field.to_fill)),
    Stop("row-slow", _to(Route.ROW, planting=lambda field: field.slow), in_row=True),
    Stop("row-runs-on", _to(Route.ROW, planting=lambda field: field.runs_on), in_row=True),
    Stop("slow-row", _to(Route.SLOW_ROW, row_pass=lambda field: field.slow_row)),
    Stop("summary-with-back", _to(Route.SUMMARY, planting=lambda field: field.between, with_back=lambda _: True)),
    Stop("summary-slow-row", _to(Route.SUMMARY, planting=lambda field: field.slow)),
    Stop("people", _to(Route.PEOPLE)),
    Stop("edit-person", _to(Route.EDIT_PERSON, person=lambda field: field.person)),
    Stop("about", _to(Route.ABOUT)),
    Stop("today", _to(Route.TODAY)),
    Stop("soil-bed", _to(Route.SOIL)),
    Stop("soil-texture", _then(("pick", lambda field: field.plain_bed))),
    Stop("soil-feel", _then("back", ("pick", lambda field: field.bed))),
    Stop("soil-how", _then(("pick", "how"))),
    Stop("soil-residue", _then(("pick", "wet"))),
    Stop("soil-tilled", _then(("put", 15), ("pick", "some"), ("pick", "few"))),
    Stop("soil-warmth", _first_day),
    Stop("soil-review", _then(("put", 52))),
    Stop("stand-planting", _to(Route.STAND)),
    Stop("stand-row", _then(("pick", lambda field: field.finished))),
    Stop("stand-plants", _then(("put", 2), ("put", 10))),
    Stop("stand-review", _then(("put", 57))),
    Stop("check", _to(Route.CHECK)),
    Stop("trays", _to(Route.TRAYS)),
    Stop("trays-cells", _then(("pick", lambda field: field.trays))),
    Stop("trays-roots", _then(("put", 264), ("put", 60), ("put", 3))),
    Stop("trays-review", _then(("pick", "yes"))),
    Stop("tape-strip", _to_the_tape),
    Stop("tape-strip-begun", lambda probe, _field: _plants_on_the_tape(probe)),
    Stop("tape-strip-trouble", _then("next_plant")),
    Stop("tape-result", _then("done")),
    Stop("tape", _to(Route.TAPE)),
    Stop("length", _to(Route.LENGTH)),
    Stop("length-how", _then(("pick", lambda field: field.bed))),
    Stop("length-tape", _then(("pick", "tape"))),
    Stop("length-end", _at_an_end),
    Stop("length-nowhere", lambda probe, _field: _look_for_an_end(probe)),
    Stop("length-looking", lambda probe, _field: _half_found(probe)),
    Stop("length-proposal", lambda probe, _field: _fix_both_ends(probe)),
    Stop("history", _to(Route.HISTORY)),
    Stop("pace", _to(Route.PACE)),
    Stop("pace-choose", _then(("choose", "by"))),
    Stop("pace-crew", _then(("pick", "crew"))),
    Stop("pace-days", _then(("choose", "by"), ("pick", "day"))),
    Stop("pace-measure", _then(("choose", "measure"))),
    Stop("beds", _to(Route.BEDS)),
    Stop("bed-history", _bed("Creek 1")),
    Stop("bed-history-planted", _bed("West 1")),
    Stop("entries", _to(Route.ENTRIES)),
    Stop("entries-which", _then("by_kind")),
    Stop("entry", _to(Route.ENTRY, kind=lambda _: "row_pass", record=lambda field: field.to_fill)),
    Stop("entry-deleted", _then("void")),
    Stop("entry-put-back", _then("void")),
    Stop("field", _then(("pick", "started_at"))),
    Stop(
        "field-or-none",
        _to(
            Route.FIELD,
            kind=lambda _: "row_pass",
            record=lambda field: field.to_fill,
            field=lambda _: "depth_notch",
        ),
    ),
    Stop("move", _to(Route.MOVE, planting=lambda field: field.between)),
    Stop("move-review", _then(("pick", lambda field: field.open))),
    Stop("new", _to(Route.NEW)),
    Stop("new-bed", _to(Route.BED)),
    Stop("new-bed-review", _then(("put", "South 2"), ("put", 120), ("put", 4))),
    Stop("new-sowing", _to(Route.SOWING)),
    Stop("new-planting", _to(Route.PLANTING)),
    Stop("new-planting-sowing", _then(("pick", lambda field: field.bed))),
    Stop("new-person", _to(Route.PERSON)),
    Stop("sync", _to(Route.SYNC)),
    Stop("sync-with-a-other_farm", _sync_problem(CertificateChanged())),
    Stop("bundle", _to(Route.BUNDLE)),
    Stop("bundle-shared", _bundle_status(BundleStatus(shared="Download/Rowend", entries=1204))),
    Stop("bundle-read-in", _bundle_status(BundleStatus(imported=Imported(412, refused={"another phone's"})))),
    Stop("bundle-refused", _bundle_status(BundleStatus(problem=BadBody("it was cut on the way")))),
    Stop("bundle-asks", _bundle_status(BundleStatus(other_farm=True))),
    Stop("pair", _to(Route.PAIR)),
    Stop("pair-by-link", _to(Route.PAIR, link=lambda _: PAIRING_LINK)),
    Stop("this-phone", _to(Route.PHONE)),
    Stop("this-phone-language", _then(("pick", "language"))),
]


def walk(probe: Probe, field: Field) -> Iterator[Stop]:
    """From screen to screen."""
    for stop in STOPS:
        stop.arrive(probe, field)
        yield stop
