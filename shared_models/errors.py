"""Everything that can go wrong, and who acts on it.

    RowendError
    ├── BadQuantity          the person: a number no field or tray can have
    ├── BadEntry             the person: an entry that breaks a rule of its kind
    ├── WrongMoment          the person: an action that does not fit what is going on
    ├── UnknownRecord        the person: names something the log does not hold
    ├── LineRefused          the sender: a log line that cannot be kept
    │   └── Fork             the sender: two histories under one device id
    ├── BadBody              the sender: a sync body that is not what it says
    │   └── TooMuch          the sender: larger than is taken at once; send less
    ├── Refused              the person: the service says no
    │   ├── WrongSecret      pair again
    │   ├── CodeSpent        ask for a new pairing code
    │   ├── TooManyTries     wait, then type the pairing code again
    │   ├── OtherFarm        this belongs to another farm
    │   └── NotAllowed       this device or person may not do that
    ├── Unreachable          nobody: sync tries again by itself
    ├── StoreTrouble         the person: disk full, read-only or damaged
    └── WrongUse             the person at the command line

Each class carries data, says one sentence for the person, and then what to do next.
"""

from __future__ import annotations


class RowendError(Exception):
    """Base of the tree. `str()` is one sentence for the person and the next step."""

    #: a stable word for logs and problem details
    code = "trouble"


class BadQuantity(RowendError, ValueError):
    """A number that cannot be: which field, which value, and the bound it breaks."""

    code = "bad-quantity"

    def __init__(self, field: str, value: object, bound: str) -> None:
        super().__init__(field, value, bound)
        self.field, self.value, self.bound = field, value, bound

    def __str__(self) -> str:
        return f"{self.field} is {self.value!r}, but must be {self.bound}. Check the figure and enter it again."


class BadEntry(RowendError, ValueError):
    """An entry that breaks a rule of its kind; `problems` maps each field to its reason."""

    code = "bad-entry"

    def __init__(self, kind: str, problems: dict[str, str]) -> None:
        super().__init__(kind, problems)
        self.kind, self.problems = kind, problems

    def __str__(self) -> str:
        told = "; ".join(f"{field}: {reason}" for field, reason in self.problems.items())
        return f"This {self.kind.replace('_', ' ')} was not saved ({told}). Correct it and save again."


class WrongMoment(RowendError):
    """An action that does not fit what is going on now: ending a row when none is open."""

    code = "wrong-moment"

    def __init__(self, reason: str, next_step: str) -> None:
        super().__init__(reason, next_step)
        self.reason, self.next_step = reason, next_step

    def __str__(self) -> str:
        return f"{self.reason} {self.next_step}"


class UnknownRecord(RowendError, LookupError):
    """A record that this log does not hold (yet)."""

    code = "unknown-record"

    def __init__(self, kind: str, record: str) -> None:
        super().__init__(kind, record)
        self.kind, self.record = kind, record

    def __str__(self) -> str:
        return f"There is no {self.kind.replace('_', ' ')} {self.record} here. Sync, then choose it from the list."


class LineRefused(RowendError):
    """A log line that cannot be kept: the device whose log it is, its number and the reason."""

    code = "line-refused"

    def __init__(self, device: str, seq: int, reason: str) -> None:
        super().__init__(device, seq, reason)
        self.device, self.seq, self.reason = device, seq, reason

    def __str__(self) -> str:
        return (
            f"Line {self.seq} of device {self.device} was refused: {self.reason}. "
            "What came before it is kept; the phone that wrote it sends the rest again under a new id."
        )


class Fork(LineRefused):
    """Two histories under one device id. `seq` is the first line that differs, `common` the last that agrees."""

    code = "fork"

    def __init__(self, device: str, common: int) -> None:
        super().__init__(device, common + 1, "another line with this number is already held")
        self.common = common


class BadBody(RowendError, ValueError):
    """A sync body or bundle that is not what it says it is; nothing of it is stored."""

    code = "bad-body"

    def __init__(self, reason: str) -> None:
        super().__init__(reason)
        self.reason = reason

    def __str__(self) -> str:
        return f"The sync data could not be read: {self.reason}. Nothing was stored; sync again."


class TooMuch(BadBody):
    """More than `max_bytes` at once, as it came or once unpacked; nothing of it is stored."""

    code = "too-much"

    def __init__(self, max_bytes: int) -> None:
        super().__init__(f"it is larger than {max_bytes} bytes")
        self.max_bytes = max_bytes

    def __str__(self) -> str:
        return f"More than {self.max_bytes} bytes came at once. Nothing was stored; send less at once."


class Refused(RowendError):
    """The service says no, and why."""

    code = "refused"
    sentence = "The service refused this."

    def __str__(self) -> str:
        return self.sentence


class WrongSecret(Refused):
    """No valid device secret or office key came with the request."""

    code = "wrong-secret"
    sentence = "The service does not know this device. Pair it again with a new code from the office."


class CodeSpent(Refused):
    """A pairing code that is unknown, used or out of date (which of the three is not told)."""

    code = "code-spent"
    sentence = "This pairing code is not valid any more. Ask the office for a new one."


class TooManyTries(Refused):
    """Too many wrong pairing codes from one place; after `wait_s` seconds it may try again."""

    code = "too-many-tries"

    def __init__(self, wait_s: int) -> None:
        super().__init__(wait_s)
        self.wait_s = wait_s

    def __str__(self) -> str:
        return f"Too many wrong codes were tried. Wait {self.wait_s} seconds, then type the code again."


class OtherFarm(Refused):
    """Lines or records of one farm offered to another."""

    code = "other-farm"
    sentence = "This belongs to another farm and was not stored. Pair the phone with the farm it logs for."


class NotAllowed(Refused):
    """A device or person whose role does not cover the action."""

    code = "not-allowed"
    sentence = "This device may not do that. Ask the farm's owner."


class Unreachable(RowendError):
    """The service cannot be reached now; entries are safe on the phone and sync tries again."""

    code = "unreachable"

    def __init__(self, reason: str) -> None:
        super().__init__(reason)
        self.reason = reason

    def __str__(self) -> str:
        return f"{self.reason} Entries are safe on this phone; sync tries again by itself."


class StoreTrouble(RowendError):
    """The disk is full, read-only or damaged."""

    code = "store-trouble"

    def __init__(self, reason: str) -> None:
        super().__init__(reason)
        self.reason = reason

    def __str__(self) -> str:
        return (
            f"The log could not be written: {self.reason}. What was saved before stays. "
            "Free some space or check the storage, then try again."
        )


class WrongUse(RowendError):
    """A command that was called with words it cannot use."""

    code = "wrong-use"

    def __init__(self, reason: str, next_step: str) -> None:
        super().__init__(reason, next_step)
        self.reason, self.next_step = reason, next_step

    def __str__(self) -> str:
        return f"{self.reason} {self.next_step}"
