"""Everything that can go wrong, and who acts on it.

    RowendError
    ├── BadQuantity          the person: a number no field or tray can have
    ├── BadEntry             the person: an entry that breaks a rule of its kind
    ├── WrongMoment          the person: an action that does not fit what is going on
    ├── UnknownRecord        the person: names something the log does not hold
    ├── LineRefused          the sender: a log line that cannot be kept
    │   └── Fork             the sender: two histories under one device id
    ├── BadLink              the person: a pairing link that cannot be followed
    ├── BadBody              the sender: a sync body that is not what it says
    │   └── TooMuch          the sender: larger than is taken at once; send less
    ├── Refused              the person: the service says no
    │   ├── WrongSecret      pair again
    │   │   ├── NotSignedIn      sign in
    │   │   └── WrongPassword    type name and password again
    │   ├── CodeSpent        ask for a new pairing code
    │   │   └── LinkSpent        ask for a new link
    │   ├── TooManyTries     wait, then try again
    │   ├── CertificateChanged  another service answers here, or ours has a new certificate: pair by a new link
    │   ├── OtherFarm        this belongs to another farm
    │   └── NotAllowed       this device or person may not do that
    │       ├── RoleNeeded       ask somebody who has the role
    │       └── StaleForm        open the page again
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


class BadLink(RowendError, ValueError):
    """A pairing link, or what was typed in its place, that cannot be followed; nothing was sent anywhere."""

    code = "bad-link"

    def __init__(self, reason: str) -> None:
        super().__init__(reason)
        self.reason = reason

    def __str__(self) -> str:
        return f"This cannot be used to pair: {self.reason}. Check it, or ask the office for a new link."


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
    """No valid device secret came with the request."""

    code = "wrong-secret"
    sentence = "The service does not know this device. Pair it again with a new code from the office."


class NotSignedIn(WrongSecret):
    """The request comes from no open session of the office."""

    code = "not-signed-in"
    sentence = "You are not signed in, or not any more. Sign in, then open the page again."


class WrongPassword(WrongSecret):
    """A sign-in name and a password that do not belong together (whether the name is known is not told)."""

    code = "wrong-password"
    sentence = "This sign-in name and password do not belong together. Type both again."


class CodeSpent(Refused):
    """A pairing code that is unknown, used or out of date (which of the three is not told)."""

    code = "code-spent"
    sentence = "This pairing code is not valid any more. Ask the office for a new one."


class LinkSpent(CodeSpent):
    """A one-time link that is unknown, used or out of date (which of the three is not told)."""

    code = "link-spent"
    sentence = (
        "This link is not valid any more. Ask the farm's owner for a new one; with no owner to ask, “rowend farm "
        "owner” makes one on the machine that the service runs on."
    )


class TooManyTries(Refused):
    """Too many wrong codes or passwords; after `wait_s` seconds the next try passes."""

    code = "too-many-tries"

    def __init__(self, wait_s: int) -> None:
        super().__init__(wait_s)
        self.wait_s = wait_s

    def __str__(self) -> str:
        return f"There were too many wrong tries. Wait {self.wait_s} seconds, then try again."


class CertificateChanged(Refused):
    """The certificate that answered is not the one of the pairing link. The phone says so itself, before it asks."""

    code = "certificate-changed"
    sentence = (
        "Another service answered than the one this phone was paired with, or its certificate was changed. "
        "Nothing was sent. If this goes on at home, pair with a new link from the office."
    )


class OtherFarm(Refused):
    """Lines or records of one farm offered to another."""

    code = "other-farm"
    sentence = "This belongs to another farm and was not stored. Pair the phone with the farm it logs for."


class NotAllowed(Refused):
    """A device or person whose role does not cover the action."""

    code = "not-allowed"
    sentence = "This device may not do that. Ask the farm's owner."


class RoleNeeded(NotAllowed):
    """Something that needs the role `role`, asked for by somebody who has a lesser one."""

    code = "role-needed"

    def __init__(self, role: str) -> None:
        super().__init__(role)
        self.role = role

    def __str__(self) -> str:
        return f"This is for the {self.role}. Ask the farm's owner to do it, or to give you that role."


class StaleForm(NotAllowed):
    """A form that no page of this session has shown, or that came from another site."""

    code = "stale-form"
    sentence = "This form is out of date, so nothing was changed. Open the page again and fill it in once more."


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
