"""Lines that are taken in by several transactions, and records with very many lines."""

from collections.abc import Iterator
from itertools import chain, repeat

import pytest
from sqlalchemy import Connection

from shared_models.core import p256
from shared_models.core.revision import Revision
from shared_models.errors import LineRefused
from shared_models.log.ingest import Ingested, ingest
from shared_models.log.line_store import LineStore, NewLine
from shared_models.log.log import Run
from shared_models.log.projection import Histories, project
from shared_models.log.store import writing
from tests.shared_models.log.device import A_BED, FARM, PHONE, TABLET, Device, DeviceMaker, an_id, line, run_of


def take_for(device: Device, runs: list[Run], enough: Iterator[bool]) -> Ingested:
    with writing(device.engine, FARM) as connection:
        return ingest(connection, FARM, runs, p256.verify, enough=lambda: next(enough))


def long_run(device: str, lines: int) -> Run:
    return run_of(device, *(line(seq, stamp=seq, record=an_id(seq), set=A_BED) for seq in range(1, lines + 1)))


def test_what_is_taken_in_piece_by_piece_is_the_same_as_at_once(memory: DeviceMaker) -> None:
    """Each piece is whole: chain, projections and signatures."""
    slow, fast = memory(TABLET), memory(TABLET)
    runs, pieces = [long_run(PHONE, 450), run_of(TABLET, line(1), line(2))], 0
    fast.take(*runs)

    while runs:
        runs = take_for(slow, runs, repeat(True)).rest
        pieces += 1
        assert slow.complaints() == []

    assert pieces == 4
    assert (slow.holds(), slow.texts()) == (fast.holds(), fast.texts())
    assert slow.lacking({}) == fast.lacking({})


def test_a_piece_goes_on_for_as_long_as_it_may(memory: DeviceMaker) -> None:
    device = memory(TABLET)

    outcome = take_for(device, [long_run(PHONE, 900)], chain([False, False], repeat(True)))

    assert outcome.stored == 600
    (rest,) = outcome.rest
    assert (rest.after, rest.end) == (600, 900)


def test_a_line_that_is_refused_ends_its_run_in_whatever_piece(memory: DeviceMaker) -> None:
    device = memory(TABLET)
    texts = [line(seq, stamp=seq, record=an_id(seq)) for seq in range(1, 300)]
    runs = [run_of(PHONE, *texts, "no line", line(301), at_each=True)]
    refused: list[LineRefused] = []

    while runs:
        outcome = take_for(device, runs, repeat(True))
        runs, refused = outcome.rest, [*refused, *outcome.refused]

    assert [(each.device, each.seq) for each in refused] == [(PHONE, 300)]
    assert device.holds()[PHONE][0] == 299


def test_a_record_with_many_lines_is_folded_once_for_a_page(
    memory: DeviceMaker, monkeypatch: pytest.MonkeyPatch
) -> None:
    device, folded = memory(TABLET), list[int]()

    def counting(connection: Connection, farm: str, touched: Histories) -> None:
        folded.append(sum(map(len, touched.values())))
        project(connection, farm, touched)

    monkeypatch.setattr("shared_models.log.line_store.project", counting)

    device.take(run_of(PHONE, *(line(seq, stamp=seq) for seq in range(1, 1501))))

    assert folded == [1500]


def test_no_more_lines_are_folded_at_once_than_can_be_in_a_moment(memory: DeviceMaker) -> None:
    device = memory(TABLET)
    records = [an_id(number) for number in range(25)]
    lines = list(enumerate(records * 100, 1))
    device.take(run_of(PHONE, *(line(seq, stamp=seq, record=record) for seq, record in lines)))
    texts = [line(seq, stamp=seq, record=record) for seq, record in enumerate(records, 1)]
    run = run_of(TABLET, *texts)

    with writing(device.engine, FARM) as connection:
        store = LineStore(connection, FARM)
        news = [NewLine(revision, "", b"") for revision in _revisions(run)]
        portions = [len(portion) for portion in store.portions(news)]

    assert portions == [19, 6]


def _revisions(run: Run) -> Iterator[Revision]:
    return (Revision(run.device, seq, seq, "bed", an_id(seq - 1), {}) for seq in range(1, 26))
