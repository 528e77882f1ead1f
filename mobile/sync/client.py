"""Pairs the phone with a service, sends its log and takes in what others wrote.

Each sync asks what the service holds; nothing remembered decides what is sent. What it held a moment ago, in this same
run of the app, only saves that question, and costs one more request when it is wrong.

Where the paired address does not answer, a service that was paired by its certificate is searched for on the local
network. What is found there is trusted only when it shows that certificate (`mobile/sync/pinning.py`).
"""

import random
from base64 import urlsafe_b64encode
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field

import requests
from sqlalchemy import Connection

from mobile.device.discovery.desk import DeskDiscovery
from mobile.device.discovery.protocol import ServiceDiscovery
from mobile.log.notebook import Notebook
from mobile.sync.healing import Healing
from mobile.sync.http_client import HttpClient, ResponseTooLarge
from shared_models.errors import (
    BadBody,
    CertificateChanged,
    LineRefused,
    OtherFarm,
    RemovedPhone,
    StampAhead,
    Unreachable,
    WrongMoment,
)
from shared_models.log import log
from shared_models.log.ingest import ingest
from shared_models.log.log import ALL, Holds, Run, Span
from shared_models.log.store import reading
from shared_models.log.verify import first_broken_line
from shared_models.sync.pairing_link import PairingLink
from shared_models.sync.wire import MOST_LOGS, Page, Verdict

#: a page is stored in one go, and a tap has to wait for it
FIRST_PAGE_BYTES = 256 * 1024
MIN_PAGE_BYTES = 4 * 1024
#: pages sent may be this much larger than pages asked for: sending only reads the log, and no tap waits for that
_SENT_PER_ASKED = 4
#: requests of one sync: enough for years of records, and the end of a service that never has enough
MOST_EXCHANGES = 10_000
#: first pause before a retry, and the longest; each is drawn from half to one and a half of it
FIRST_PAUSE_S, LONGEST_PAUSE_S = 2.0, 300.0


@dataclass(frozen=True, slots=True)
class Progress:
    """Entries sent and received so far in this sync, and how many are left each way.

    And how many are damaged on this phone, and at the service.
    """

    sent: int
    received: int
    to_send: int
    to_receive: int
    damaged_here: int = 0
    damaged_there: int = 0


@dataclass(slots=True)
class _SyncState:
    exchanges: int = 0
    sent: int = 0
    received: int = 0
    #: logs sent again from the start, to find where two histories part: device -> lines sent so far
    resent: dict[str, int] = field(default_factory=dict)
    #: logs made in this sync of lines that got a new device id
    made: set[str] = field(default_factory=set)
    #: logs that this sync gives up on
    given_up: set[str] = field(default_factory=set)
    progress: Progress = Progress(0, 0, 0, 0)
    #: the logs that the next exchange speaks of
    span: Span = ALL


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
        self._healing = Healing(notebook)

    @property
    def paired(self) -> bool:
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
            ExpiredCode: when the code is not valid any more.
            OtherFarm: when the phone holds the log of another farm.
            CertificateChanged: when the service does not have the certificate of the `pin`.
            Unreachable: when the service does not answer.
        """
        notebook = self._notebook
        held = notebook.farm if self.paired or notebook.setting("joined_by_bundle") else None
        request = {"code": code, "name": name, "farm": held} | self._identity(code)
        reply = HttpClient(server, self._session, pin).pair(request)
        if held is not None and reply.farm != held:
            raise OtherFarm  # no honest service gives a farm's log to another
        notebook.join_farm(reply.farm)
        secret = {"device": reply.device, "secret": reply.secret}
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
            for address in self._other_addresses():
                with suppress(Unreachable, CertificateChanged):
                    done = self._sync_at(address)
                    self._found = address
                    return done
            raise

    def _other_addresses(self) -> Iterator[str]:
        """Addresses on this network: where the service was found before, then what discovery finds now."""
        pin = self._notebook.setting("pin")
        if pin is None:
            return  # no service could prove to be the paired one
        if self._found is not None:
            yield self._found
        yield from self._discovery.with_certificate(pin)

    def _sync_at(self, address: str) -> Progress:
        client = HttpClient(address, self._session, self._notebook.setting("pin"))
        state = _SyncState()
        self._healing.begin()
        self._notebook.sign()
        try:
            while self._exchange(client, state) or self._next_span(state):
                pass
        except Unreachable:
            self._theirs = None
            raise
        return state.progress

    def _next_span(self, state: _SyncState) -> bool:
        """Go on to the logs after those of the last exchange; return whether there are any."""
        if state.span == ALL:
            return False
        self._theirs = None  # it says nothing of the other logs
        state.span = Span(state.span.until or "")
        return state.span != ALL

    def _exchange(self, client: HttpClient, state: _SyncState) -> bool:
        """Send one request and store its answer; return whether another is worth while."""
        if state.exchanges == MOST_EXCHANGES:
            raise Unreachable("The sync did not come to an end.")
        state.exchanges += 1
        page = self._next_page(state)
        try:
            answer = client.exchange(page, self._bearer(client), self._page_bytes)
        except (ResponseTooLarge, BadBody):
            return self._shrink()
        before = self._theirs
        self._theirs = answer.holds
        state.span = answer.span
        if answer.latest is not None:
            self._notebook.set_clock_by(answer.latest)
        self._handle_refusals(answer, state)
        stored = self._store(answer.runs, state)
        self._save_what_they_hold(answer, state.span)
        mine, bases = self._holds(state.span), self._bases()
        if before is not None:
            state.sent += _ahead(answer.holds, before, bases)
        heals, healing = self._healing.goes_on(answer.wanted, mine), self._healing
        to_send, to_receive = _ahead(mine, answer.holds, bases), _ahead(answer.holds, mine, bases)
        state.progress = Progress(state.sent, state.received, to_send, to_receive, healing.here, len(healing.there))
        self._on_progress(state.progress)
        moved = bool(stored) or before != answer.holds or bool(answer.refused)
        return heals or (moved and _without(state.given_up, mine) != _without(state.given_up, answer.holds))

    def _shrink(self) -> bool:
        if self._page_bytes <= MIN_PAGE_BYTES:
            self._page_bytes = FIRST_PAGE_BYTES
            raise Unreachable("The connection is too weak for even a small page.")
        self._page_bytes //= 2
        return True

    def _next_page(self, state: _SyncState) -> Page:
        farm = self._notebook.farm
        with reading(self._notebook.engine) as connection:
            span = log.narrowed(connection, farm, state.span, MOST_LOGS)
            mine = log.holds(connection, farm, span)
            wanted = self._healing.wanted(connection, self._theirs or {})
            if self._theirs is None:
                return Page(farm, mine, span=span, wanted=wanted)
            for head in log.diverged(connection, farm, self._theirs, span):
                if head.device not in state.given_up:
                    state.resent.setdefault(head.device, 0)
            lacking = log.lacking(connection, farm, self._theirs, self._page_bytes * _SENT_PER_ASKED, span)
            fresh = [run for run in lacking if run.device not in state.resent and run.device not in state.given_up]
            runs = [*fresh, *self._resend(connection, state)]
            runs += self._healing.runs(connection, {run.device for run in runs})
            return Page(farm, mine, runs, span=span, wanted=wanted)

    def _resend(self, connection: Connection, state: _SyncState) -> Iterator[Run]:
        """The next page of each log that is sent again from its start."""
        heads = {head.device: head for head in log.heads(connection, self._notebook.farm)}
        for device, after in list(state.resent.items()):
            head = heads[device]
            run = log.run_from(connection, head, max(after, head.base_seq), self._page_bytes)
            if run is not None:
                state.resent[device] = run.end
                yield run
            else:
                # every line was sent and none was found to differ: the trouble is not on this side
                del state.resent[device]
                state.given_up.add(device)

    def _handle_refusals(self, answer: Page, state: _SyncState) -> None:
        held = self._holds(ALL) if answer.refused else {}
        for verdict in answer.refused:
            if verdict.device not in held:
                continue  # it is about lines that this phone does not have, so it cannot have sent them
            if verdict.common is not None:
                self._branch_off(verdict.device, verdict.common, state)
            elif verdict.code == StampAhead.code and answer.latest is not None:
                state.resent.pop(verdict.device, None)
                self._notebook.stamp_again(verdict.device, verdict.seq - 1, answer.latest)
            elif verdict.code != LineRefused.code:
                state.given_up.add(verdict.device)  # sending it once more would change nothing
            elif verdict.device in state.resent:
                self._skip_bad_line(verdict, state)
            elif verdict.device not in state.given_up:
                state.resent[verdict.device] = 0

    def _skip_bad_line(self, verdict: Verdict, state: _SyncState) -> None:
        """Leave a line behind that the service cannot take, though both histories agree before it."""
        if verdict.device in state.made:
            state.resent.pop(verdict.device)
            state.given_up.add(verdict.device)
            return
        with reading(self._notebook.engine) as connection:
            head = log.find(connection, verdict.device)
            broken = first_broken_line(connection, head) if head else None
        self._branch_off(verdict.device, (broken or verdict.seq) - 1, state)

    def _branch_off(self, device: str, common: int, state: _SyncState) -> None:
        state.resent.pop(device, None)
        branches = self._notebook.branch_off(device, common)
        state.made.update(branches)
        if not branches:
            state.given_up.add(device)

    def _store(self, runs: Sequence[Run], state: _SyncState) -> int:
        if not runs:
            return 0
        with self._notebook.writing() as connection:
            outcome = ingest(connection, self._notebook.farm, runs, self._notebook.keystore.verify)
        for refusal in outcome.refused:
            if refusal.device not in state.given_up:
                state.resent.setdefault(refusal.device, 0)
        state.received += outcome.stored
        return outcome.stored

    def _save_what_they_hold(self, answer: Page, span: Span) -> None:
        before: dict[str, int] = self._notebook.setting("handed_over") or {}
        handed_over = {device: seq for device, seq in before.items() if not span.covers(device)}
        handed_over |= {device: seq for device, (seq, _) in answer.holds.items()}
        if handed_over != before:
            self._notebook.change_settings(handed_over=handed_over)
        # lines of a removed phone, which only an owner can bring in: nobody here needs to wait for that
        refused = {verdict.device for verdict in answer.refused if verdict.code == RemovedPhone.code}
        not_wanted = set(self._notebook.setting("not_wanted") or [])
        if refused - not_wanted:
            self._notebook.change_settings(not_wanted=sorted(refused | not_wanted))

    def _holds(self, span: Span) -> Holds:
        with reading(self._notebook.engine) as connection:
            return log.holds(connection, self._notebook.farm, span)

    def _bases(self) -> dict[str, int]:
        """The lines before the first one of each branch, which are another log's."""
        with reading(self._notebook.engine) as connection:
            return {head.device: head.base_seq for head in log.heads(connection, self._notebook.farm)}

    def _bearer(self, client: HttpClient) -> str:
        """This phone's device id and secret; after a fork, get the new id's secret by means of the old one."""
        notebook = self._notebook
        held = notebook.setting("credentials")
        bearer = f"{held['device']}.{held['secret']}"
        if held["device"] == notebook.device:
            return bearer
        request = {"name": notebook.setting("phone_name"), "farm": notebook.farm}
        reply = client.pair(request | self._identity(held["device"]), bearer)
        notebook.change_settings(credentials={"device": reply.device, "secret": reply.secret})
        return f"{reply.device}.{reply.secret}"

    def _identity(self, by: str) -> dict[str, str]:
        """This phone's device id and key, with the proof that the key is here."""
        key, proof = self._notebook.prove(by)
        return {
            "device": self._notebook.device,
            "key": urlsafe_b64encode(key).decode(),
            "proof": urlsafe_b64encode(proof).decode(),
        }


def _ahead(one: Holds, other: Holds, bases: Mapping[str, int]) -> int:
    """The number of lines that one side holds and the other does not."""
    ends = ((seq, other.get(device, (0, ""))[0], bases.get(device, 0)) for device, (seq, _) in one.items())
    return sum(max(0, seq - max(held, base)) for seq, held, base in ends)


def _without(devices: set[str], holds: Holds) -> Holds:
    return {device: held for device, held in holds.items() if device not in devices}


def pauses(draw: random.Random) -> Iterator[float]:
    """Seconds to wait before each retry: longer each time, and never the same for all phones of a farm."""
    pause = FIRST_PAUSE_S
    while True:
        yield pause * draw.uniform(0.5, 1.5)
        pause = min(pause * 2, LONGEST_PAUSE_S)
