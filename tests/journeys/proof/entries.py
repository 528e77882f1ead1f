"""What people enter in a history: on a phone, and in the office. Each entry is one call, as a screen makes it."""

import random
from collections.abc import Callable
from datetime import timedelta
from typing import Any

from mobile.log.rows import RowTap
from server.farms.edits import edit
from shared_models.core.vocabulary import StopReason
from shared_models.errors import BadEntry, UnknownRecord, WrongMoment
from tests.journeys.proof.ledger import Broken, fields_of
from tests.journeys.proof.oracle import Content, fold
from tests.journeys.proof.phone import ProofPhone
from tests.journeys.proof.stores import Database
from tests.journeys.proof.world import World

#: what the program may say instead of saving an entry
REFUSALS = (BadEntry, UnknownRecord, WrongMoment)
Expected = tuple[str, str, dict[str, Any]]
"""Kind, record and fields of a line that an entry must have made."""


def prepare(world: World) -> None:
    """A bed and a planting that everybody knows from the start."""
    bed, sowing = world.fakes.new_id(), world.fakes.new_id()
    first: list[Expected] = [
        ("bed", bed, {"name": "Bed 1", "rows": 4, "length_mm": 30_480}),
        ("sowing", sowing, {"crop": "scallion", "spacing_mm": 51.0}),
        ("planting", world.fakes.new_id(), {"bed": bed, "sowing": sowing}),
    ]
    for kind, record, fields in first:
        edit(world.engine, world.farm, kind, record, fields, None, world.fakes.time)
    world.look_at_office()
    for phone in world.phones:
        world.sync(phone)


def enter(world: World, phone: ProofPhone, draw: random.Random) -> None:
    """One entry on a phone: what it returns from is on the disk, and holds over what was there before."""
    entry = draw.choices(list(_ENTRIES), list(_ENTRIES.values()))[0]
    try:
        expected = entry(world, phone, draw)
    except REFUSALS:
        written = world.look_at(phone, new=True)
        if written:
            raise Broken(f"{phone.name} refused an entry and kept it: {written}") from None
    else:
        check_written(phone, expected, world.look_at(phone, new=True))


def check_written(phone: ProofPhone, expected: Expected | None, written: list[Content]) -> None:
    """The entry is in the log, and its record says what was entered."""
    if expected is not None:
        kind, record, fields = expected
        found = [fields_of(each) for each in written if (each.kind, each.record) == (kind, record)]
        if not any(fields.items() <= each.items() for each in found):
            raise Broken(f"{phone.name} confirmed an entry that is not in its log: {expected}")
        now = fold(phone.logs().values(), record)[kind, record]
        if not fields.items() <= now.items():
            raise Broken(f"{phone.name} confirmed {expected}, and the lines say {now}")


def add_bed(_: World, phone: ProofPhone, draw: random.Random) -> Expected:
    fields = {"name": f"Bed {draw.getrandbits(24)}", "rows": draw.randrange(2, 6), "length_mm": 30_480}
    return "bed", phone.notebook.add("bed", **fields), fields


def correct_bed(_: World, phone: ProofPhone, draw: random.Random) -> Expected | None:
    bed = _any(phone, "bed", draw)
    if bed is None:
        return None
    changed: dict[str, Any] = draw.choice(
        [
            {"name": f"Bed {draw.getrandbits(24)}"},
            {"latitude": 42 + draw.random(), "longitude": -73 - draw.random()},
            {"longitude": -73 - draw.random()},
            {"rows": draw.randrange(1, 9)},
        ]
    )
    phone.notebook.correct("bed", bed, changed)
    return "bed", bed, changed


def void_or_bring_back(_: World, phone: ProofPhone, draw: random.Random) -> Expected | None:
    bed = _any(phone, "bed", draw)
    if bed is None:
        return None
    changed = {"voided": draw.random() < 0.5}
    phone.notebook.write("bed", bed, changed)
    return "bed", bed, changed


def add_planting(_: World, phone: ProofPhone, draw: random.Random) -> Expected | None:
    bed = _any(phone, "bed", draw)
    if bed is None:
        return None
    sowing = phone.notebook.add("sowing", crop="scallion", spacing_mm=51.0, code=f"S{draw.getrandbits(16)}")
    fields = {"bed": bed, "sowing": sowing}
    return "planting", phone.notebook.add("planting", **fields), fields


def tap_row(world: World, phone: ProofPhone, draw: random.Random) -> None:
    planting = _any(phone, "planting", draw)
    if planting is None:
        return
    world.wait(draw.choice([0.3, 30, 200]))
    before = len(phone.own_logs()), sum(log.seq for log in phone.own_logs())
    tap, _ = phone.notebook.tap_row(planting)
    after = len(phone.own_logs()), sum(log.seq for log in phone.own_logs())
    if (tap is RowTap.IGNORED) != (before == after):
        raise Broken(f"{phone.name} said {tap} of a tap, and its log says otherwise")


def tap_in_row(_: World, phone: ProofPhone, draw: random.Random) -> None:
    planting, notebook = _any(phone, "planting", draw), phone.notebook
    if planting is not None:
        taps: list[Callable[[], object]] = [
            lambda: notebook.miss(planting),
            lambda: notebook.double(planting),
            lambda: notebook.stop(planting, draw.choice(list(StopReason))),
            lambda: notebook.go_on(planting),
            lambda: notebook.set_depth(planting, notch=draw.randrange(5)),
            lambda: notebook.note_row(planting, f"note {draw.getrandbits(16)}"),
            lambda: notebook.undo_in(planting),
        ]
        draw.choice(taps)()


def correct_counts(_: World, phone: ProofPhone, draw: random.Random) -> Expected | None:
    """Two good corrections of one row may break a rule when they meet."""
    row = _any(phone, "row_pass", draw)
    if row is None:
        return None
    changed = draw.choice([{"misses": draw.randrange(4)}, {"filled": draw.randrange(4)}])
    phone.notebook.correct("row_pass", row, changed)
    return "row_pass", row, changed


def undo(_: World, phone: ProofPhone, __: random.Random) -> None:
    phone.notebook.undo()


def check_soil(_: World, phone: ProofPhone, draw: random.Random) -> None:
    bed = _any(phone, "bed", draw)
    if bed is not None:
        phone.notebook.check_soil(bed, residue_pct=float(draw.randrange(100)))


def note_weather(_: World, phone: ProofPhone, draw: random.Random) -> Expected:
    day = (phone.clock.true + timedelta(days=draw.randrange(5))).date().isoformat()
    fields = {"on": day, "rain_mm": draw.randrange(40) / 2}
    return "weather", phone.notebook.add("weather", **fields), fields


_ENTRIES: dict[Callable[[World, ProofPhone, random.Random], Expected | None], int] = {
    add_bed: 4,
    correct_bed: 6,
    void_or_bring_back: 1,
    add_planting: 2,
    tap_row: 6,
    tap_in_row: 8,
    correct_counts: 3,
    undo: 2,
    check_soil: 1,
    note_weather: 1,
}


def _any(phone: ProofPhone, kind: str, draw: random.Random) -> str | None:
    found = _ids(phone, kind)
    return draw.choice(found) if found else None


def _ids(store: ProofPhone | Database, kind: str) -> list[str]:
    return sorted(row["id"] for row in store.rows(f"SELECT id FROM {kind}"))  # noqa: S608 - our own names


def at_the_same_moment(world: World, draw: random.Random) -> None:
    """Two phones name one bed in the same millisecond, neither knowing of the other's entry."""
    if len(world.phones) < 2:
        return
    one, other = draw.sample(world.phones, 2)
    beds = {*_ids(one, "bed")} & {*_ids(other, "bed")}
    if not beds:
        return
    bed, at = draw.choice(sorted(beds)), max(one.clock.true, other.clock.true) + timedelta(seconds=1)
    for phone in (one, other):
        phone.clock.set_wrong_by(timedelta())
        phone.clock.wait_until(at)
        changed = {"name": f"{phone.name} {draw.getrandbits(24)}"}
        try:
            phone.notebook.write("bed", bed, changed)
        except REFUSALS:
            continue
        check_written(phone, ("bed", bed, changed), world.look_at(phone, new=True))


def edit_in_office(world: World, draw: random.Random) -> None:
    """An edit in the office; a wage stays there."""
    beds = _ids(world.database, "bed")
    edits: list[Expected] = [
        ("bed", draw.choice(beds) if beds else "", {"name": f"Office {draw.getrandbits(24)}"}),
        ("bed", world.fakes.new_id(), {"name": f"New {draw.getrandbits(24)}", "rows": 4, "length_mm": 30_480}),
        ("person", world.fakes.new_id(), {"name": f"Ana {draw.getrandbits(24)}", "wage_per_hour": 18.5}),
    ]
    kind, record, changed = draw.choice(edits)
    if not record:
        return
    try:
        edit(world.engine, world.farm, kind, record, changed, None, world.fakes.time)
    except REFUSALS:
        changed = {}
    written = world.look_at_office()
    told = {name: value for each in written for name, value in fields_of(each).items()}
    if told != changed:
        raise Broken(f"the office confirmed {changed} and its log says {told}")
