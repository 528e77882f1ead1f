"""Everything that can go wrong, and who acts on it.

    RowendError
    ├── BadQuantity          the person: a number no field or tray can have
    ├── BadEntry             the person: an entry that breaks a rule of its kind
    ├── WrongMoment          the person: an action that does not fit what is going on
    ├── UnknownRecord        the person: names something the log does not hold
    ├── LineRefused          the sender: a log line that cannot be kept
    │   ├── Fork             the sender: two histories under one device id
    │   ├── NotSigned        the sender: lines that their device did not sign
    │   ├── StampAhead       the sender: its clock is far ahead of ours
    │   └── RemovedPhone     the owner: lines of a removed phone, by way of another one
    ├── BadLink              the person: a pairing link that cannot be followed
    ├── BadBody              the sender: a sync body that is not what it says
    │   └── TooLarge         the sender: larger than is taken at once; send less
    ├── Refused              the person: the service says no
    │   ├── WrongSecret      pair again
    │   │   ├── NotSignedIn      sign in
    │   │   └── WrongPassword    type name and password again
    │   ├── ExpiredCode      ask for a new pairing code
    │   │   └── ExpiredLink      ask for a new link
    │   ├── TooManyTries     wait, then try again
    │   ├── OverLimit        sync tries again by itself, or the owner lets it
    │   ├── CertificateChanged  another service answers here, or ours has a new certificate: pair by a new link
    │   ├── OtherFarm        this belongs to another farm
    │   └── NotAllowed       this device or person may not do that
    │       ├── RoleNeeded       ask somebody who has the role
    │       └── StaleForm        open the page again
    ├── Unreachable          nobody: sync tries again by itself
    ├── StorageError         the person: disk full, read-only or damaged
    └── UsageError           the person at the command line

Each class has a code, a template and values; they are put into words once, in the language of whoever reads
(`lazy`, `Localizer.t_lazy`). The message says what happened, then what to do next.
"""

from collections.abc import Mapping

from shared_models.lazy_message import LazyMessage


class RowendError(Exception):
    """Base of the tree. `message` is for the person and says the next step; `str()` is the same in English."""

    #: a stable word for logs and problem details
    code = "trouble"
    template = "Something went wrong. Try again."

    def __init__(self, reason: str = "", **values: object) -> None:
        self.reason = LazyMessage.of(reason)
        self.message = LazyMessage(
            self.template, code=self.code, **({"reason": self.reason} if reason else {}), **values
        )
        super().__init__(self.message)


class BadQuantity(RowendError, ValueError):
    """A number that cannot be: which field, which value, and the bound it breaks."""

    code = "bad-quantity"
    template = "{field} is {value}, but must be {bound}. Check the figure and enter it again."

    def __init__(self, field: str, value: object, bound: str) -> None:
        self.field, self.value, self.bound = field, value, bound
        super().__init__(field=field, value=repr(value), bound=LazyMessage.of(bound))


class BadEntry(RowendError, ValueError):
    """An entry that breaks a rule of its kind; `problems` maps each field to its reason."""

    code = "bad-entry"
    template = "This {kind} was not saved ({problems}). Correct it and save again."

    def __init__(self, kind: str, problems: Mapping[str, str]) -> None:
        self.kind = kind
        self.problems = {field: LazyMessage.of(reason) for field, reason in problems.items()}
        each = tuple(LazyMessage.labelled(name, why) for name, why in self.problems.items())
        super().__init__(kind=kind_in_words(kind), problems=each)


class WrongMoment(RowendError):
    """An action that does not fit what is going on now: ending a row when none is open."""

    code = "wrong-moment"
    template = "{reason} {next_step}"

    def __init__(self, reason: str, next_step: str) -> None:
        super().__init__(reason, next_step=LazyMessage.of(next_step))


class UnknownRecord(RowendError, LookupError):
    """A record that this log does not hold (yet)."""

    code = "unknown-record"
    template = "There is no {kind} {record} here. Check the name, or sync and choose it from the list."

    def __init__(self, kind: str, record: str) -> None:
        self.kind, self.record = kind, record
        super().__init__(kind=kind_in_words(kind), record=record)


class LineRefused(RowendError):
    """A log line that cannot be kept: the device whose log it is, its number and the reason."""

    code = "line-refused"
    template = (
        "Line {seq} of device {device} was refused: {reason}. What came before it is kept; the phone that wrote it "
        "sends the rest again under a new id."
    )

    def __init__(self, device: str, seq: int, reason: str) -> None:
        self.device, self.seq = device, seq
        super().__init__(reason, device=device, seq=seq)


class Fork(LineRefused):
    """Two histories under one device id. `seq` is the first line that differs, `common` the last that agrees."""

    code = "fork"

    def __init__(self, device: str, common: int) -> None:
        super().__init__(device, common + 1, "another line with this number is already held")
        self.common = common


class NotSigned(LineRefused):
    """Lines that are not below a head which the device of the log signed."""

    code = "not-signed"

    def __init__(self, device: str, seq: int) -> None:
        super().__init__(device, seq, "the device of this log did not sign it")


class StampAhead(LineRefused):
    """A line stamped far later than anything known here. Whoever holds it writes it again with a stamp that fits."""

    code = "stamp-ahead"

    def __init__(self, device: str, seq: int) -> None:
        super().__init__(device, seq, "the clock of this device was far ahead when it was written")


class RemovedPhone(LineRefused):
    """Lines of a phone that was removed, handed on by somebody else."""

    code = "removed"

    def __init__(self, device: str, seq: int) -> None:
        super().__init__(device, seq, "this phone was removed; an owner can bring its lines in from a bundle")


class BadLink(RowendError, ValueError):
    """A pairing link, or what was typed in its place, that cannot be followed; nothing was sent anywhere."""

    code = "bad-link"
    template = "This cannot be used to pair: {reason}. Check it, or ask the office for a new link."


class BadBody(RowendError, ValueError):
    """A sync body or bundle that is not what it says it is; nothing of it is stored."""

    code = "bad-body"
    template = "This could not be read: {reason}. Nothing was stored; send it again."


class TooLarge(BadBody):
    """More than `max_bytes` at once, as it came or once unpacked; nothing of it is stored."""

    code = "too-much"
    template = "This is larger than {max_bytes} bytes. Nothing was stored. Send less at a time."

    def __init__(self, max_bytes: int) -> None:
        self.max_bytes = max_bytes
        super().__init__("it is too large", max_bytes=max_bytes)


class Refused(RowendError):
    """The service says no, and why."""

    code = "refused"
    template = "The service refused this."


class WrongSecret(Refused):
    """No valid device secret came with the request."""

    code = "wrong-secret"
    template = "The service does not know this phone. Pair it again with a new code from the office."


class NotSignedIn(WrongSecret):
    """The request comes from no open session of the office."""

    code = "not-signed-in"
    template = "You are not signed in, or were signed out. Sign in, then open the page again."


class WrongPassword(WrongSecret):
    """A sign-in name and a password that do not belong together (it does not say whether the name is known)."""

    code = "wrong-password"
    template = "That sign-in name and password do not match. Type both again."


class ExpiredCode(Refused):
    """A pairing code that is unknown, used or out of date (it does not say which)."""

    code = "expired-code"
    template = "This pairing code has expired or was already used. Ask the office for a new one."


class ExpiredLink(ExpiredCode):
    """A one-time link that is unknown, used or out of date (it does not say which)."""

    code = "expired-link"
    template = (
        "This link has expired or was already used. If you just made your account with it, sign in. Otherwise ask the "
        "farm's owner for a new one; with no owner to ask, run “rowend farm owner” on the computer that runs the "
        "service."
    )


class TooManyTries(Refused):
    """Too many wrong codes or passwords; after `wait_s` seconds the next try passes."""

    code = "too-many-tries"
    template = "Too many wrong tries. Wait {wait_s} seconds, then try again."

    def __init__(self, wait_s: int) -> None:
        self.wait_s = wait_s
        super().__init__(wait_s=wait_s)


class OverLimit(Refused):
    """One device sent more than the service takes from one; `limit` says of what. More is taken after `wait_s`."""

    code = "over-limit"
    template = (
        "The service takes no more from this phone for now. Your entries are safe on this phone. Sync tries again on "
        "its own. If this lasts, the farm's owner can let it send again on the Phones page."
    )

    def __init__(self, wait_s: int, *, limit: str = "") -> None:
        self.wait_s, self.limit = wait_s, limit
        super().__init__()


class CertificateChanged(Refused):
    """The certificate that answered is not the one of the pairing link. The phone says so itself, before it asks."""

    code = "certificate-changed"
    template = (
        "This is not the service that this phone was paired with, or its certificate changed. Nothing was sent. "
        "If you see this at home too, pair with a new link from the office."
    )


class OtherFarm(Refused):
    """Lines or records of one farm offered to another."""

    code = "other-farm"
    template = "This belongs to another farm and was not stored. Pair the phone with the farm it logs for."


class NotAllowed(Refused):
    """A device or person whose role does not cover the action."""

    code = "not-allowed"
    template = "This phone isn't allowed to do that. Ask the farm's owner."


class RoleNeeded(NotAllowed):
    """Something that needs the role `role`, asked for by somebody who has a lesser one."""

    code = "role-needed"
    template = "Only the {role} can do this. Ask the farm's owner to do it, or to give you that role."

    def __init__(self, role: str) -> None:
        self.role = role
        super().__init__(role=LazyMessage(str(role)))


class StaleForm(NotAllowed):
    """A form that no page of this session has shown, or that came from another site."""

    code = "stale-form"
    template = "This form is out of date, so nothing was changed. Open the page again and fill it in once more."


class Unreachable(RowendError):
    """The service cannot be reached now; entries are safe on the phone and sync tries again."""

    code = "unreachable"
    template = "{reason} Your entries are safe on this phone. Sync tries again on its own."


class StorageError(RowendError):
    """The disk is full, read-only or damaged."""

    code = "store-trouble"
    template = (
        "Could not save: {reason}. Everything saved before is safe. Free up space or check the storage, then try again."
    )


class UsageError(RowendError):
    """A command that was called with words it cannot use."""

    code = "usage-error"
    template = "{reason} {next_step}"

    def __init__(self, reason: str, next_step: str) -> None:
        super().__init__(reason, next_step=next_step)


def kind_in_words(kind: str) -> LazyMessage:
    """Name a kind of record within a message."""
    return LazyMessage(kind.replace("_", " "))
