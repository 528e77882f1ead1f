"""The story of a day on an invented farm, played tap by tap on a fake phone.

Three weeks of earlier plantings, then one whole day offline: a crew of three, five beds, two crops at two spacings, a
broken chain, tray changes, misses and fills, a bed too wet to plant, a depth change, a clock set wrong at noon and a
phone killed in the middle of a row. Everything is reproducible; nothing here is measured on a real farm.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from mobile.demo.fake_phone import FakePhone
from shared_models.core.units import feet_to_mm, inches_to_mm
from shared_models.core.vocabulary import Amount, Feel, Role, StopReason, Texture

FARM = "Heronbrook Farm"
ZONE = "America/New_York"
DAY = date(2026, 5, 14)
FIRST_DAY = DAY - timedelta(days=21)

#: row feet an hour that this crew keeps up while the chain runs, by crop
_PACE_FT_PER_H = {"scallion": 820.0, "lettuce": 1150.0}
_SPACING_IN = {"scallion": 2.0, "lettuce": 6.0}


@dataclass(slots=True)
class Farm:
    """Ids of what the script has written so far."""

    people: dict[str, str] = field(default_factory=dict)
    beds: dict[str, str] = field(default_factory=dict)
    sowings: dict[str, str] = field(default_factory=dict)
    plantings: dict[str, str] = field(default_factory=dict)


def script(phone: FakePhone) -> Iterator[str]:
    """The whole story, one entry at a time; each is on the disk when its sentence is yielded."""
    farm = Farm()
    yield from set_up(phone, farm)
    yield from _earlier_days(phone, farm)
    yield from _the_day(phone, farm)


def at(day: date, hour: int, minute: int = 0) -> datetime:
    """A time of day on the farm's clock."""
    return datetime.combine(day, time(hour, minute), ZoneInfo(ZONE))


# ---------------------------------------------------------------------- three weeks before

_BEDS = {  # name: (block, rows, texture)
    "North 1": ("North", 4, Texture.MODERATELY_COARSE),
    "North 2": ("North", 3, Texture.MODERATELY_COARSE),
    "North 3": ("North", 4, Texture.MODERATELY_COARSE),
    "East 1": ("East", 3, Texture.MEDIUM),
    "Creek 1": ("Creek", 4, Texture.FINE),
    "West 1": ("West", 4, Texture.MEDIUM),
    "West 2": ("West", 3, Texture.MEDIUM),
    "West 3": ("West", 4, Texture.MEDIUM),
    "West 4": ("West", 3, Texture.MEDIUM),
}
_PEOPLE = {"Ines": Role.GROWER, "Tomas": Role.CREW, "June": Role.CREW}
_SOWINGS = {  # code: (crop, variety, days before DAY, trays, germination on the label)
    "SC-0304": ("scallion", "Longshank", 71, 40, 0.90),
    "SC-0318": ("scallion", "Longshank", 57, 40, 0.90),
    "LE-0408": ("lettuce", "Winter Bowl", 36, 20, 0.95),
    "LE-0416": ("lettuce", "Winter Bowl", 28, 20, 0.95),
}


def set_up(
    phone: FakePhone, farm: Farm, beds: Sequence[str] = tuple(_BEDS), sowings: Sequence[str] = tuple(_SOWINGS)
) -> Iterator[str]:
    """People, beds and sowings; fewer of them where the story does not go far."""
    for name, role in _PEOPLE.items():
        farm.people[name] = phone.notebook.add("person", name=name, role=role)
        yield f"{name} works here"
    phone.notebook.change_settings(person=farm.people["Ines"])
    for name in beds:
        block, rows, texture = _BEDS[name]
        size = {"length_mm": round(feet_to_mm(100)), "rows": rows, "row_spacing_mm": 200, "bed_spacing_mm": 1500}
        farm.beds[name] = phone.notebook.add("bed", name=name, block=block, texture=texture, **size)
        yield f"bed {name}"
    for code in sowings:
        crop, variety, age, trays, germination = _SOWINGS[code]
        sown = (DAY - timedelta(days=age)).isoformat()
        seed = {"seed_lot": f"{code}-A", "sown_on": sown, "trays": trays, "label_germination": germination}
        spacing = inches_to_mm(_SPACING_IN[crop])
        farm.sowings[code] = phone.notebook.add(
            "sowing", code=code, crop=crop, variety=variety, spacing_mm=spacing, **seed
        )
        yield f"sowing {code}"


_EARLIER = [  # days before DAY, bed, sowing, crew
    (20, "West 1", "SC-0304", ("Ines", "Tomas")),
    (17, "West 2", "LE-0408", ("Ines", "June")),
    (13, "West 3", "SC-0304", ("Tomas", "June")),
    (8, "West 4", "LE-0408", ("Ines", "Tomas")),
]


def _earlier_days(phone: FakePhone, farm: Farm) -> Iterator[str]:
    for ago in range(21, 0, -1):
        day = DAY - timedelta(days=ago)
        phone.clock.wait_until(at(day, 6, 30))
        if ago % 7 == 0:
            phone.clock.reboot()
        yield from _weather(phone, day, rain_mm=14.0 if ago in {19, 10, 1} else 0.0)
        for before, bed, sowing, crew in _EARLIER:
            if ago == before:
                yield from soil(phone, farm, bed, Feel.MOIST, tilled_h=16)
                yield from _plain_planting(phone, farm, bed, sowing, crew)
        if ago in {19, 16, 10, 5, 2}:
            yield from soil(phone, farm, "Creek 1", Feel.WET if ago in {19, 10} else Feel.MOIST, tilled_h=40)
            yield from soil(phone, farm, "North 1", Feel.MOIST, tilled_h=60)


def _weather(phone: FakePhone, day: date, rain_mm: float) -> Iterator[str]:
    t_min_c = round(phone.draw.uniform(4, 10), 1)
    warmth = {"t_min_c": t_min_c, "t_max_c": round(t_min_c + phone.draw.uniform(8, 13), 1)}
    phone.notebook.add("weather", on=day.isoformat(), rain_mm=rain_mm, irrigation_mm=0.0, **warmth)
    yield f"weather of {day}"


def soil(phone: FakePhone, farm: Farm, bed: str, feel: Feel, tilled_h: float) -> Iterator[str]:
    """A soil check of a bed."""
    phone.clock.wait(90)
    tilled_at = phone.clock.true - timedelta(hours=tilled_h)
    seen = {"residue_pct": 8.0, "stones": Amount.FEW, "clods": Amount.NONE, "soil_c": 13.0}
    phone.notebook.check_soil(farm.beds[bed], tilled_at=tilled_at, feel=feel, **seen)
    yield f"soil of {bed}: {feel.value}"


def _plan(phone: FakePhone, farm: Farm, bed: str, sowing: str) -> Iterator[str]:
    planned = phone.clock.true.astimezone(ZoneInfo(ZONE)).date().isoformat()
    farm.plantings[bed] = phone.notebook.add(
        "planting", bed=farm.beds[bed], sowing=farm.sowings[sowing], planned_on=planned
    )
    yield f"{bed} is to be planted from {sowing}"


def _plain_planting(phone: FakePhone, farm: Farm, bed: str, sowing: str, crew: tuple[str, ...]) -> Iterator[str]:
    yield from _plan(phone, farm, bed, sowing)
    crop = _SOWINGS[sowing][0]
    for row in range(1, _BEDS[bed][1] + 1):
        yield from _start(phone, farm, bed, crew if row == 1 else ())
        yield from _pull(phone, farm, bed, crop, share=1.0)
        for _ in range(phone.draw.choice((0, 0, 1, 2))):
            yield _miss(phone, farm, bed)
        yield _end(phone, farm, bed)


# ---------------------------------------------------------------------- one tap each


def _start(phone: FakePhone, farm: Farm, bed: str, crew: tuple[str, ...] = (), notch: int = 3) -> Iterator[str]:
    phone.clock.wait(phone.draw.uniform(50, 110))
    planting = farm.plantings[bed]
    phone.notebook.tap_row(planting)
    row = phone.notebook.row_state(planting).open
    yield f"{bed}: row {row.row if row else '?'} begins"
    if crew:
        phone.notebook.set_crew(planting, [farm.people[name] for name in crew])
        yield f"{bed}: {', '.join(crew)} at work"
        phone.notebook.set_depth(planting, notch=notch, depth_mm=30)
        yield f"{bed}: depth notch {notch}, 30 mm"


def _pull(phone: FakePhone, farm: Farm, bed: str, crop: str, share: float) -> Iterator[str]:
    seconds = 100 * share / _PACE_FT_PER_H[crop] * 3600 * phone.draw.uniform(0.93, 1.09)
    phone.clock.wait(seconds / 2)
    yield from _stop(phone, farm, bed, StopReason.TRAY_CHANGE, phone.draw.uniform(14, 24))
    phone.clock.wait(seconds / 2)


def _stop(phone: FakePhone, farm: Farm, bed: str, reason: StopReason, seconds: float) -> Iterator[str]:
    phone.notebook.stop(farm.plantings[bed], reason)
    yield f"{bed}: stopped, {reason.value}"
    phone.clock.wait(seconds)
    phone.notebook.go_on(farm.plantings[bed])
    yield f"{bed}: on again after {seconds:.0f} s"


def _miss(phone: FakePhone, farm: Farm, bed: str) -> str:
    phone.clock.wait(2)
    phone.notebook.miss(farm.plantings[bed])
    return f"{bed}: a miss"


def _end(phone: FakePhone, farm: Farm, bed: str) -> str:
    phone.notebook.tap_row(farm.plantings[bed])
    return f"{bed}: row ended"


# ---------------------------------------------------------------------- the day


def _the_day(phone: FakePhone, farm: Farm) -> Iterator[str]:
    phone.clock.wait_until(at(DAY, 6, 30))
    phone.clock.reboot()
    yield from _weather(phone, DAY, rain_mm=0.0)
    for sowing in ("SC-0318", "LE-0416"):
        seen = {"leaves": 3, "roots_hold": True}
        phone.notebook.check_trays(farm.sowings[sowing], DAY, cells_seen=264, cells_empty=11, **seen)
        yield f"trays of {sowing} checked"
    yield from soil(phone, farm, "North 1", Feel.MOIST, tilled_h=14)
    yield from soil(phone, farm, "Creek 1", Feel.FIELD_CAPACITY, tilled_h=64)
    yield from _plan(phone, farm, "Creek 1", "SC-0318")
    yield from north_1(phone, farm)
    yield from _north_2(phone, farm)
    yield from north_3(phone, farm)
    yield from east_1(phone, farm)
    yield from _afternoon_checks(phone, farm)


def north_1(phone: FakePhone, farm: Farm) -> Iterator[str]:
    """A broken chain, a depth change, and misses that are filled at once."""
    bed = "North 1"
    phone.clock.wait_until(at(DAY, 7, 10))
    yield from _plan(phone, farm, bed, "SC-0318")
    yield from _start(phone, farm, bed, ("Ines", "Tomas"))
    yield from _pull(phone, farm, bed, "scallion", 1.0)
    yield _end(phone, farm, bed)
    yield from _start(phone, farm, bed)
    yield from _pull(phone, farm, bed, "scallion", 0.4)
    yield from _stop(phone, farm, bed, StopReason.CHAIN_BROKE, 95)
    yield _miss(phone, farm, bed)
    yield _miss(phone, farm, bed)
    yield from _pull(phone, farm, bed, "scallion", 0.6)
    yield _end(phone, farm, bed)
    yield from _start(phone, farm, bed)
    yield from _stop(phone, farm, bed, StopReason.DEPTH_CHANGE, 40)
    phone.notebook.set_depth(farm.plantings[bed], notch=4, depth_mm=35)
    yield f"{bed}: depth notch 4, 35 mm"
    yield from _pull(phone, farm, bed, "scallion", 1.0)
    yield _end(phone, farm, bed)
    yield from _start(phone, farm, bed)
    yield from _pull(phone, farm, bed, "scallion", 1.0)
    yield _miss(phone, farm, bed)
    yield _end(phone, farm, bed)
    for row in phone.notebook.row_state(farm.plantings[bed]).passes:
        if row.misses:
            phone.clock.wait(40)
            phone.notebook.fill(row.id, row.misses)
            yield f"{bed}: row {row.row} filled"


def _north_2(phone: FakePhone, farm: Farm) -> Iterator[str]:
    """Lettuce, another crew, a rest in the second row."""
    bed = "North 2"
    phone.clock.wait_until(at(DAY, 9, 20))
    yield from soil(phone, farm, bed, Feel.MOIST, tilled_h=16)
    yield from _plan(phone, farm, bed, "LE-0416")
    for row in range(1, 4):
        yield from _start(phone, farm, bed, ("Ines", "June") if row == 1 else ())
        yield from _pull(phone, farm, bed, "lettuce", 1.0)
        if row == 2:
            yield from _stop(phone, farm, bed, StopReason.REST, 300)
        if row == 3:
            phone.notebook.double(farm.plantings[bed])
            yield f"{bed}: a double"
        yield _end(phone, farm, bed)


def north_3(phone: FakePhone, farm: Farm) -> Iterator[str]:
    """The clock is set wrong in row 2; the phone dies in row 3 and comes back in it."""
    bed = "North 3"
    phone.clock.wait_until(at(DAY, 11, 42))
    yield from soil(phone, farm, bed, Feel.SLIGHTLY_MOIST, tilled_h=18)
    yield from _plan(phone, farm, bed, "SC-0318")
    yield from _start(phone, farm, bed, ("Ines", "Tomas", "June"), notch=4)
    yield from _pull(phone, farm, bed, "scallion", 1.0)
    yield _end(phone, farm, bed)
    yield from _start(phone, farm, bed)
    phone.clock.wait(120)
    phone.clock.set_wrong_by(timedelta(hours=-9))
    yield from _pull(phone, farm, bed, "scallion", 0.8)
    yield _end(phone, farm, bed)
    phone.clock.wait_until(at(DAY, 13, 5))
    yield from _start(phone, farm, bed)
    phone.clock.wait(60)
    phone.kill()
    yield from _pull(phone, farm, bed, "scallion", 0.85)
    yield _miss(phone, farm, bed)
    yield _end(phone, farm, bed)
    yield from _start(phone, farm, bed)
    yield from _pull(phone, farm, bed, "scallion", 1.0)
    yield _end(phone, farm, bed)


def east_1(phone: FakePhone, farm: Farm) -> Iterator[str]:
    """The clock is right again; a tap too many, a miss that was none, residue in the furrow."""
    bed = "East 1"
    phone.clock.wait_until(at(DAY, 14, 30))
    phone.clock.set_wrong_by(timedelta())
    yield from soil(phone, farm, bed, Feel.MOIST, tilled_h=20)
    yield from _plan(phone, farm, bed, "LE-0416")
    for row in range(1, 4):
        yield from _start(phone, farm, bed, ("Tomas", "June") if row == 1 else ())
        if row == 1:
            phone.notebook.tap_row(farm.plantings[bed])
        yield from _pull(phone, farm, bed, "lettuce", 1.0)
        if row == 2:
            yield from _stop(phone, farm, bed, StopReason.CLOGGED, 70)
            yield _miss(phone, farm, bed)
            phone.notebook.undo()
            yield f"{bed}: the miss was none"
        yield _end(phone, farm, bed)


def _afternoon_checks(phone: FakePhone, farm: Farm) -> Iterator[str]:
    """The wet bed still has to wait; the beds of three and two weeks ago are counted."""
    phone.clock.wait_until(at(DAY, 16, 0))
    yield from soil(phone, farm, "Creek 1", Feel.WET, tilled_h=73)
    for bed, counts in (("West 1", (57, 59, 55, 58, 56, 57, 59, 58)), ("West 3", (58, 54, 57, 59, 55, 58, 56, 58))):
        for place, plants in enumerate(counts):
            row = place % 4 + 1
            phone.clock.wait(120)
            phone.notebook.count_stand(farm.plantings[bed], row, round(feet_to_mm(10)), plants)
            yield f"{bed}: {plants} plants stand in 10 ft of row {row}"
