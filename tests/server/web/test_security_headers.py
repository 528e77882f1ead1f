"""What every answer tells browsers."""

import pytest

from server.web.security_headers import SECURITY_HEADERS
from tests.server.support.service import BROWSER, Service


@pytest.mark.parametrize("path", ["/v1/beds", "/openapi.json", "/healthz", "/nowhere", "/sign-in", "/pages/office.css"])
@pytest.mark.parametrize("headers", [BROWSER, {}])
def test_every_answer_is_guarded(service: Service, path: str, headers: dict[str, str]) -> None:
    answer = service.client.get(path, headers=headers)

    assert {name: answer.headers[name] for name in SECURITY_HEADERS}.keys() == SECURITY_HEADERS.keys()
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert "frame-ancestors 'none'" in answer.headers["content-security-policy"]


def test_what_a_route_tells_otherwise_stands(service: Service) -> None:
    """A page may load its style, and its style may be kept for good."""
    assert "style-src 'self'" in service.client.get("/sign-in").headers["content-security-policy"]
    assert "immutable" in service.client.get("/pages/office.css").headers["cache-control"]


@pytest.mark.parametrize("headers", [BROWSER, {}])
def test_a_mistake_of_the_service_is_guarded_too(service: Service, headers: dict[str, str]) -> None:
    """It is answered outside of everything else; its page keeps its style."""

    def fail() -> None:
        raise ValueError

    service.app.get("/fail")(fail)
    answer = service.client.get("/fail", headers=headers)

    assert answer.status_code == 500
    assert {name for name in SECURITY_HEADERS if name not in answer.headers} == set()
    assert ("style-src 'self'" in answer.headers["content-security-policy"]) is bool(headers)


@pytest.mark.parametrize("path", ["/setup/", "/log/", "/v1/beds/"])
def test_no_answer_sends_anybody_to_the_host_that_the_request_names(service: Service, path: str) -> None:
    answer = service.client.get(path, headers={"Host": "elsewhere.example"}, follow_redirects=False)

    assert "elsewhere.example" not in answer.headers.get("location", "")
    assert answer.status_code in {401, 404}
