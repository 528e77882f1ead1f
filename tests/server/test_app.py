"""The application as a whole."""

from typing import Any

import jsonschema
import pytest
from pydantic import TypeAdapter

from server.api.examples import EXAMPLES
from server.api.health import Health
from server.api.pairing import PairAnswer, PairRequest
from server.auth.dependencies import OFFICE_COOKIE
from server.render.json.misses import MissesOut
from server.render.json.plan import PlanOut
from server.render.json.rates import RatesOut
from server.render.json.stands_and_soil import BedOut, PlantingOut, SoilOut, StandsOut
from shared_models.sync.wire import MEDIA_TYPE
from tests.server.support.service import Service


def test_every_route_for_programs_is_documented(service: Service) -> None:
    """The OpenAPI page knows each /v1 route, with a sentence for it; the pages for people are not in it."""
    paths = service.client.get("/openapi.json").json()["paths"]

    assert {"/v1/pair", "/v1/sync", "/v1/rates", "/v1/stands", "/v1/soil", "/healthz"} <= set(paths)
    assert not {"/", "/enter/{key}", "/sign-in", "/access"} & set(paths)
    for routes in paths.values():
        for route in routes.values():
            assert route["description"]
    assert MEDIA_TYPE in paths["/v1/sync"]["post"]["requestBody"]["content"]


def test_every_route_for_programs_shows_an_example(service: Service) -> None:
    """Of its answer, and of what it is sent."""
    schema = service.client.get("/openapi.json").json()
    schemas = schema["components"]["schemas"]

    def shows_one(node: Any) -> bool:
        if isinstance(node, list):
            return any(map(shows_one, node))
        if not isinstance(node, dict):
            return False
        named = str(node.get("$ref", "")).rpartition("/")[2]
        return "example" in node or (named in schemas and shows_one(schemas[named])) or shows_one([*node.values()])

    lacking = [
        (path, part)
        for path, routes in schema["paths"].items()
        for route in routes.values()
        for part, node in (("answer", route["responses"]["200"]), ("request", route.get("requestBody")))
        if node is not None and not shows_one(node)
    ]
    assert lacking == []


@pytest.mark.parametrize(
    ("model", "example"),
    [
        (RatesOut, EXAMPLES["rates"]),
        (StandsOut, EXAMPLES["stands"]),
        (SoilOut, EXAMPLES["soil"]),
        (list[BedOut], EXAMPLES["beds"]),
        (list[PlantingOut], EXAMPLES["plantings"]),
        (PairRequest, EXAMPLES["pair_request"]),
        (PairAnswer, EXAMPLES["pair_answer"]),
        (Health, EXAMPLES["health"]),
        (PlanOut, EXAMPLES["plan"]),
        (MissesOut, EXAMPLES["misses"]),
    ],
)
def test_an_example_is_one_of_its_model(model: Any, example: Any) -> None:
    """Held against what OpenAPI says of the same answer: nothing lacks, nothing is of another kind."""
    jsonschema.validate(example, TypeAdapter(model).json_schema(by_alias=False, mode="serialization"))


def test_the_schema_tells_how_to_sign_in(service: Service) -> None:
    """Reports open to a phone's secret or an open office, the sync to a phone's secret only."""
    schema = service.client.get("/openapi.json").json()

    schemes = schema["components"]["securitySchemes"]
    assert (schemes["phone"]["scheme"], schemes["office"]["in"], schemes["office"]["name"]) == (
        "bearer", "cookie", OFFICE_COOKIE)  # fmt: skip
    assert schema["paths"]["/v1/rates"]["get"]["security"] == [{"phone": []}, {"office": []}]
    assert schema["paths"]["/v1/sync"]["post"]["security"] == [{"phone": []}]
    for path, routes in schema["paths"].items():
        for route in routes.values():
            assert "security" in route or path in {"/healthz", "/v1/pair"}, path


def test_nothing_is_fetched_from_elsewhere(service: Service) -> None:
    """A farm without internet has no use for a documentation page that loads its parts from there."""
    assert service.client.get("/docs").status_code == 404
    assert service.client.get("/redoc").status_code == 404


def test_every_farm_question_needs_credentials(service: Service) -> None:
    """No route shows anything of a farm to somebody unknown."""
    paths = service.client.get("/openapi.json").json()["paths"]

    for path, routes in paths.items():
        for method in routes:
            if path not in {"/healthz", "/v1/pair"}:
                assert service.client.request(method, path).status_code == 401, path
    assert service.client.get("/").status_code == 401
