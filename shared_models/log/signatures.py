"""Signed heads: each device signs how far its log goes, and nobody takes lines of a log beyond that.

The id of a device follows from its public key, so a signature needs no list of keys to be checked against. A branch of
a log is signed with the key of the device that wrote it.
"""

import uuid
from collections.abc import Sequence
from enum import Enum, auto

from sqlalchemy import Connection, bindparam, delete, insert, select, update

from shared_models.core.ids import device_id
from shared_models.core.keystore import Sign, Verify
from shared_models.core.revision import digest
from shared_models.log.log import Branch, Head, Run, digest_at
from shared_models.log.prepared_statements import Prepared
from shared_models.records.tables import Line, Log, SignedHead, table_of

#: lines that are sent in one piece at most: a weak connection has to carry them
SIGNED_LINES = 128

_NAMES = uuid.UUID("6c1f1d1e-6f0c-5d53-9d0f-2f7f3a0f8a55")
_LOG, _LINE, _SIGNED = table_of(Log), table_of(Line), table_of(SignedHead)
_SEQS = Prepared(select(_SIGNED.c.seq).where(_SIGNED.c.log_id == bindparam("log")).order_by(_SIGNED.c.seq.desc()))
_FIND = Prepared(select(_SIGNED.c.seq).where(_SIGNED.c.log_id == bindparam("log"), _SIGNED.c.seq == bindparam("seq")))
_ADD = Prepared(insert(_SIGNED))
_FORGET = Prepared(delete(_SIGNED).where(_SIGNED.c.log_id == bindparam("log"), _SIGNED.c.seq == bindparam("seq")))
_KEEP_KEY = Prepared(update(_LOG).where(_LOG.c.id == bindparam("log")).values(key=bindparam("public")))


def head_message(device: str, seq: int, head_digest: str) -> bytes:
    """What a device signs: that its log has this digest at this line."""
    return f"rowend head\n{device}\n{seq}\n{head_digest}".encode()


def pairing_message(device: str, by: str) -> bytes:
    """What a device signs to show that its id is its own: pairing by this code, or as this device's successor."""
    return f"rowend pair\n{device}\n{by}".encode()


def branch_id(origin: str, first_digest: bytes) -> str:
    """The id of the branch of a device's log whose first line has this digest. It is the same wherever it is made."""
    return str(uuid.uuid5(_NAMES, f"{origin} {first_digest.hex()}"))


def is_signed(run: Run, held: Head | None, verify: Verify) -> bool:
    """Whether the device whose log this is signed the end of a run; `held` is what this store has of the log."""
    origin = held.origin if held else run.origin
    return (
        run.origin == origin
        and device_id(run.key) == origin
        and (run.branch is None or _is_that_branch(run, run.branch))
        and verify(run.key, head_message(origin, run.end, run.digest), run.signature)
    )


def _is_that_branch(run: Run, branch: Branch) -> bool:
    first = digest(bytes.fromhex(branch.digest), run.texts[0])
    return run.after > branch.seq or branch_id(branch.origin, first) == run.device


def add_signed_head(connection: Connection, log: Head, key: bytes, seq: int, signature: bytes) -> None:
    """Keep the signature of a line of a log; one that stood close before it is dropped, as nobody will need it."""
    if log.key is None:
        _KEEP_KEY.run_counting(connection, {"log": log.id, "public": key})
    at = {"log": log.id, "seq": seq}
    if _FIND.run(connection, at):
        return
    last = [each for (each,) in _SEQS.run(connection, {"log": log.id})]
    if len(last) > 1 and last[0] < seq <= last[1] + SIGNED_LINES:
        _FORGET.run_counting(connection, {"log": log.id, "seq": last[0]})
    _ADD.run_many(connection, [{"log_id": log.id, "seq": seq, "signature": signature}])


class Outcome(Enum):
    """What came of signing a log."""

    DONE = auto()
    #: the key of this log is not on this machine
    NO_KEY = auto()
    #: signed up to a line that is damaged here
    DAMAGED = auto()


def is_signed_whole(connection: Connection, log: Head) -> bool:
    """Whether a log is signed up to its last line, or has none."""
    return last_signed(connection, log) == log.seq


def last_signed(connection: Connection, log: Head, until: int | None = None) -> int:
    """The last line (up to `until`) to which a log is signed."""
    seqs = (seq for (seq,) in _SEQS.run(connection, {"log": log.id}) if until is None or seq <= until)
    return max(seqs, default=log.base_seq)


def stays_signed(connection: Connection, log: Head, until: int, sign: Sign) -> int:
    """The last line up to `until` that others take when the later ones are dropped: this one, where its key is here."""
    own_digest = digest_at(connection, log, until)
    if log.key is None or own_digest is None:
        return last_signed(connection, log, until)
    signature = sign(log.key, head_message(log.origin, until, own_digest.hex()))
    return last_signed(connection, log, until) if signature is None else until


def sign_log(connection: Connection, log: Head, sign: Sign) -> Outcome:
    """Sign a log up to its last line, and often enough before it."""
    last, key = last_signed(connection, log), log.key
    before = digest_at(connection, log, last)
    if key is None or before is None:
        return Outcome.NO_KEY if key is None else Outcome.DAMAGED
    lines = select(_LINE.c.seq, _LINE.c.text, _LINE.c.digest).where(_LINE.c.log_id == log.id, _LINE.c.seq > last)
    unsigned: list[tuple[int, bytes]] = []
    for seq, line, own_digest in connection.execute(lines.order_by(_LINE.c.seq)).all():
        before = digest(before, line)
        if before != own_digest or seq != last + len(unsigned) + 1:
            return _sign_at(connection, log, key, unsigned, sign, Outcome.DAMAGED)
        unsigned.append((seq, before))
        if len(unsigned) == SIGNED_LINES:
            if _sign_at(connection, log, key, unsigned, sign) is Outcome.NO_KEY:
                return Outcome.NO_KEY
            last, unsigned = seq, []
    return _sign_at(connection, log, key, unsigned, sign)


def _sign_at(
    connection: Connection,
    log: Head,
    key: bytes,
    lines: Sequence[tuple[int, bytes]],
    sign: Sign,
    then: Outcome = Outcome.DONE,
) -> Outcome:
    """Sign at the last of these lines."""
    if not lines:
        return then
    seq, own_digest = lines[-1]
    signature = sign(key, head_message(log.origin, seq, own_digest.hex()))
    if signature is None:
        return Outcome.NO_KEY
    add_signed_head(connection, log, key, seq, signature)
    return then
