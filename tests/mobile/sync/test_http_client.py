"""Whatever answers in place of the service, and however long it goes on, the phone stays as it was and tries again."""

import io
import itertools
import json
import socket
import threading
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import Any

import pytest
import requests
from hypothesis import given, settings
from hypothesis import strategies as st
from requests.adapters import BaseAdapter
from typing_extensions import override
from urllib3 import HTTPResponse

from mobile.sync.http_client import NOT_A_SERVICE, PORTAL, HttpClient, ResponseTooLarge
from mobile.sync.time_limit import TimedAdapter
from shared_models.errors import BadBody, RowendError, Unreachable
from shared_models.sync.wire import MAX_BODY_BYTES, MEDIA_TYPE, VERSION, Page, pack
from tests.fixtures.network import ADDRESS, Deliver, answer
from tests.journeys.support.farm_service import FarmService, FieldPhone
from tests.shared_models.log.device import FARM, OTHER_FARM, PHONE, TABLET

JSON, PROBLEM = "application/json", "application/problem+json"
REQUEST = {"code": "BCDFGHJK", "device": PHONE}
REPLY = {"farm": FARM, "device": PHONE, "secret": "9f" * 32}


class Stranger(BaseAdapter):
    """Answers every request with the same."""

    def __init__(self, status: int, media_type: str, body: io.BufferedIOBase, more: Mapping[str, str]) -> None:
        super().__init__()
        self.status, self.headers, self.body = status, {"Content-Type": media_type, **more}, body

    @override
    def send(self, request: requests.PreparedRequest, *_: Any, **__: Any) -> requests.Response:
        response = answer(self.status, b"", self.headers, request)
        response.raw = HTTPResponse(self.body, self.headers, preload_content=False)
        return response

    @override
    def close(self) -> None:
        """Nothing to let go of."""


def client_of(status: int, media_type: str, body: bytes | io.BufferedIOBase, **more: str) -> HttpClient:
    """A client of an address where something else answers."""
    session = requests.Session()
    content = io.BytesIO(body) if isinstance(body, bytes) else body
    headers = {name.replace("_", "-"): value for name, value in more.items()}
    session.mount("http://", Stranger(status, media_type, content, headers))
    return HttpClient(ADDRESS, session)


class Endless(io.BufferedIOBase):
    """A body that goes on for ever."""

    def __init__(self) -> None:
        self.given = 0

    @override
    def readable(self) -> bool:
        return True

    @override
    def read(self, size: int | None = -1, /) -> bytes:
        assert size is not None
        assert size > 0, "it would be read to its end"
        self.given += size
        return b" " * size


@pytest.mark.parametrize(
    ("media_type", "body"),
    [
        ("text/html", b"<html>Welcome! Please sign in.</html>"),
        (JSON, b""),
        (JSON, b"{}"),
        (JSON, b'{"status":"sign in first"}'),
        (JSON, b"[" * 60_000),
        (JSON, b"null"),
        (JSON, json.dumps(REPLY | {"farm": "Alder Lane"}).encode()),
        (JSON, json.dumps(REPLY | {"farm": None}).encode()),
        (JSON, json.dumps(REPLY | {"device": TABLET}).encode()),
        (JSON, json.dumps(REPLY | {"secret": 5}).encode()),
        (JSON, json.dumps(REPLY | {"secret": "a\r\nX-More: b"}).encode()),
        (JSON, json.dumps(REPLY | {"secret": ""}).encode()),
        ("text/html", json.dumps(REPLY).encode()),
        (JSON, json.dumps(REPLY | {"more": "x" * 70_000}).encode()),
    ],
)
def test_what_is_no_answer_to_pairing_is_no_rowend_service(media_type: str, body: bytes) -> None:
    with pytest.raises(Unreachable) as result:
        client_of(200, media_type, body).pair(REQUEST)

    assert result.value.reason == NOT_A_SERVICE


def test_a_stranger_cannot_make_a_phone_adopt_a_farm(tmp_path: Path) -> None:
    """A network that answers everything with JSON, and one that gives a farm to another device."""
    service = FarmService(tmp_path / "service")
    phone = FieldPhone.at(service, tmp_path / "phone", seed=1)
    before = phone.phone.notebook.farm

    def says(body: Mapping[str, object], request: requests.PreparedRequest, _: Deliver) -> requests.Response:
        return answer(200, json.dumps(body).encode(), {"Content-Type": JSON}, request)

    phone.fail_with(partial(says, {"ok": True}), partial(says, REPLY | {"farm": OTHER_FARM}))
    for _ in range(2):
        with pytest.raises(Unreachable, match=NOT_A_SERVICE):
            phone.sync_client.pair(ADDRESS, service.code(), "Field phone")

    assert (phone.phone.notebook.farm, phone.sync_client.paired) == (before, False)
    phone.sync_client.pair(ADDRESS, service.code(), "Field phone")
    assert phone.phone.notebook.farm == service.farm


@pytest.mark.parametrize(
    ("status", "media_type", "body", "reason"),
    [
        (200, "text/html", b"<html>", PORTAL),
        (200, JSON, b"{}", PORTAL),
        (204, MEDIA_TYPE, b"", NOT_A_SERVICE),
        (302, "text/html", b"", PORTAL),
        (200, MEDIA_TYPE, pack(Page(OTHER_FARM, {})), NOT_A_SERVICE),
        (403, JSON, b'{"code":"other-farm"}', "The service did not understand this phone (HTTP 403)"),
    ],
)
def test_what_is_no_answer_to_a_sync_is_tried_again(status: int, media_type: str, body: bytes, reason: str) -> None:
    with pytest.raises(Unreachable) as result:
        client_of(status, media_type, body).exchange(Page(FARM, {}), "bearer", 5000)

    assert str(result.value.reason).startswith(reason)


@pytest.mark.parametrize("status", [200, 302, 403, 500])
@pytest.mark.parametrize("media_type", [MEDIA_TYPE, PROBLEM, "text/html"])
def test_an_answer_without_end_is_not_read_to_its_end(status: int, media_type: str) -> None:
    body = Endless()

    with pytest.raises(Unreachable):
        client_of(status, media_type, body).exchange(Page(FARM, {}), "bearer", 5000)

    assert body.given <= MAX_BODY_BYTES + 1


def test_an_answer_that_is_packed_once_more_is_no_rowend_service() -> None:
    """Unpacking it would have no limit."""
    with pytest.raises(Unreachable, match=NOT_A_SERVICE):
        client_of(200, JSON, json.dumps(REPLY).encode(), Content_Encoding="gzip").pair(REQUEST)


# ---------------------------------------------------------------------- anything at all

VALUES = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(), st.text(max_size=6), st.sampled_from([FARM, PHONE, "fork"])),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=6), inner, max_size=3),
    max_leaves=6,
)
NAMES = st.sampled_from(["code", "farm", "device", "secret", "holds", "runs", "refused", "version"])
HEADS = st.dictionaries(NAMES, VALUES).map(lambda found: {"version": VERSION, "farm": FARM} | found)
BODIES = st.one_of(
    st.binary(max_size=60),
    st.dictionaries(NAMES, VALUES).map(lambda found: json.dumps(found).encode()),
    HEADS.map(lambda found: json.dumps(found).encode()),
    st.just(pack(Page(FARM, {PHONE: (1, "0" * 64)}))),
)
TYPES = st.sampled_from([MEDIA_TYPE, JSON, PROBLEM, "text/html", "", ";", "application/json; charset=x"])
STATUSES = st.sampled_from([200, 201, 204, 206, 301, 302, 304, 400, 401, 403, 404, 413, 422, 429, 500, 503, 599])


@settings(max_examples=max(300, settings().max_examples))
@given(STATUSES, TYPES, BODIES)
def test_any_answer_ends_in_a_named_error_or_in_what_was_asked_for(status: int, media_type: str, body: bytes) -> None:
    try:
        reply = client_of(status, media_type, body).pair(REQUEST)
    except RowendError:
        pass
    else:
        assert reply.device == PHONE
    try:
        page = client_of(status, media_type, body).exchange(Page(FARM, {}), "bearer", 5000)
    except (BadBody, RowendError):
        pass
    else:
        assert page.farm == FARM


# ---------------------------------------------------------------------- over a real connection


@contextmanager
def dripping(start: bytes) -> Iterator[str]:
    """An address where a request is answered with this, and then with one letter after the other."""
    with socket.create_server(("127.0.0.1", 0)) as listening:

        def serve() -> None:
            connection, _ = listening.accept()
            with connection:
                try:
                    connection.sendall(start)
                    while True:
                        connection.sendall(b"x")
                except OSError:
                    return  # the phone has hung up

        thread = threading.Thread(target=serve)
        thread.start()
        yield f"http://127.0.0.1:{listening.getsockname()[1]}"
        thread.join()


@pytest.mark.parametrize(
    "start", [b"HTTP/1.1 200 ", b"HTTP/1.1 200 OK\r\nX-More: ", b"HTTP/1.1 200 OK\r\nContent-Length: 4000000\r\n\r\n"]
)
def test_an_answer_that_drips_ends(start: bytes) -> None:
    """Each byte comes in time, and all of them never."""
    clock: Callable[[], float] = partial(next, itertools.count(0.0, 40.0))
    with dripping(start) as address, requests.Session() as session:
        session.mount("http://", TimedAdapter(clock))
        with pytest.raises(ResponseTooLarge, match="did not answer in time"):
            HttpClient(address, session).exchange(Page(FARM, {}), "bearer", 5000)
