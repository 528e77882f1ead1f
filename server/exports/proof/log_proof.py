"""Lines of a log with what proves them: the chain from the line before, up to a head that the log's device signed."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, StringConstraints
from sqlalchemy import Connection, select

from server.db.tables import Device
from shared_models.log.log import Head, branch_of, digest_at, heads
from shared_models.records.field_types import Id
from shared_models.records.tables import Line, SignedHead, table_of

_DEVICE, _LINE, _SIGNED = table_of(Device).c, table_of(Line).c, table_of(SignedHead).c

Digest = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
Seq = Annotated[int, Field(ge=0, lt=2**53, strict=True)]
_Bytes = Annotated[bytes, Field(max_length=128)]


class SignedPart(BaseModel):
    """Consecutive lines of a log, after line `after` with its digest, and the signed heads among them."""

    model_config = ConfigDict(ser_json_bytes="base64", val_json_bytes="base64")

    after: Seq
    digest: Digest
    #: each line's digest and its text
    lines: list[tuple[Digest, str]] = []
    #: line number and signature; number `after` too
    signed: list[tuple[Seq, _Bytes]] = []


class LogProof(BaseModel):
    """One log: whose it is, the key that signs it, its last line with its digest, and lines of it."""

    model_config = ConfigDict(ser_json_bytes="base64", val_json_bytes="base64")

    device: Id
    name: str = ""
    key: _Bytes = b""
    #: for a branch: the device whose log it left, the last line in common and its digest
    branch: tuple[Id, Seq, Digest] | None = None
    last_line: Seq
    last_digest: Digest
    parts: list[SignedPart] = []

    @property
    def origin(self) -> str:
        """The device that must have signed it."""
        return self.branch[0] if self.branch else self.device


def whole_logs(connection: Connection, farm: str, *, private: bool) -> list[LogProof]:
    """Every log of a farm with all its lines; `private` with wages and prices."""
    logs = [log for log in heads(connection, farm) if log.seq > log.base_seq and (private or not log.private)]
    names = device_names(connection, farm)
    return [_proof(log, names, [_part(connection, log, log.base_seq, log.seq)]) for log in logs]


def logs_with(connection: Connection, farm: str, logs: Iterable[Head], shown: Mapping[str, set[int]]) -> list[LogProof]:
    """These logs with the lines `shown` of them, by device, each as far as the next signed head, and the last line."""
    names = device_names(connection, farm)
    return [_proof(log, names, list(_parts(connection, log, shown.get(log.device, set())))) for log in logs]


def device_names(connection: Connection, farm: str) -> dict[str, str]:
    """What the devices of a farm are called, by id."""
    named = select(_DEVICE.id, _DEVICE.name).where(_DEVICE.farm_id == farm)
    return {row.id: row.name for row in connection.execute(named)}


def _proof(log: Head, names: dict[str, str], parts: list[SignedPart]) -> LogProof:
    # as it is stored: what is damaged is named by the check
    return LogProof.model_construct(
        device=log.device,
        name=names.get(log.origin, ""),
        key=log.key or b"",
        branch=branch_of(log),
        last_line=log.seq,
        last_digest=log.digest.hex(),
        parts=parts,
    )


def _parts(connection: Connection, log: Head, shown: set[int]) -> Iterable[SignedPart]:
    signed = connection.execute(select(_SIGNED.seq).where(_SIGNED.log_id == log.id).order_by(_SIGNED.seq)).scalars()
    ends = [*(seq for seq in signed if seq <= log.seq), log.seq]
    upto = log.base_seq
    for seq in sorted(shown):
        if upto < seq <= log.seq:
            end = next(each for each in ends if each >= seq)
            yield _part(connection, log, seq - 1, end)
            upto = end
    if upto < log.seq:  # of the last line its signed digest is enough
        before = max((seq for seq in ends[:-1]), default=log.base_seq)
        yield _part(connection, log, before, log.seq)


def _part(connection: Connection, log: Head, after: int, until: int) -> SignedPart:
    between = (_LINE.log_id == log.id) & (_LINE.seq > after) & (_LINE.seq <= until)
    lines = connection.execute(select(_LINE.digest, _LINE.text).where(between).order_by(_LINE.seq))
    heads_of = (_SIGNED.log_id == log.id) & (_SIGNED.seq >= after) & (_SIGNED.seq <= until)
    signed = connection.execute(select(_SIGNED.seq, _SIGNED.signature).where(heads_of).order_by(_SIGNED.seq))
    return SignedPart.model_construct(
        after=after,
        digest=(digest_at(connection, log, after) or log.base_digest).hex(),
        lines=[(digest.hex(), text) for digest, text in lines],
        signed=[tuple(row) for row in signed],
    )


def lines_of(logs: Sequence[LogProof]) -> Iterable[tuple[str, int, str]]:
    """Every line in these logs: device, number and text."""
    for log in logs:
        for part in log.parts:
            for seq, (_, text) in enumerate(part.lines, part.after + 1):
                yield log.device, seq, text
