"""Does a log in a file hold what its device signed? In plain words, line by line."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from server.exports.proof.log_proof import LogProof, SignedPart
from shared_models.core import p256
from shared_models.core.ids import device_id
from shared_models.core.revision import digest, read, root
from shared_models.errors import LineRefused
from shared_models.log.signatures import branch_id, head_message


@dataclass(slots=True)
class Findings:
    """What a file proves, what it does not prove, and what is wrong with it: a sentence each."""

    proven: list[str] = field(default_factory=list)
    not_proven: list[str] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)

    @property
    def is_good(self) -> bool:
        return not (self.wrong or self.not_proven)

    def add(self, other: Findings) -> None:
        self.proven += other.proven
        self.not_proven += other.not_proven
        self.wrong += other.wrong


def check_log(log: LogProof) -> Findings:
    """Check the chain and the signatures of one log."""
    name, found = label(log), Findings()
    if log.key and device_id(log.key) != log.origin:
        found.wrong.append(f"{name}: the key in this file belongs to another device.")
        return found
    if not _is_named_by_its_lines(log):
        found.wrong.append(f"{name}: this is not the log of that id.")
    signed: list[tuple[int, int]] = []
    for part in log.parts:
        signed += _check_part(log, part, name, found)
    if not found.wrong and not _ends_as_it_says(log):
        found.wrong.append(f"{name}: line {log.last_line} has another digest than this file says.")
    lines = [(first, last) for first, last in signed if last >= first]
    if lines:
        found.proven.append(f"{name}: {_lines(lines)} {_are(lines)} as the device signed {_them(lines)}.")
    if signed and signed[-1][1] == log.last_line > max((last for _, last in lines), default=0) and not found.wrong:
        found.proven.append(f"{name}: the last line of this log was {log.last_line:,}.")
    return found


def label(log: LogProof) -> str:
    """A log's name and id."""
    name = f"{log.name or 'Device'} ({log.device})"
    return f"{name}, split off {log.origin} after line {log.branch[1]}" if log.branch else name


def _is_named_by_its_lines(log: LogProof) -> bool:
    """Whether a branch that is here from its first line has the id that follows from that line."""
    first = next((part for part in log.parts if log.branch and part.after == log.branch[1]), None)
    return first is None or not first.lines or branch_id(log.origin, bytes.fromhex(first.lines[0][0])) == log.device


def _check_part(log: LogProof, part: SignedPart, name: str, found: Findings) -> Iterator[tuple[int, int]]:
    """Check consecutive lines; yields the first and last of those that are signed."""
    base, base_digest = (log.branch[1], log.branch[2]) if log.branch else (0, root(log.device).hex())
    if part.after < base or (part.after == base and part.digest != base_digest):
        found.wrong.append(f"{name}: line {part.after + 1} does not follow the line before it.")
        return
    digests = {part.after: part.digest}
    changed = list(_changed_lines(log, part, digests))
    found.wrong += [f"{name}: line {seq} was changed." for seq in changed]
    if changed:
        return
    end, upto = part.after + len(part.lines), part.after
    for seq, signature in sorted(part.signed):
        message = head_message(log.origin, seq, digests.get(seq, ""))
        if seq not in digests or not p256.verify(log.key, message, signature):
            since = f"Lines {upto + 1} to {seq} were" if seq > upto + 1 else f"Line {seq} was"
            found.wrong.append(f"{name}: the signature does not fit. {since} changed, or the signature was.")
            return
        upto = seq
    if upto > part.after or part.signed:
        yield part.after + 1, upto
    if end > upto:
        entries = f"The last {end - upto:,} entries of" if end > upto + 1 else "The last entry of"
        found.not_proven.append(f"{entries} {name} {'are' if end > upto + 1 else 'is'} not signed yet.")


def _changed_lines(log: LogProof, part: SignedPart, digests: dict[int, str]) -> Iterator[int]:
    before = bytes.fromhex(part.digest)
    for seq, (own_digest, text) in enumerate(part.lines, part.after + 1):
        digests[seq] = own_digest
        if _digest(before, text) != own_digest or not _is_line(log.device, seq, text):
            yield seq
        before = bytes.fromhex(own_digest)


def _digest(before: bytes, text: str) -> str:
    try:
        return digest(before, text).hex()
    except UnicodeEncodeError:
        return ""


def _is_line(device: str, seq: int, text: str) -> bool:
    try:
        read(device, seq, text)
    except LineRefused:
        return False
    return True


def _ends_as_it_says(log: LogProof) -> bool:
    ends = {part.after + len(part.lines): part.lines[-1][0] if part.lines else part.digest for part in log.parts}
    return ends.get(log.last_line) == log.last_digest and max(ends) == log.last_line


def _lines(signed: Sequence[tuple[int, int]]) -> str:
    texts = [f"{first:,} to {last:,}" if last > first else f"{first:,}" for first, last in _joined(signed)]
    one = len(texts) == 1 and signed[0][0] == signed[0][1]
    return f"line {texts[0]}" if one else f"lines {', '.join(texts)}"


def _are(signed: Sequence[tuple[int, int]]) -> str:
    return "is" if _lines(signed).startswith("line ") else "are"


def _them(signed: Sequence[tuple[int, int]]) -> str:
    return "it" if _lines(signed).startswith("line ") else "them"


def _joined(spans: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    joined: list[tuple[int, int]] = []
    for first, last in spans:
        if joined and joined[-1][1] == first - 1:
            joined[-1] = (joined[-1][0], last)
        else:
            joined.append((first, last))
    return joined
