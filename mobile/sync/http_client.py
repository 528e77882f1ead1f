"""The HTTP side of sync: requests, and what the answers mean to a person."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Annotated, Any, NoReturn

import requests
import urllib3
from pydantic import BaseModel, StringConstraints, ValidationError
from requests.adapters import HTTPAdapter

from mobile.sync.pinning import is_other_certificate, use_certificate
from mobile.sync.time_limit import TimedAdapter
from shared_models.errors import (
    CertificateChanged,
    ExpiredCode,
    NotAllowed,
    OtherFarm,
    OverLimit,
    Refused,
    TooManyTries,
    Unreachable,
    WrongSecret,
)
from shared_models.lazy_message import LazyMessage
from shared_models.records.field_types import Id
from shared_models.sync.wire import MAX_BODY_BYTES, MEDIA_TYPE, Page, pack, unpack

#: to connect, and without a byte of the answer; all of it has `ANSWER_S`
TIMEOUT_S = (5.0, 60.0)
NOT_A_SERVICE = "That address isn't a Rowend service."
PORTAL = "This network shows a page of its own; sign in to it, or choose another one."
_PROBLEM = "application/problem+json"
_MOST_JSON_BYTES = 64 * 1024
_REFUSALS: dict[str, type[Refused]] = {
    refusal.code: refusal for refusal in (WrongSecret, ExpiredCode, OtherFarm, NotAllowed)
}
_WAITS: dict[str, type[OverLimit | TooManyTries]] = {refusal.code: refusal for refusal in (OverLimit, TooManyTries)}
#: when the service does not say how long to wait
_WAIT_S = 300
#: nothing that waits for longer than a day is believed
_WAIT_DIGITS = 6


class ResponseTooLarge(Unreachable):
    """The service will not take so much at once; send less."""


class PairReply(BaseModel):
    """The farm that this device belongs to from now on, and its secret."""

    farm: Id
    device: Id
    secret: Annotated[str, StringConstraints(pattern=r"^[!-~]{1,200}$")]


class HttpClient:
    """The service at an address, through a `requests` session; with a `pin`, only the one that has that certificate.

    Raises:
        CertificateChanged: from any call, when another certificate than the pinned one answers; nothing was sent.
        Unreachable: from any call, when there is no network, no service, or something else answers in its place.
        Refused: from any call, the matching kind of it when the service says no.
    """

    def __init__(self, address: str, session: requests.Session, pin: str | None = None) -> None:
        if pin is not None and not address.startswith("https://"):
            raise CertificateChanged
        self._address = address.rstrip("/")
        self._session = session
        session.trust_env = False  # a .netrc would put a password of its own in place of this device's secret
        use_certificate(session, self._address, pin)
        if type(session.get_adapter(self._address)) is HTTPAdapter:
            session.mount("http://", TimedAdapter())
            session.mount("https://", TimedAdapter())

    def pair(self, request: dict[str, Any], bearer: str | None = None) -> PairReply:
        """Get this device's secret, by a one-time code or as the successor of another device (`bearer`)."""
        answer = self._post("/v1/pair", bearer, _MOST_JSON_BYTES, json=request)
        try:
            reply = PairReply.model_validate_json(answer.body)
        except ValidationError as problem:
            raise Unreachable(NOT_A_SERVICE) from problem
        if answer.media_type != "application/json" or reply.device != request["device"]:
            raise Unreachable(NOT_A_SERVICE)
        return reply

    def exchange(self, page: Page, bearer: str, page_bytes: int) -> Page:
        """Send one page and get one with lines of about `page_bytes`."""
        path = f"/v1/sync?page_bytes={page_bytes}"
        answer = self._post(path, bearer, MAX_BODY_BYTES, data=pack(page), headers={"Content-Type": MEDIA_TYPE})
        if answer.media_type != MEDIA_TYPE:
            raise Unreachable(PORTAL)
        reply = unpack(answer.body)
        first, until = reply.span
        if reply.farm != page.farm or first != page.span.first or (until is not None and until <= first):
            raise Unreachable(NOT_A_SERVICE)
        return reply

    def _post(
        self, path: str, bearer: str | None, most_bytes: int, headers: dict[str, str] | None = None, **body: Any
    ) -> _Answer:
        headers = {"Accept-Encoding": "identity"} | (headers or {})
        if bearer is not None:
            headers["Authorization"] = f"Bearer {bearer}"
        url = self._address + path
        try:
            # straight through the adapter: the session would read a redirect's body to its end
            request = self._session.prepare_request(requests.Request("POST", url, headers, **body))
            adapter = self._session.get_adapter(url)
            answer = adapter.send(request, stream=True, timeout=TIMEOUT_S, verify=True, proxies={})
            with answer:
                return _read(answer, most_bytes)
        except (requests.Timeout, urllib3.exceptions.TimeoutError) as problem:
            raise ResponseTooLarge("The service did not answer in time.") from problem
        except requests.exceptions.SSLError as problem:
            if is_other_certificate(problem):
                raise CertificateChanged from problem
            raise Unreachable(
                "This phone does not trust the service's certificate; pair by the office's link."
            ) from problem
        except (requests.RequestException, urllib3.exceptions.HTTPError, ValueError) as problem:
            raise Unreachable("The service cannot be reached from here.") from problem


@dataclass(frozen=True, slots=True)
class _Answer:
    """The media type and the body of an answer that is good."""

    media_type: str
    body: bytes


def _read(answer: requests.Response, most_bytes: int) -> _Answer:
    """Read an answer up to a limit, as it came: one that is compressed on top is not from the service."""
    media_type = answer.headers.get("Content-Type", "").partition(";")[0].strip()
    if answer.status_code != requests.codes.ok:
        problem = answer.raw.read(_MOST_JSON_BYTES, decode_content=False) if media_type == _PROBLEM else b""
        _raise_for(answer.status_code, problem, answer.headers.get("Retry-After", ""))
    body = answer.raw.read(most_bytes + 1, decode_content=False)
    if len(body) > most_bytes or answer.headers.get("Content-Encoding", "identity") != "identity":
        raise Unreachable(NOT_A_SERVICE)
    return _Answer(media_type, body)


def _raise_for(status: int, problem: bytes, wait: str) -> NoReturn:
    if status == requests.codes.request_entity_too_large:
        raise ResponseTooLarge("The service only takes smaller batches.")
    code = _problem_code(problem)
    if code in _REFUSALS:
        raise _REFUSALS[code]
    if code in _WAITS:
        raise _WAITS[code](int(wait) if wait.isdecimal() and len(wait) < _WAIT_DIGITS else _WAIT_S)
    if status < 300:  # noqa: PLR2004 - what is no error in HTTP, and no answer of the service either
        raise Unreachable(NOT_A_SERVICE)
    if status < 400:  # noqa: PLR2004 - the redirects of HTTP
        raise Unreachable(PORTAL)
    if status == requests.codes.too_many_requests or status >= requests.codes.server_error:
        raise Unreachable(LazyMessage("The service is busy or in trouble (HTTP {status}).", status=status))
    raise Unreachable(
        LazyMessage(
            "The service did not understand this phone (HTTP {status}); update the app and the service.", status=status
        )
    )


def _problem_code(body: bytes) -> str:
    try:
        problem = json.loads(body)
    except (ValueError, RecursionError):
        return ""
    return str(problem.get("code", "")) if isinstance(problem, dict) else ""
