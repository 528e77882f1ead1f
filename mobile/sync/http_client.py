"""The HTTP side of sync: requests, and what the answers mean to a person."""

from typing import Any

import requests

from mobile.sync.pinning import is_other_certificate, use_certificate
from shared_models.errors import (
    CertificateChanged,
    ExpiredCode,
    NotAllowed,
    OtherFarm,
    Refused,
    TooManyTries,
    Unreachable,
    WrongSecret,
)
from shared_models.lazy_message import LazyMessage
from shared_models.sync.wire import MEDIA_TYPE, Page, pack, unpack

TIMEOUT_S = (5.0, 60.0)
_REFUSALS: dict[str, type[Refused]] = {
    refusal.code: refusal for refusal in (WrongSecret, ExpiredCode, OtherFarm, NotAllowed, TooManyTries)
}


class ResponseTooLarge(Unreachable):
    """The service will not take so much at once; send less."""


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

    def pair(self, request: dict[str, Any], bearer: str | None = None) -> dict[str, Any]:
        """Get this device's secret, by a one-time code or as the successor of another device (`bearer`)."""
        answer = self._post("/v1/pair", bearer, json=request)
        try:
            reply: dict[str, Any] = answer.json()
        except ValueError as problem:
            raise Unreachable("That address isn't a Rowend service.") from problem
        return reply

    def exchange(self, page: Page, bearer: str, page_bytes: int) -> Page:
        """Send one page and get one with lines of about `page_bytes`."""
        path = f"/v1/sync?page_bytes={page_bytes}"
        answer = self._post(path, bearer, data=pack(page), headers={"Content-Type": MEDIA_TYPE})
        if answer.headers.get("Content-Type", "").partition(";")[0] != MEDIA_TYPE:
            raise Unreachable("This network shows a page of its own; sign in to it, or choose another one.")
        return unpack(answer.content)

    def _post(
        self, path: str, bearer: str | None, headers: dict[str, str] | None = None, **body: Any
    ) -> requests.Response:
        headers = dict(headers or {})
        if bearer is not None:
            headers["Authorization"] = f"Bearer {bearer}"
        try:
            answer = self._session.post(
                self._address + path, headers=headers, timeout=TIMEOUT_S, allow_redirects=False, **body
            )
        except requests.Timeout as problem:
            raise ResponseTooLarge("The service did not answer in time.") from problem
        except requests.exceptions.SSLError as problem:
            if is_other_certificate(problem):
                raise CertificateChanged from problem
            raise Unreachable(
                "This phone does not trust the service's certificate; pair by the office's link."
            ) from problem
        except requests.RequestException as problem:
            raise Unreachable("The service cannot be reached from here.") from problem
        _raise_for(answer)
        return answer


def _raise_for(answer: requests.Response) -> None:
    status = answer.status_code
    if status == requests.codes.ok:
        return
    if status == requests.codes.request_entity_too_large:
        raise ResponseTooLarge("The service only takes smaller batches.")
    refusal = _REFUSALS.get(_problem_code(answer))
    if refusal is not None:
        raise refusal
    if 300 <= status < 400:  # noqa: PLR2004 - the redirects of HTTP
        raise Unreachable("This network shows a page of its own; sign in to it, or choose another one.")
    if status == requests.codes.too_many_requests or status >= requests.codes.server_error:
        raise Unreachable(LazyMessage("The service is busy or in trouble (HTTP {status}).", status=status))
    raise Unreachable(
        LazyMessage(
            "The service did not understand this phone (HTTP {status}); update the app and the service.", status=status
        )
    )


def _problem_code(answer: requests.Response) -> str:
    try:
        problem = answer.json()
    except ValueError:
        return ""
    return str(problem.get("code", "")) if isinstance(problem, dict) else ""
