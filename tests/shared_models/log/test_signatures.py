"""Nobody takes lines of a log that its device did not sign, from whomever they come."""

from dataclasses import replace

import pytest

from shared_models.core import p256
from shared_models.core.ids import device_id, is_id
from shared_models.log.log import Branch, Holds, Run
from shared_models.log.signatures import SIGNED_LINES, branch_id, head_message
from shared_models.records.tables import Bed
from tests.shared_models.log.device import (
    A_BED,
    BED,
    COMMON,
    OFFICE,
    OURS,
    PHONE,
    PRIVATE_KEYS,
    TABLET,
    THEIRS,
    Device,
    DeviceMaker,
    line,
    public_key,
    run_of,
    signed,
)


def forged(run: Run, signer: str) -> Run:
    """A run as another device would sign it."""
    message = head_message(run.origin, run.end, run.digest)
    return replace(run, signature=p256.sign(PRIVATE_KEYS[signer], message))


FORGERIES = {
    "not signed": replace(run_of(OFFICE, *COMMON), signature=b""),
    "signed by another": forged(run_of(OFFICE, *COMMON), PHONE),
    "signed by another, with its key": replace(forged(run_of(OFFICE, *COMMON), PHONE), key=public_key(PHONE)),
    "the signature of another line": replace(run_of(OFFICE, *COMMON), signature=run_of(OFFICE, line(1)).signature),
    "no key": replace(run_of(OFFICE, *COMMON), key=b""),
    "a key that is none": replace(run_of(OFFICE, *COMMON), key=b"\4" * 65),
    "a branch that is not named by its first line": signed(
        replace(run_of(OFFICE, *COMMON), device=TABLET, branch=Branch(OFFICE, 0, "0" * 64))
    ),
}


@pytest.mark.parametrize("run", FORGERIES.values(), ids=FORGERIES)
def test_lines_that_their_device_did_not_sign_are_refused(device: Device, run: Run) -> None:
    outcome = device.take(run)

    assert [(refusal.code, refusal.device, refusal.seq) for refusal in outcome.refused] == [
        ("not-signed", run.device, 1)
    ]
    assert device.holds() == {}


def test_a_forged_line_is_no_fork(device: Device) -> None:
    """A phone that sends a line 3 of the office's own does not make anybody move the office's lines."""
    device.take(run_of(OFFICE, *COMMON, *OURS))
    before = device.holds()

    outcome = device.take(forged(run_of(OFFICE, *COMMON, *THEIRS), PHONE))

    assert [refusal.code for refusal in outcome.refused] == ["not-signed"]
    assert device.holds() == before


def test_the_id_of_a_device_is_made_from_its_key() -> None:
    ids = [device_id(p256.public_key(p256.private_key(bytes([number])))) for number in range(8)]

    assert len(set(ids)) == 8
    assert all(is_id(each) and each[14] == "8" and each[19] in "89ab" for each in ids)


def test_a_signature_goes_on_with_the_lines(device: Device, memory: DeviceMaker) -> None:
    phone, office = memory(PHONE), memory(OFFICE)
    phone.write("bed", BED, **A_BED)
    device.take(*phone.lacking({}))

    office.take(*device.lacking({}))

    assert office.holds() == phone.holds()
    assert office.rows(Bed) == phone.rows(Bed)


def test_a_branch_keeps_what_its_device_signed(device: Device, memory: DeviceMaker) -> None:
    """Whoever moves the lines of another device cannot sign for it, and need not."""
    device.take(run_of(PHONE, *COMMON, *OURS))
    branch = device.branch_off(2)
    assert branch is not None
    run = device.run(device=branch)

    assert (run.after, run.texts, run.branch and run.branch.origin) == (2, OURS, PHONE)
    assert p256.verify(public_key(PHONE), head_message(PHONE, 4, run.digest), run.signature)
    assert branch == branch_id(PHONE, bytes.fromhex(run_of(PHONE, *COMMON, OURS[0]).digest))
    assert memory(TABLET).take(run).refused == []


def test_a_long_log_is_signed_often_enough_for_small_pages(device: Device) -> None:
    texts = [line(seq) for seq in range(1, 3 * SIGNED_LINES)]
    for until in range(1, len(texts) + 1, 7):
        device.take(run_of(PHONE, *texts[:until]))

    ends: list[int] = []
    held: Holds = {}
    while runs := device.lacking(held, max_bytes=1):
        held = {PHONE: (runs[0].end, runs[0].digest)}
        ends.append(runs[0].end)

    steps = [end - before for before, end in zip([0, *ends], ends, strict=False)]
    assert max(steps) <= SIGNED_LINES + 7
    assert len(steps) < 8
