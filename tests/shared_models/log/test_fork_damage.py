"""A log that forked and has a line damaged on the disk: that line is set aside, the others move."""

import pytest
from sqlalchemy import delete, update

from shared_models.log.store import writing
from shared_models.records.tables import Bed, Line, SetAside, table_of
from tests.shared_models.log.device import COMMON, FARM, OURS, PHONE, Device, line, run_of

LINES = table_of(Line)


def damage(device: Device, seq: int, text: str) -> None:
    with writing(device.engine, FARM) as connection:
        connection.execute(update(LINES).where(LINES.c.seq == seq).values(text=text))


@pytest.mark.parametrize("text", ["{", line(3, stamp=2, set={"rows": 7})], ids=["no line", "another line"])
def test_a_damaged_line_is_set_aside_and_the_others_move(device: Device, text: str) -> None:
    """Also where the damage still reads as a line: what nobody wrote is not signed anew."""
    device.take(run_of(PHONE, *COMMON, *OURS))
    damage(device, 3, text)

    new = device.branch_off(2)

    (aside,) = device.rows(SetAside)
    assert (aside["farm_id"], aside["device"], aside["seq"], aside["text"]) == (FARM, PHONE, 3, text)
    assert new is not None
    assert [fields for _, _, _, fields, _, _ in device.contents(new)] == [{"name": "Ours"}]
    assert device.rows(Bed)[0]["rows"] == 2
    assert [complaint for complaint in device.complaints() if "set aside" not in complaint] == []


def test_the_line_after_a_missing_one_is_set_aside_and_the_others_move(device: Device) -> None:
    """Nothing shows what it followed, so nothing shows that it is what was written; what follows it is proven by it."""
    device.take(run_of(PHONE, *COMMON, *OURS, line(5, stamp=4, set={"name": "Still ours"})))
    with writing(device.engine, FARM) as connection:
        connection.execute(delete(LINES).where(LINES.c.seq == 3))

    new = device.branch_off(2)

    assert new is not None
    assert [fields for _, _, _, fields, _, _ in device.contents(new)] == [{"name": "Still ours"}]
    assert [aside["text"] for aside in device.rows(SetAside)] == [OURS[1]]


def test_a_line_moves_as_it_was_written(device: Device) -> None:
    """Another program may write letters as they are, where this one needs six characters for each."""
    short = line(1, set={"note": ""})
    long = short.replace('"note": ""', '"note": "' + "é" * 8000 + '"')
    device.take(run_of(PHONE, long, line(2)))

    new = device.branch_off(0)

    assert new is not None
    assert device.run(device=new).texts == (long, line(2))
    assert device.rows(SetAside) == []


def test_the_same_line_can_be_set_aside_again(device: Device) -> None:
    """The log went on from the other side's lines, and they were damaged too."""
    for text in ("{", "["):
        device.take(run_of(PHONE, *COMMON, *OURS))
        damage(device, 3, text)
        device.branch_off(2)

    assert [aside["text"] for aside in device.rows(SetAside)] == ["{", "["]
