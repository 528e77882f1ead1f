"""Every error as an HTTP response."""

import re
from collections.abc import Iterator

import httpx2
import pytest

from server.web.status import status_of
from shared_models import errors
from shared_models.errors import BadEntry, RowendError
from tests.server.support.service import Service

EXAMPLES = {
    RowendError("Something."): 500,
    errors.BadQuantity("length", -3, "positive"): 422,
    BadEntry("bed", {"rows": "there must be one"}): 422,
    errors.WrongMoment("No row is open.", "Start one."): 409,
    errors.UnknownRecord("bed", "North 9"): 404,
    errors.LineRefused("a phone", 3, "it is no line"): 500,
    errors.Fork("a phone", 3): 500,
    errors.StampAhead("a phone", 3): 500,
    errors.NotSigned("a phone", 3): 500,
    errors.RemovedPhone("a phone", 3): 500,
    errors.BadBody("it was cut"): 400,
    errors.TooLarge(1000): 413,
    errors.Refused(): 403,
    errors.WrongSecret(): 401,
    errors.NotSignedIn(): 401,
    errors.WrongPassword(): 401,
    errors.ExpiredCode(): 403,
    errors.BadLink("it has no code"): 500,
    errors.CertificateChanged(): 403,
    errors.ExpiredLink(): 403,
    errors.TooManyTries(30): 429,
    errors.OverLimit(60): 429,
    errors.OtherFarm(): 403,
    errors.NotAllowed(): 403,
    errors.RoleNeeded("owner"): 403,
    errors.StaleForm(): 403,
    errors.Unreachable("No network."): 500,
    errors.StorageError("the storage is full"): 503,
    errors.UsageError("No farm.", "Make one."): 500,
}


def every_class(base: type[RowendError]) -> Iterator[type[RowendError]]:
    yield base
    for kind in base.__subclasses__():
        if kind.__module__ == errors.__name__:
            yield from every_class(kind)


def answer_of(service: Service, error: Exception) -> httpx2.Response:
    """The answer of a route that fails with this error."""

    def fail() -> None:
        raise error

    service.app.get("/v1/fail")(fail)
    return service.client.get("/v1/fail")


def test_every_class_of_error_is_in_the_examples() -> None:
    assert {type(error) for error in EXAMPLES} == set(every_class(RowendError))


@pytest.mark.parametrize("error", EXAMPLES, ids=lambda error: type(error).__name__)
def test_an_error_is_told_with_its_status_its_word_and_its_sentence(service: Service, error: RowendError) -> None:
    answer = answer_of(service, error)

    body = answer.json()
    assert answer.status_code == EXAMPLES[error] == status_of(error)
    assert answer.headers["content-type"] == "application/problem+json"
    assert body["status"] == answer.status_code
    assert body["type"] == f"urn:rowend:{error.code}"
    assert body["code"] == error.code
    assert body["detail"] == str(error)
    assert body["title"].lower() == error.code.replace("-", " ")


def test_a_bad_entry_names_its_fields(service: Service) -> None:
    problems = {"rows": "there must be one"}

    assert answer_of(service, BadEntry("bed", problems)).json()["problems"] == problems


def test_a_mistake_of_the_service_gives_nothing_away(service: Service) -> None:
    answer = answer_of(service, ValueError("the secret is 1234"))

    assert (answer.status_code, answer.json()["code"]) == (500, "mistake")
    assert "1234" not in answer.text
    assert "Try again" in answer.json()["detail"]


@pytest.mark.parametrize(
    ("method", "path", "status", "code"),
    [
        ("GET", "/nowhere", 404, "not-found"),
        ("GET", "/v1/sync", 405, "method-not-allowed"),
        ("DELETE", "/v1/pair", 405, "method-not-allowed"),
    ],
)
def test_a_wrong_address_is_a_problem_too(service: Service, method: str, path: str, status: int, code: str) -> None:
    answer = service.client.request(method, path)

    assert (answer.status_code, answer.json()["code"]) == (status, code)
    assert path in answer.json()["detail"]


@pytest.mark.parametrize("body", [b"", b"{", b"\xff\xfe", b"[1]", b"null", b'"x"', b'{"a":' * 3_000])
def test_a_body_that_is_no_request_is_a_problem(service: Service, body: bytes) -> None:
    answer = service.client.post("/v1/pair", content=body, headers={"Content-Type": "application/json"})

    assert answer.status_code in {400, 422}
    assert answer.json()["code"] == "bad-request"
    assert answer.json()["detail"].endswith(".")


def test_a_page_for_people_holds_no_markup_of_strangers(service: Service) -> None:
    answer = service.client.get("/<script>alert(1)</script>", headers={"Accept": "text/html"})

    assert answer.status_code == 404
    assert "<script>" not in answer.text
    assert re.search(r"&lt;script&gt;|%3Cscript%3E", answer.text)


@pytest.mark.parametrize(
    ("path", "kind", "reason"),
    [
        ("/sign-in", "application/x-www-form-urlencoded; charset=utf-7", "se leen solo en UTF-8 (POST /sign-in)."),
        ("/pace?by=x", "", "debe ser uno de: &#39;row&#39;, "),
        ("/log?day=xx", "", "(day: debe ser una fecha, como 2026-05-14)."),
    ],
)
def test_a_reason_is_in_the_readers_language(service: Service, farm: str, path: str, kind: str, reason: str) -> None:
    service.open_office(farm)
    headers = {"accept": "text/html", "accept-language": "es", "content-type": kind}

    answer = service.client.request("POST" if kind else "GET", path, headers=headers)

    assert 400 <= answer.status_code < 500
    assert reason in answer.text
    assert " or " not in answer.text
