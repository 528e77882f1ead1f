"""Rows logged in the wrong planting go to the right one, as one action; a wrong planting takes its rows along."""

import pytest
from sqlmodel import select

from mobile.demo.fake_phone import FakePhone
from mobile.log.moving import lately, numbers
from shared_models.core import p256
from shared_models.errors import UnknownRecord, WrongMoment
from shared_models.log import log
from shared_models.log.ingest import ingest
from shared_models.records.tables import Planting, RowPass
from tests.mobile.conftest import Crew, plan_bed


@pytest.fixture
def right(crew: Crew) -> str:
    """The planting that the rows belong to: leeks in a bed of four rows, 60 ft."""
    notebook = crew.notebook
    bed = notebook.add("bed", name="Creek 2", length_mm=18_288, rows=4)
    sowing = notebook.add("sowing", crop="leek", spacing_mm=152.4)
    return notebook.add("planting", bed=bed, sowing=sowing)


def pull(crew: Crew, rows: int, planting: str | None = None) -> None:
    for _ in range(rows):
        crew.notebook.start_row(planting or crew.planting)
        crew.wait(400)
        crew.notebook.end_row(planting or crew.planting)
        crew.wait(60)


def rows_of(crew: Crew, planting: str) -> list[RowPass]:
    return list(crew.notebook.row_state(planting).passes)


@pytest.mark.parametrize(
    ("moved", "taken", "expected"),
    [
        ([1, 2, 3], [], {1: 1, 2: 2, 3: 3}),
        ([2, 3], [1], {2: 2, 3: 3}),
        ([1, 2, 3], [1, 2], {1: 3, 2: 4, 3: 5}),
        ([1, 2, 4], [4], {1: 1, 2: 2, 4: 3}),
        ([3, 1, 1], [1], {1: 2, 3: 3}),
    ],
)
def test_rows_keep_their_numbers_unless_one_is_taken(
    moved: list[int], taken: list[int], expected: dict[int, int]
) -> None:
    assert numbers(moved, taken) == expected


def test_finished_rows_and_the_open_one_go_to_the_right_planting(crew: Crew, right: str) -> None:
    pull(crew, 2)
    crew.notebook.start_row(crew.planting)

    crew.notebook.move_rows(crew.planting, right)

    assert crew.state.passes == ()
    assert [(row.row, row.ended is None) for row in rows_of(crew, right)] == [(1, False), (2, False), (3, True)]


def test_it_goes_on_in_the_right_row(crew: Crew, right: str) -> None:
    """Also after the phone was killed."""
    pull(crew, 1)
    crew.notebook.start_row(crew.planting)
    crew.notebook.move_rows(crew.planting, right)
    crew.phone.kill()

    assert crew.notebook.current_planting() == right
    crew.wait(60)
    crew.notebook.end_row(right)
    crew.notebook.start_row(right)
    assert [row.row for row in rows_of(crew, right)] == [1, 2, 3]


def test_taken_numbers_are_numbered_on(crew: Crew, right: str) -> None:
    pull(crew, 2, right)
    pull(crew, 2)

    crew.notebook.move_rows(crew.planting, right)

    assert [row.row for row in rows_of(crew, right)] == [1, 2, 3, 4]
    assert crew.notebook.row_state(right).finished


def test_a_row_as_long_as_its_bed_is_as_long_as_the_other_bed(crew: Crew, right: str) -> None:
    pull(crew, 2)
    measured = crew.state.passes[0].id
    crew.notebook.write("row_pass", measured, {"length_mm": 20_000})

    crew.notebook.move_rows(crew.planting, right)

    assert [row.length_mm for row in rows_of(crew, right)] == [20_000, 18_288]


def test_it_is_one_line_a_row_and_one_undo(crew: Crew, right: str) -> None:
    pull(crew, 3)
    before = crew.notebook.last_line()
    assert before is not None

    crew.notebook.move_rows(crew.planting, right)
    after = crew.notebook.last_line()
    crew.notebook.undo()

    assert after is not None
    assert after.seq - before.seq == 3
    assert [row.row for row in crew.state.passes] == [1, 2, 3]
    assert [row.length_mm for row in crew.state.passes] == [30_480] * 3
    assert rows_of(crew, right) == []


def test_only_some_rows_can_be_moved(crew: Crew, right: str) -> None:
    pull(crew, 3)

    crew.notebook.move_rows(crew.planting, right, [crew.state.passes[2].id])

    assert [row.row for row in crew.state.passes] == [1, 2]
    assert [row.row for row in rows_of(crew, right)] == [3]


def test_nothing_moves_halfway(crew: Crew, right: str) -> None:
    """A row open on both sides, no row at all, a planting that is not here: refused, and every row stays."""
    with pytest.raises(WrongMoment, match="no row"):
        crew.notebook.move_rows(crew.planting, right)
    pull(crew, 1)
    crew.notebook.start_row(right)
    crew.notebook.start_row(crew.planting)

    with pytest.raises(WrongMoment, match="Row 1 is still open there"):
        crew.notebook.move_rows(crew.planting, right)
    with pytest.raises(UnknownRecord):
        crew.notebook.move_rows(crew.planting, crew.bed)

    assert [row.row for row in crew.state.passes] == [1, 2]


def test_rows_go_to_a_planting_that_is_made_for_them(crew: Crew, right: str) -> None:
    """One action: undone, the planting is gone again too."""
    pull(crew, 2)
    with crew.notebook.reading() as session:
        bed = session.exec(select(Planting.bed).where(Planting.id == right)).one()

    made = crew.notebook.move_rows_to_new(crew.planting, bed=bed, sowing=crew.sowing, planned_on="2026-05-14")

    assert [(row.row, row.length_mm) for row in rows_of(crew, made)] == [(1, 18_288), (2, 18_288)]
    assert crew.notebook.row_state(made).crop == "scallion"
    crew.notebook.undo()
    with crew.notebook.reading() as session:
        planting = session.get(Planting, (crew.notebook.farm, made))
    assert planting is not None
    assert planting.voided
    assert len(crew.state.passes) == 2


def test_a_planting_made_in_the_wrong_bed_takes_its_rows_along(crew: Crew) -> None:
    pull(crew, 2)
    bed = crew.notebook.add("bed", name="Creek 3", length_mm=18_288, rows=5)

    crew.notebook.replant(crew.planting, bed=bed)

    assert crew.state.bed == "Creek 3"
    assert [(row.row, row.length_mm) for row in crew.state.passes] == [(1, 18_288), (2, 18_288)]
    crew.notebook.undo()
    assert (crew.state.bed, crew.state.passes[0].length_mm) == ("North 1", 30_480)


def test_a_wrong_choice_concerns_the_rows_of_this_phone_and_day(crew: Crew) -> None:
    pull(crew, 2)
    crew.wait(24 * 3600)
    pull(crew, 1)
    (today,) = crew.state.passes[2:]

    assert [row.id for row in lately(crew.state, crew.notebook.now())] == [today.id]
    crew.wait(24 * 3600)
    assert len(lately(crew.state, crew.notebook.now())) == 3  # no row of today: any of them


def test_a_row_that_is_corrected_on_a_phone_is_not_its_own(
    crew: Crew, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Another phone's open row is corrected here: this phone still has no row open, and its own row comes back."""
    pull(crew, 1)
    (own,) = crew.state.passes
    other = FakePhone(tmp_path_factory.mktemp("other"), crew.phone.clock.true, seed=2)
    elsewhere = plan_bed(other)
    elsewhere.notebook.start_row(elsewhere.planting)
    hand_on(other, crew.phone)
    (theirs,) = rows_of(crew, elsewhere.planting)

    crew.notebook.correct("row_pass", theirs.id, {"misses": 2})

    state = crew.notebook.row_state(elsewhere.planting)
    assert (state.open, state.last, [row.misses for row in state.passes]) == (None, None, [2])
    assert crew.notebook.current_planting() == crew.planting
    crew.notebook.correct("row_pass", own.id, {"started_at": own.started_at.isoformat()})
    assert [row.id for row in crew.state.own] == [own.id]


def hand_on(giver: FakePhone, taker: FakePhone) -> None:
    """Everything that one phone holds, carried to another one of the same farm."""
    giver.notebook.join_farm(taker.notebook.farm)
    giver.notebook.sign()
    with giver.notebook.reading() as session:
        runs = log.lacking(session.connection(), giver.notebook.farm, {}, 1_000_000)
    with taker.notebook.writing() as connection:
        assert not ingest(connection, taker.notebook.farm, runs, p256.verify).refused


def test_an_open_row_comes_back_though_another_row_was_corrected_meanwhile(crew: Crew, right: str) -> None:
    """Killed after a correction, the phone opens in the row it was in."""
    pull(crew, 1, right)
    done = rows_of(crew, right)[0]
    crew.notebook.start_row(crew.planting)
    crew.notebook.correct("row_pass", done.id, {"misses": 4})

    crew.phone.kill()

    assert crew.notebook.current_planting() == crew.planting


def test_a_correction_keeps_its_unit_whole(crew: Crew) -> None:
    """A stand count is corrected by one of three fields that are only ever set together."""
    count = crew.notebook.count_stand(crew.planting, 1, 3048, 57, positions_mm=[50, 100])

    line = crew.notebook.correct("stand_count", count, {"plants": 58})

    assert dict(line.set) == {"sample_length_mm": 3048, "plants": 58, "positions_mm": [50, 100]}
