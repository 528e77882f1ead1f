"""docs/sync.md is precise: each of its examples is what the code writes, reads or computes."""

import gzip
import json
import re
from base64 import urlsafe_b64decode
from dataclasses import replace
from pathlib import Path
from uuid import UUID, uuid5

import pytest
from sqlalchemy import Engine, select, update

from server.api.pairing import PairAnswer, PairRequest
from shared_models.core import clock, p256
from shared_models.core.fold import fold
from shared_models.core.ids import device_id
from shared_models.core.revision import digest, read, root, text_of
from shared_models.log.damage import START, check_logs
from shared_models.log.fork import branch_off
from shared_models.log.ingest import ingest
from shared_models.log.log import get_or_create, holds, run_from
from shared_models.log.repair import MOST_WANTED, wanted, wanted_runs
from shared_models.log.signatures import head_message, pairing_message
from shared_models.log.store import reading, writing
from shared_models.records.models import UNITS
from shared_models.records.tables import Line, table_of
from shared_models.sync.pairing_link import read_link
from shared_models.sync.wire import Page, Verdict, pack, unpack

DOC = (Path(__file__).parents[3] / "docs/sync.md").read_text()
EXAMPLES = {
    name: text[:-1] for name, text in re.findall(r"^```\w+ name=(\S+)\n(.*?)^```$", DOC, re.MULTILINE | re.DOTALL)
}
LINES = (EXAMPLES["line-1"], EXAMPLES["line-2"])
KEY = urlsafe_b64decode(EXAMPLES["key"])
DEVICE = device_id(KEY)
DIGESTS = [bytes.fromhex(line.split()[1]) for line in EXAMPLES["digests"].splitlines()]


def test_a_line_reads_and_writes_as_shown() -> None:
    assert tuple(text_of(read(DEVICE, seq, text)) for seq, text in enumerate(LINES, 1)) == LINES


def test_the_chain_is_computed_as_shown() -> None:
    assert [root(DEVICE), digest(DIGESTS[0], LINES[0]), digest(DIGESTS[1], LINES[1])] == DIGESTS


def test_the_head_is_signed_as_shown() -> None:
    message, signature = EXAMPLES["signature"].split("\n\n")

    assert message.encode() == head_message(DEVICE, 2, DIGESTS[2].hex())
    assert p256.verify(KEY, message.encode(), urlsafe_b64decode(signature))


def test_the_stamps_follow_from_the_clock() -> None:
    now_ms = int(re.findall(r"At (\d+) ms", DOC)[0])
    first = clock.tick(0, now_ms)

    assert [read(DEVICE, seq, text).stamp for seq, text in enumerate(LINES, 1)] == [first, clock.tick(first, now_ms)]
    assert re.findall(r"`(LATEST|CEILING)` is `(\w+)`", DOC) == [
        ("LATEST", clock.to_text(clock.LATEST)),
        ("CEILING", clock.to_text(clock.CEILING)),
    ]


def test_the_lines_fold_to_the_record() -> None:
    folded = fold([read(DEVICE, seq, text) for seq, text in enumerate(LINES, 1)], UNITS["bed"])

    assert folded == json.loads(EXAMPLES["record"])


def test_the_units_are_those_of_the_records() -> None:
    rows = re.findall(r"^\| ((?:`\w+`(?:, )?)+) \| (.+_?\w \+ .+) \|$", DOC, re.MULTILINE)
    shown = {
        kind: {frozenset(unit.split(" + ")) for unit in units.split("; ")}
        for kinds, units in rows
        for kind in re.findall(r"`(\w+)`", kinds)
    }

    assert shown == {kind: set(map(frozenset, units.values())) for kind, units in UNITS.items()}


@pytest.mark.parametrize("name", ["push", "ask-with-nothing", "in-step", "fork", "branch", "wanted", "healing"])
def test_a_page_packs_to_the_text_shown(name: str) -> None:
    shown = EXAMPLES[name]

    assert gzip.decompress(pack(unpack(gzip.compress(shown.encode())))).decode() == shown


def test_taking_in_the_pushed_page_leaves_both_sides_in_step(store: Engine) -> None:
    pushed = unpack(gzip.compress(EXAMPLES["push"].encode()))
    with writing(store, pushed.farm) as connection:
        assert ingest(connection, pushed.farm, pushed.runs, p256.verify).refused == []
    with reading(store) as connection:
        answer = pack(Page(pushed.farm, holds(connection, pushed.farm)))

    assert gzip.decompress(answer).decode() == EXAMPLES["in-step"]


def test_a_fork_is_refused_and_branches_as_shown(store: Engine) -> None:
    """Another line 2 is held: the verdict is the one shown, and the branch is named by its line 2."""
    pushed, shown, branch = (unpack(gzip.compress(EXAMPLES[name].encode())) for name in ("push", "fork", "branch"))
    other = LINES[1].replace('"rows":4', '"rows":6')
    theirs = replace(pushed.runs[0], texts=(LINES[0], other), digest=digest(DIGESTS[1], other).hex())
    with writing(store, pushed.farm) as connection:
        ingest(connection, pushed.farm, pushed.runs, p256.verify)
        (refusal,) = ingest(connection, pushed.farm, [theirs], lambda *_: True).refused
        moved_to = branch_off(connection, pushed.farm, DEVICE, 1)
        log = get_or_create(connection, pushed.farm, EXAMPLES["moved-to"])
        sent = run_from(connection, log, 1, 1000)

    assert shown.refused == (Verdict.of(refusal),)
    assert moved_to == [EXAMPLES["moved-to"]]
    namespace = UUID(re.findall(r"in the namespace `([\w-]+)`", DOC)[0])
    assert moved_to == [str(uuid5(namespace, f"{DEVICE} {DIGESTS[2].hex()}"))]
    assert sent is not None
    assert [replace(sent, signature=branch.runs[0].signature)] == list(branch.runs)


def test_the_branch_shown_is_taken_in(store: Engine) -> None:
    branch = unpack(gzip.compress(EXAMPLES["branch"].encode()))
    with writing(store, branch.farm) as connection:
        assert ingest(connection, branch.farm, branch.runs, p256.verify).refused == []
        assert holds(connection, branch.farm) == {EXAMPLES["moved-to"]: (2, DIGESTS[2].hex())}


def test_a_damaged_line_is_asked_for_and_comes_back_as_shown(store: Engine) -> None:
    pushed, shown, healing = (unpack(gzip.compress(EXAMPLES[name].encode())) for name in ("push", "wanted", "healing"))
    line = table_of(Line)
    with writing(store, pushed.farm) as connection:
        ingest(connection, pushed.farm, pushed.runs, p256.verify)
        answer = list(wanted_runs(connection, pushed.farm, shown.wanted))
        connection.execute(update(line).where(line.c.seq == 2).values(text="{"))
    check_logs(store, pushed.farm, START, 100)
    with writing(store, pushed.farm) as connection:
        asked = Page(pushed.farm, holds(connection, pushed.farm), wanted=wanted(connection, pushed.farm, {}))
        ingest(connection, pushed.farm, healing.runs, p256.verify)
        texts = connection.execute(select(line.c.text).order_by(line.c.seq)).scalars().all()

    assert gzip.decompress(pack(asked)).decode() == EXAMPLES["wanted"]
    assert answer == list(healing.runs)
    assert tuple(texts) == LINES


def test_no_page_asks_for_more_lines_than_written_there() -> None:
    assert re.findall(r"`\[device, seq\]`, at most (\d+)", DOC) == [str(MOST_WANTED)]


def test_the_link_and_the_pairing_are_read_as_shown() -> None:
    query, answer = PairRequest.model_validate_json(EXAMPLES["pair-request"]), json.loads(EXAMPLES["pair-answer"])

    assert str(read_link(EXAMPLES["link"])) == EXAMPLES["link"]
    assert read_link(EXAMPLES["link"]).code == query.code
    assert set(answer) == set(PairAnswer.model_fields)
    assert PairAnswer(**answer).device == query.device == device_id(query.key) == DEVICE
    assert p256.verify(query.key, pairing_message(DEVICE, query.code), query.proof)
