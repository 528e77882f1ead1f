"""Hands the phone's log over and takes in what others wrote.

Nothing that is remembered about the service decides what is sent: each sync asks what the service holds. What it held
a moment ago, in this same run of the app, only saves that question, and costs one more request when it is wrong.

Where the paired address does not answer, a service that was paired by its certificate is looked for on the network
around the phone. What is found there is believed only when it shows that certificate (`mobile/sync/pinning.py`).
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, field

import requests
from sqlalchemy import Connection

from mobile.device.discovery.desk import DeskDiscovery
from mobile.device.discovery.protocol import ServiceDiscovery
from mobile.log.notebook import Notebook
from mobile.log.settings import write_settings
from mobile.sync.http_client import HttpClient, TooLarge
from shared_models.errors import BadBody, CertificateChanged, OtherFarm, Unreachable, WrongMoment
from shared_models.log import log
from shared_models.log.fork import reassign_tail
from shared_models.log.log import Holds, Run
from shared_models.log.store import reading
from shared_models.log.verify import first_broken_line
from shared_models.sync.pairing_link import PairingLink
from shared_models.sync.wire import Page, Verdict

#: a page is stored in one go, and a tap has to wait for it
FIRST_PAGE_BYTES = 256 * 1024
MIN_PAGE_BYTES = 4 * 1024
#: what is sent may be so much larger than what is asked for: sending only reads the log, and no tap waits for that
_SENT_PER_ASKED = 4
#: first pause before another try, and the longest; each is drawn from half to one and a half of it
FIRST_PAUSE_S, LONGEST_PAUSE_S = 2.0, 300.0


@dataclass(frozen=True, slots=True)
class Progress:
    """Entries handed over and taken in so far in this sync, and how many are still to go each way."""

    sent: int
    received: int
    to_send: int
    to_receive: int


@dataclass(slots=True)
class _Sync:
    """One sync under way."""

    sent: int = 0
    received: int = 0
    #: logs shown from the start, to find where two histories part: device -> lines shown so far
    shown: dict[str, int] = field(default_factory=dict)
    #: logs made in this sync of lines that had to move on
    made: set[str] = field(default_factory=set)
    #: logs on which this sync cannot go on
    left: set[str] = field(default_factory=set)
    #: how far it had come when it was last looked
    progress: Progress = Progress(0, 0, 0, 0)


class SyncClient:
    """Pairing and sync for one notebook, through a `requests` session."""

    def __init__(
        self,
        notebook: Notebook,
        session: requests.Session,
        *,
        discovery: ServiceDiscovery | None = None,
        on_progress: Callable[[Progress], None] = lambda _: None,
    ) -> None:
        self._notebook = notebook
        self._session = session
        self._discovery = discovery or DeskDiscovery()
        self._found: str | None = None
        self._on_progress = on_progress
        self._page_bytes = FIRST_PAGE_BYTES
        self._theirs: Holds | None = None

    @property
    def paired(self) -> bool:
        """Whether this phone knows a service to sync with."""
        return self._notebook.setting("server") is not None

    def pair_by(self, link: PairingLink, name: str) -> None:
        """Join by a link, at the first of its addresses that answers; as `pair` otherwise."""
        for address in link.addresses[:-1]:
            with suppress(Unreachable):
                self.pair(address, link.code, name, link.pin)
                return
        self.pair(link.addresses[-1], link.code, name, link.pin)

    def pair(self, server: str, code: str, name: str, pin: str | None = None) -> None:
        """Join the farm that gave the one-time `code`; what was logged before goes with the phone.

        Raises:
            CodeSpent: when the code is not valid any more.
            OtherFarm: when the phone holds the log of another farm.
            CertificateChanged: when the service does not have the certificate of the `pin`.
            Unreachable: when the service does not answer.
        """
        notebook = self._notebook
        held = notebook.farm if self.paired or notebook.setting("joined_by_bundle") else None
        asked = {"code": code, "device": notebook.device, "name": name, "farm": held}
        told = HttpClient(server, self._session, pin).pair(asked)
        if held is not None and told["farm"] != held:
            raise OtherFarm  # no honest service gives a farm's log to another
        notebook.join_farm(told["farm"])
        secret = {"device": told["device"], "secret": told["secret"]}
        notebook.change_settings(server=server, pin=pin, credentials=secret, phone_name=name)
        self._found = None

    def sync(self) -> Progress:
        """Exchange pages until both sides hold the same, as far as they can agree.

        Raises:
            Unreachable: when the service does not answer; what was exchanged before stays exchanged.
            CertificateChanged: when another one answers in its place; nothing was sent to it.
            Refused: when the service does not accept this phone.
            WrongMoment: when the phone is not paired.
        """
        if not self.paired:
            raise WrongMoment("This phone is not paired with a service yet.", "Pair it with a code from the office.")
        try:
            return self._sync_at(str(self._notebook.setting("server")))
        except (Unreachable, CertificateChanged):
            for address in self._elsewhere():
                with suppress(Unreachable, CertificateChanged):
                    done = self._sync_at(address)
                    self._found = address
                    return done
            raise

    def _elsewhere(self) -> Iterator[str]:
        """Where the service may be on this network: where it was found before, then wherever it is said to be now."""
        pin = self._notebook.setting("pin")
        if pin is None:
            return  # nobody could prove to be it
        if self._found is not None:
            yield self._found
        yield from self._discovery.with_certificate(pin)

    def _sync_at(self, address: str) -> Progress:
        link = HttpClient(address, self._session, self._notebook.setting("pin"))
        sync = _Sync()
        try:
            while self._exchange(link, sync):
                pass
        except Unreachable:
            self._theirs = None
            raise
        return sync.progress

    def _exchange(self, link: HttpClient, sync: _Sync) -> bool:
        """One request and its answer; whether another is worth while."""
        page = self._next_page(sync)
        try:
            answer = link.exchange(page, self._bearer(link), self._page_bytes)
        except (TooLarge, BadBody):
            return self._shrink()
        before = self._theirs
        self._theirs = answer.holds
        if before is not None:
            sync.sent += _ahead(answer.holds, before)
        self._hear_refusals(answer.refused, sync)
        stored = self._take_in(answer.runs, sync)
        self._note_handed_over(answer.holds)
        mine = self._holds()
        sync.progress = Progress(sync.sent, sync.received, _ahead(mine, answer.holds), _ahead(answer.holds, mine))
        self._on_progress(sync.progress)
        moved = bool(stored) or before != answer.holds or bool(answer.refused)
        return moved and _but_for(sync.left, mine) != _but_for(sync.left, answer.holds)

    def _shrink(self) -> bool:
        if self._page_bytes <= MIN_PAGE_BYTES:
            self._page_bytes = FIRST_PAGE_BYTES
            raise Unreachable("The connection is too weak for even a small page.")
        self._page_bytes //= 2
        return True

    def _next_page(self, sync: _Sync) -> Page:
        farm = self._notebook.farm
        with reading(self._notebook.engine) as connection:
            mine = log.holds(connection, farm)
            if self._theirs is None:
                return Page(farm, mine)
            for head in log.diverged(connection, farm, self._theirs):
                if head.device not in sync.left:
                    sync.shown.setdefault(head.device, 0)
            lacking = log.lacking(connection, farm, self._theirs, self._page_bytes * _SENT_PER_ASKED)
            fresh = [run for run in lacking if run.device not in sync.shown and run.device not in sync.left]
            return Page(farm, mine, [*fresh, *self._shown(connection, sync)])

    def _shown(self, connection: Connection, sync: _Sync) -> Iterator[Run]:
        """The next page of each log that is shown from its start."""
        heads = {head.device: head for head in log.heads(connection, self._notebook.farm)}
        for device, after in list(sync.shown.items()):
            if after < heads[device].seq:
                run = log.run_from(connection, heads[device], after, self._page_bytes)
                sync.shown[device] = after + len(run.texts)
                yield run
            else:
                # every line was shown and none was found to differ: the trouble is not on this side
                del sync.shown[device]
                sync.left.add(device)

    def _hear_refusals(self, refused: Sequence[Verdict], sync: _Sync) -> None:
        for verdict in refused:
            if verdict.common is not None:
                self._move_on(verdict.device, verdict.common, sync)
            elif verdict.device in sync.shown:
                self._mend(verdict, sync)
            elif verdict.device not in sync.left:
                sync.shown[verdict.device] = 0

    def _mend(self, verdict: Verdict, sync: _Sync) -> None:
        """A line that the service cannot take, though both histories agree before it: leave it behind."""
        if verdict.device in sync.made:
            sync.shown.pop(verdict.device)
            sync.left.add(verdict.device)
            return
        with reading(self._notebook.engine) as connection:
            head = log.find(connection, verdict.device)
            broken = first_broken_line(connection, head) if head else None
        self._move_on(verdict.device, (broken or verdict.seq) - 1, sync)

    def _move_on(self, device: str, common: int, sync: _Sync) -> None:
        sync.shown.pop(device, None)
        notebook = self._notebook
        with notebook.alone() as connection:
            new = reassign_tail(connection, notebook.farm, device, common)
            if new is not None and device == notebook.device:
                # a clone of this phone may move the same lines to the same id, so what comes next needs another
                fresh = notebook.new_id()
                own = {"device": fresh, "own_devices": [*notebook.setting("own_devices"), new, fresh]}
                write_settings(connection, own)
        if new is None:
            sync.left.add(device)
        else:
            sync.made.add(new)

    def _take_in(self, runs: Sequence[Run], sync: _Sync) -> int:
        if not runs:
            return 0
        with self._notebook.writing() as connection:
            outcome = log.ingest(connection, self._notebook.farm, runs)
        for refusal in outcome.refused:
            if refusal.device not in sync.left:
                sync.shown.setdefault(refusal.device, 0)
        sync.received += outcome.stored
        return outcome.stored

    def _note_handed_over(self, theirs: Holds) -> None:
        handed_over = {device: seq for device, (seq, _) in theirs.items()}
        if handed_over != self._notebook.setting("handed_over"):
            self._notebook.change_settings(handed_over=handed_over)

    def _holds(self) -> Holds:
        with reading(self._notebook.engine) as connection:
            return log.holds(connection, self._notebook.farm)

    def _bearer(self, link: HttpClient) -> str:
        """This phone's device id and secret; after a fork, the new id's secret is asked for with the old one."""
        notebook = self._notebook
        held = notebook.setting("credentials")
        bearer = f"{held['device']}.{held['secret']}"
        if held["device"] == notebook.device:
            return bearer
        asked = {"device": notebook.device, "name": notebook.setting("phone_name"), "farm": notebook.farm}
        told = link.pair(asked, bearer)
        notebook.change_settings(credentials={"device": told["device"], "secret": told["secret"]})
        return f"{told['device']}.{told['secret']}"


def _ahead(one: Holds, other: Holds) -> int:
    return sum(max(0, seq - other.get(device, (0, ""))[0]) for device, (seq, _) in one.items())


def _but_for(left: set[str], holds: Holds) -> Holds:
    return {device: held for device, held in holds.items() if device not in left}


def pauses(draw: random.Random) -> Iterator[float]:
    """Seconds to wait before each further try: longer each time, and never the same for all phones of a farm."""
    pause = FIRST_PAUSE_S
    while True:
        yield pause * draw.uniform(0.5, 1.5)
        pause = min(pause * 2, LONGEST_PAUSE_S)
