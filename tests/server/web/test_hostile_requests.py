"""Every route is sent nonsense: no answer is a mistake of the service, and each refusal says so in a route one can use.

`--hypothesis-profile=hunt` sends twenty times as much.
"""

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from itertools import product
from typing import Any
from urllib.parse import quote

import httpx2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from server.auth.dependencies import FORM_TOKEN, OFFICE_COOKIE
from server.auth.rate_limit import RateLimiter
from server.runtime.settings import Settings
from server.web.security_headers import SECURITY_HEADERS
from shared_models.core.vocabulary import Role
from shared_models.records.models import KINDS
from tests.server.support.office import EVENING, FullDay
from tests.server.support.routes import RouteCase, every_route
from tests.server.support.service import FakeProviders, Service, running_service
from tests.shared_models.reports.support.farmbook import FarmBook, HandDay

FEW = settings(max_examples=settings().max_examples // 8)
NOBODY, PHONE = "nobody", "phone"
#: stands for the id of something that the farm has; which one it is, is known when the service runs
KNOWN = "a known "
ODD = [
    *("", " ", "\t", "\0", "a\0b", "\r\nX-More: 1", "\ud800", "\u202e", "\ufffe", "\U0010ffff", "é", "ﬀ", "x" * 41),
    *("x" * 5000, "<script>alert(1)</script>", "'\"--", "../..", "//elsewhere.example", "\\\\else.example", "{0}%s"),
    *("-1", "0", "1", "2.5", "9" * 30, "1e400", "NaN", "Infinity", "true", "null", "[]", "{}", "[" * 5000, "UTC"),
    *("0001-01-01", "9999-12-31", "2026-05-04", "2026-02-30", "-9999999999", "9999-12-31T23:59:59-14:00", "24:00"),
    *("bed", "person", "farm", "row_pass", "beds", "sowings", "owner", "hour", "00000000-0000-7000-8000-0000000000aa"),
    *(KNOWN + what for what in ("bed", "sowing", "planting", "person", "row", "farm", "device")),
]  # fmt: skip
#: what a parameter of any type stumbles over; sent to each of them
HARD = [
    *("9999-12-31", "0001-01-01", "1899-12-31", "2200-12-31", "10000-01-01", "9999-12-31T23:59:59-14:00"),
    *("-1", "9" * 30, "a\0b", "\ud800", "x" * 5000, "00000000-0000-7000-8000-0000000000aa"),
]
VALUES = st.one_of(st.sampled_from(ODD), st.text(max_size=12))
#: how a form can be sent; some say that they are written in letters that make no text of good bytes
FORMS = [
    "application/x-www-form-urlencoded",
    *(
        f"multipart/form-data; boundary=B{more}"
        for more in ("", "; charset=punycode", "; charset=utf-7", "; charset=x")
    ),
]
BODIES = ["application/json", "application/vnd.rowend.lines", "text/plain; charset=utf-16", "multipart/form-data", ""]
NO_BODIES = [b"", b"\xff\0", b"\x1f\x8b\x08", b"[" * 9999 + b"]" * 9999, b'{"code":' + b"9" * 5000]
JSON_NAMES = st.sampled_from(["code", "device", "name", "farm"])
ODD_HEADERS = [
    *(("origin", value) for value in ("null", "http://[", "https://elsewhere.example")),
    *(("sec-fetch-site", value) for value in ("cross-site", "none", "x")),
    *(("accept-language", value) for value in ("es", "en;q=nan", "es;q=1e400,fr;q=x", ",;=")),
    *(("host", value) for value in ("", "[", "x:99999", "elsewhere.example", "a@b")),
    *(("authorization", value) for value in ("Bearer", "Bearer x", "Bearer \0.\0", "Basic eDp5", "\xff")),
    *(("cookie", value) for value in (f"{OFFICE_COOKIE}=x.y", "rowend_language=\xff", "rowend_pairing=\0", "=;=")),
    ("x-http-method-override", "DELETE"),
    ("content-encoding", "gzip"),
]  # fmt: skip
JSON = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(), st.floats(), VALUES),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(JSON_NAMES, inner),
    max_leaves=8,
)


ROUTES = list(every_route())
FIELDS = sorted({name for model in KINDS.values() for name in model.model_fields} | {"text", "file", "save"})


@dataclass
class Client:
    """Somebody who sends nonsense to a service on which a farm's full day was logged."""

    service: Service
    farm: str
    known: dict[str, str]
    bearer: str
    cookies: dict[str, str] = field(default_factory=dict)

    def credentials(self, who: str, *, lasting: bool) -> dict[str, str]:
        if who == NOBODY:
            return {}
        if who == PHONE:
            return {"authorization": f"Bearer {self.bearer}"}
        if not lasting or who not in self.cookies:
            self.cookies[who] = self.service.office_cookie(self.farm, Role(who))
        return {"cookie": f"{OFFICE_COOKIE}={self.cookies[who]}"}

    def token(self, who: str) -> str:
        signer = self.service.app.state.signer
        session = signer.session(self.cookies.get(who, ""))
        return signer.form_token(session) if session else "x"

    def meant(self, value: str) -> str:
        return self.known.get(value.removeprefix(KNOWN), value)

    def quoted(self, value: str) -> str:
        return quote(self.meant(value).encode(errors="surrogatepass"), safe="")


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Client]:
    fakes = FakeProviders(time=EVENING)
    database = Settings.in_directory(tmp_path_factory.mktemp("nonsense")).database_url
    with running_service(database, fakes) as service:
        service.client._transport.raise_server_exceptions = True  # type: ignore[attr-defined]  # to see what broke
        unlimited = RateLimiter(max_failures=10**9)
        service.app.state.sign_in = replace(service.app.state.sign_in, rate_limiter=unlimited)
        service.app.state.rate_limiter = unlimited
        farm = service.make_farm()
        day = FullDay(HandDay(FarmBook(service.engine, id=farm)))
        phone = service.phone(farm)
        hand = day.hand
        known = {"bed": hand.north, "sowing": day.sowing, "planting": hand.onions, "person": hand.ana, "row": day.odd}
        yield Client(service, farm, known | {"farm": farm, "device": phone.device}, phone.bearer)


@st.composite
def bodies(draw: st.DrawFn, route: RouteCase) -> tuple[str, Any]:
    """The kind of a body, and what is in it: pairs of a form, or bytes."""
    kind = draw(st.sampled_from(FORMS + BODIES))
    if kind in FORMS:
        return kind, draw(st.lists(st.tuples(st.sampled_from([*route.fields, *FIELDS]), VALUES), max_size=6))
    if kind == "application/json":
        return kind, json.dumps(draw(JSON)).encode()
    return kind, draw(st.sampled_from(NO_BODIES))


def form_of(kind: str, pairs: list[tuple[str, str]], client: Client) -> bytes:
    if not kind.startswith("multipart"):
        return "&".join(f"{name}={client.quoted(value)}" for name, value in pairs).encode()
    parts = ""
    for name, value in pairs:
        file = '; filename="x.csv"' if name == "file" else ""
        parts += f'--B\r\nContent-Disposition: form-data; name="{name}"{file}\r\n\r\n{client.meant(value)}\r\n'
    return (parts + "--B--\r\n").encode(errors="surrogatepass")


@pytest.mark.parametrize("route", ROUTES, ids=lambda route: f"{route.method} {route.path}")
@FEW
@given(data=st.data())
def test_nonsense_is_answered_and_never_a_mistake(client: Client, route: RouteCase, data: st.DataObject) -> None:
    """No answer is a mistake of the service, whoever asks; no refusal is without a sentence; none leads elsewhere."""
    who = data.draw(st.sampled_from([NOBODY, PHONE, *Role]), "who")
    asked = data.draw(st.lists(st.tuples(st.sampled_from(route.queries or ("x",)), VALUES), max_size=3), "asked")
    path = re.sub(r"\{\w+\}", lambda _: client.quoted(data.draw(VALUES, "part of the path")), route.path)
    address = path + "?" * bool(asked) + "&".join(f"{name}={client.quoted(value)}" for name, value in asked)
    headers = client.credentials(who, lasting=route.path != "/sign-out")
    headers["accept"] = data.draw(st.sampled_from(["text/html", "*/*"]), "accept")
    headers |= dict(data.draw(st.lists(st.sampled_from(ODD_HEADERS), max_size=1), "odd header"))
    body = b""
    if route.method != "GET":
        headers["content-type"], body = data.draw(bodies(route), "body")
        if not isinstance(body, bytes):
            body = form_of(headers["content-type"], [(FORM_TOKEN, client.token(who)), *body], client)

    client.service.client.cookies.clear()
    raw_headers = [(name.encode(), value.encode("latin-1")) for name, value in headers.items()]
    answer = client.service.client.request(
        route.method, address, content=body, headers=raw_headers, follow_redirects=False
    )

    assert answer.status_code < 500, answer.text
    assert answer.headers.keys() >= {name.lower() for name in SECURITY_HEADERS}
    if answer.status_code >= 400:
        assert says_what_to_do(answer), answer.text
    if answer.is_redirect:
        assert re.match(r"/(?![/\\])", answer.headers["location"])


@pytest.mark.parametrize("route", ROUTES, ids=lambda route: f"{route.method} {route.path}")
def test_no_value_of_any_parameter_of_an_address_is_a_mistake(client: Client, route: RouteCase) -> None:
    """Also the first and the last day of the calendar, which no zone can turn into a moment."""
    headers = client.credentials(Role.OWNER.value, lasting=True) | {"accept": "text/html"}
    form = None if route.method == "GET" else {FORM_TOKEN: client.token(Role.OWNER.value)}
    for name, value in product((*route.parts, *route.queries), HARD):
        path = re.sub(r"\{(\w+)\}", lambda part: _part(client, part[1], name, value), route.path)  # noqa: B023 - used at once
        query = f"?{name}={client.quoted(value)}" if name in route.queries else ""
        for sent in (headers, {}) if value == HARD[0] else (headers,):
            client.service.client.cookies.clear()
            answer = client.service.client.request(
                route.method, path + query, data=form, headers=sent, follow_redirects=False
            )

            assert answer.status_code < 500, (path, query)
            assert answer.status_code < 400 or says_what_to_do(answer), answer.text


def _part(client: Client, part: str, name: str, value: str) -> str:
    """A part of a path: this value if it has this name, else one that there is."""
    return client.quoted(value if part == name else {"kind": "bed", "record": KNOWN + "bed"}.get(part, KNOWN + part))


def says_what_to_do(answer: httpx2.Response) -> bool:
    if answer.headers["content-type"] == "application/problem+json":
        body = answer.json()
        return bool(body["status"] == answer.status_code and body["code"] and body["detail"].endswith("."))
    return answer.headers["content-type"].startswith("text/html") and "</html>" in answer.text
