"""A phone that was paired and lies: about itself, about others, to the service and to other phones.

It speaks docs/sync.md by itself and keeps to none of its rules but those it needs to be heard.
"""

import gzip
import json
import random
import zlib
from base64 import urlsafe_b64encode
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from cryptography.hazmat.primitives.asymmetric.ec import ECDSA, SECP256R1, EllipticCurvePrivateKey, derive_private_key
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from starlette.testclient import TestClient

from tests.journeys.proof.ledger import Broken
from tests.journeys.proof.oracle import branch_of, chained, device_of, head_text, root

MEDIA_TYPE = "application/vnd.rowend.lines"
#: section 3
LATEST = 0x0699E991A8000000
#: enough to be a nuisance, few enough for a test
FLOOD_LINES = 150
Run = dict[str, Any]


class Identity:
    """A key pair and the device id made from it."""

    def __init__(self, number: int) -> None:
        self._private: EllipticCurvePrivateKey = derive_private_key(number, SECP256R1())
        self.key = self._private.public_key().public_bytes(Encoding.X962, PublicFormat.UncompressedPoint)
        self.device = device_of(self.key)

    def sign(self, message: bytes) -> bytes:
        return self._private.sign(message, ECDSA(SHA256()))


@dataclass
class Heard:
    """A run of another log as the service gave it."""

    head: dict[str, Any]
    texts: list[str]


@dataclass
class Liar:
    """The liar, its log (of which it may keep several histories) and what it heard of others."""

    farm: str
    me: Identity = field(default_factory=lambda: Identity(0xBAD))
    secret: str = ""
    #: its log, in several versions
    histories: list[list[str]] = field(default_factory=lambda: [[]])
    #: the devices whose keys it has
    identities: set[str] = field(default_factory=set)
    #: the logs that it made up
    made: set[str] = field(default_factory=set)
    #: kind, record, author and fields of all its lines
    said: set[tuple[str, str, str | None, str]] = field(default_factory=set)
    heard: dict[str, Heard] = field(default_factory=dict)
    _numbers: int = 0xBAD00

    def __post_init__(self) -> None:
        self._know(self.me)

    # ------------------------------------------------------------------ what it may do

    def pair(self, client: TestClient, code: str) -> None:
        proof = self.me.sign(f"rowend pair\n{self.me.device}\n{code}".encode())
        request = {"code": code, "device": self.me.device, "name": "Helper", "farm": None, "key": _b64(self.me.key)}
        answer = client.post("/v1/pair", json=request | {"proof": _b64(proof)})
        if answer.status_code == 200:
            self.secret = answer.json()["secret"]

    def send(self, client: TestClient, body: bytes) -> bytes:
        """Post a body to the service; what it answers, empty where it refuses."""
        headers = {"Authorization": f"Bearer {self.me.device}.{self.secret}", "Content-Type": MEDIA_TYPE}
        answer = client.post("/v1/sync", content=body, headers=headers)
        if answer.status_code >= 500:
            raise Broken(f"the service fell over a page of the liar: {answer.status_code} {answer.text}")
        return answer.content if answer.status_code == 200 else b""

    def listen(self, client: TestClient) -> None:
        """Get the logs of the others."""
        answer = self.send(client, page(self.farm, {}, []))
        if not answer:
            return
        first, *texts = gzip.decompress(answer).decode().split("\n")
        for head in json.loads(first).get("runs", []):
            self.heard[head["device"]] = Heard(head, texts[: head["lines"]])
            texts = texts[head["lines"] :]

    # ------------------------------------------------------------------ lies

    def lie(self, draw: random.Random) -> bytes:
        """A page with a lie in it."""
        lies: list[Callable[[random.Random], bytes]] = [
            *[self._own_line] * 3,
            self._stamp_far_ahead,
            self._forge,
            self._forge,
            self._cut_short,
            self._replay,
            self._fork_itself,
            self._unsigned_tail,
            self._wrong_branch,
            self._flood,
            self._bad_line,
            self._wrong_holds,
            self._garbage,
        ]
        return draw.choice(lies)(draw)

    def _own_line(self, draw: random.Random) -> bytes:
        """A line as it should be, but for what it says."""
        self.histories[0].append(self._line(draw, len(self.histories[0]) + 1))
        return self._page(self._own(self.histories[0]))

    def _stamp_far_ahead(self, draw: random.Random) -> bytes:
        stamp = draw.choice([LATEST, LATEST - 1, LATEST + 1, LATEST - (400 * 86_400_000 << 16), (1 << 64) - 1])
        text = self._line(draw, len(self.histories[0]) + 1, stamp=stamp)
        if stamp <= LATEST:
            self.histories[0].append(text)
            return self._page(self._own(self.histories[0]))
        return self._page(self._own([*self.histories[0], text]))

    def _forge(self, draw: random.Random) -> bytes:
        """Lines in another's name, at the end of its log or from its start."""
        heard = self._victim(draw)
        if heard is None:
            return self._garbage(draw)
        after = draw.choice([heard.head["after"], heard.head["after"] + len(heard.texts)])
        before = root(heard.head["device"])
        if after:
            before = bytes.fromhex(heard.head["digest"])
        text = self._line(draw, after + 1)
        digest = chained(before, text)
        message = head_text(heard.head["device"], after + 1, digest)
        key, signature = draw.choice(
            [
                (heard.head["key"], heard.head["signature"]),
                (heard.head["key"], _b64(self.me.sign(message))),
                (_b64(self.me.key), _b64(self.me.sign(message))),
                (heard.head["key"], _b64(draw.randbytes(70))),
                ("", ""),
            ]
        )
        head = {"device": heard.head["device"], "after": after, "lines": 1, "digest": digest.hex()}
        return self._page((head | {"key": key, "signature": signature}, [text]))

    def _cut_short(self, draw: random.Random) -> bytes:
        """The beginning of a log as if it were all of it, or without its last line."""
        heard = self._victim(draw)
        if heard is None or len(heard.texts) < 2:
            return self._garbage(draw)
        texts = heard.texts[: draw.randrange(1, len(heard.texts))]
        head = heard.head | {"lines": len(texts)}
        if draw.random() < 0.5 and not heard.head["after"]:
            digest = root(heard.head["device"])
            for text in texts:
                digest = chained(digest, text)
            head["digest"] = digest.hex()
        return self._page((head, texts))

    def _replay(self, draw: random.Random) -> bytes:
        """Something old, as it was."""
        heard = self._victim(draw)
        return self._garbage(draw) if heard is None else self._page((heard.head, heard.texts))

    def _fork_itself(self, draw: random.Random) -> bytes:
        """Another history of its own log, signed as well."""
        base = draw.choice(self.histories)
        kept = base[: draw.randrange(len(base) + 1)]
        other = [*kept, *[self._line(draw, len(kept) + 1 + n) for n in range(draw.randrange(1, 4))]]
        self.histories.insert(draw.randrange(len(self.histories) + 1), other)
        return self._page(self._own(other))

    def _unsigned_tail(self, draw: random.Random) -> bytes:
        texts = [*self.histories[0], self._line(draw, len(self.histories[0]) + 1)]
        head, _ = self._own(texts)
        signature = self.me.sign(head_text(self.me.device, len(texts) - 1, root(self.me.device)))
        return self._page((head | {"signature": _b64(signature)}, texts))

    def _wrong_branch(self, draw: random.Random) -> bytes:
        """A branch under an id that is not its own, of a log that is not its own, or from a wrong place."""
        heard = self._victim(draw)
        text = self._line(draw, 2)
        base = draw.randbytes(32)
        digest = chained(base, text)
        origins = [self.me.device, heard.head["device"] if heard else self.me.device]
        origin = draw.choice(origins)
        device = draw.choice([branch_of(origin, digest), branch_of(origin, draw.randbytes(32)), self._any_id(draw)])
        self.made.add(device)
        signature = self.me.sign(head_text(origin, 2, digest))
        head = {"device": device, "after": 1, "lines": 1, "digest": digest.hex(), "key": _b64(self.me.key)}
        return self._page((head | {"signature": _b64(signature), "branch": [origin, 1, base.hex()]}, [text]))

    def _flood(self, draw: random.Random) -> bytes:
        """Very many lines at once, or some logs that nobody has heard of."""
        if draw.random() < 0.5:
            start = len(self.histories[0]) + 1
            self.histories[0] += [self._line(draw, start + n) for n in range(FLOOD_LINES)]
            return self._page(self._own(self.histories[0]))
        strangers = [self._stranger() for _ in range(5)]
        return self._page(*[_run(each, [self._line(draw, 1)]) for each in strangers])

    def _bad_line(self, draw: random.Random) -> bytes:
        """A line that no one can read, signed all the same, with lines before and after it."""
        start = len(self.histories[0]) + 1
        before, after = self._line(draw, start), self._line(draw, start + 2)
        bad = draw.choice(["", "{}", "[" * 500, self._line(draw, start + 5), self._line(draw, start + 1) + " " * 17000])
        return self._page(self._own([*self.histories[0], before, bad, after]))

    def _wrong_holds(self, draw: random.Random) -> bytes:
        """It says that it holds what it does not."""
        holds = {device: [draw.choice([0, 1, 3, 10**6]), draw.randbytes(32).hex()] for device in self.heard}
        return page(self.farm, holds, [])

    def _garbage(self, draw: random.Random) -> bytes:
        kinds = [
            draw.randbytes(50),
            gzip.compress(draw.randbytes(200)),
            gzip.compress(b'{"version":2}'),
            gzip.compress(json.dumps({"version": 2, "farm": self.farm, "runs": [{"device": 7}]}).encode()),
            gzip.compress(b"[" * 100_000),
            page(self.farm, {}, [])[:-5],
        ]
        return draw.choice(kinds)

    # ------------------------------------------------------------------ parts

    def _page(self, *runs: tuple[Run, Sequence[str]]) -> bytes:
        return page(self.farm, {}, runs)

    def _own(self, texts: Sequence[str]) -> tuple[Run, Sequence[str]]:
        return _run(self.me, texts)

    def _stranger(self) -> Identity:
        self._numbers += 1
        stranger = Identity(self._numbers)
        self._know(stranger)
        return stranger

    def _know(self, who: Identity) -> None:
        self.identities.add(who.device)
        self.made.add(who.device)

    def _victim(self, draw: random.Random) -> Heard | None:
        others = [heard for device, heard in sorted(self.heard.items()) if device not in self.made]
        return draw.choice(others) if others else None

    def _line(self, draw: random.Random, seq: int, *, stamp: int | None = None) -> str:
        """A line about anything, sometimes about a record of somebody else."""
        records = [json.loads(text) for heard in self.heard.values() for text in heard.texts[:5]]
        about = draw.choice(records) if records and draw.random() < 0.5 else {"kind": "bed", "record": None}
        changed = draw.choice(
            [
                {"name": f"lie {draw.getrandbits(32)}", "rows": 3, "length_mm": 9000},
                {"rows": -3, "n": draw.getrandbits(32)},
                {"name": ["no", "name"], "misses": "many"},
                {"voided": True},
                {"latitude": 1e300, "filled": 10**12, "crew": [[[]]]},
                {"stops": [{"reason": "?"}], "x" * 200: None},
                {"name": "\u0000", "note": "\ud83c\udf31"},
            ]
        )
        line = {
            "seq": seq,
            "stamp": f"{draw.randrange(0x019E << 48, 0x01A0 << 48) if stamp is None else stamp:016x}",
            "kind": draw.choice([about["kind"], about["kind"], "gossip"]),
            "record": about["record"] or self._any_id(draw),
            "by": None,
            "set": changed,
        }
        self.said.add((str(line["kind"]), str(line["record"]), None, json.dumps(changed, sort_keys=True)))
        return json.dumps(line)

    def _any_id(self, draw: random.Random) -> str:
        return str(UUID(int=draw.getrandbits(128)))


def page(farm: str, holds: dict[str, Any], runs: Sequence[tuple[Run, Sequence[str]]]) -> bytes:
    """A page (section 6)."""
    header = {"version": 2, "farm": farm, "holds": holds, "runs": [head for head, _ in runs]}
    texts = [text for _, some in runs for text in some]
    squeeze = zlib.compressobj(1, wbits=31)
    return squeeze.compress("\n".join([json.dumps(header), *texts]).encode()) + squeeze.flush()


def _run(who: Identity, texts: Sequence[str]) -> tuple[Run, Sequence[str]]:
    digest = root(who.device)
    for text in texts:
        digest = chained(digest, text)
    signature = who.sign(head_text(who.device, len(texts), digest))
    head = {"device": who.device, "after": 0, "lines": len(texts), "digest": digest.hex()}
    return head | {"key": _b64(who.key), "signature": _b64(signature)}, texts


def _b64(raw: bytes) -> str:
    return urlsafe_b64encode(raw).decode()
