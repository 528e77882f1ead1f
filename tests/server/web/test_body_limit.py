"""No body is read further than the limit."""

import asyncio
from collections.abc import Iterator

import pytest
from fastapi import FastAPI, Request
from starlette.exceptions import HTTPException
from starlette.testclient import TestClient
from starlette.types import Message, Receive, Scope, Send

from server.error_handlers import add_error_handlers
from server.web.body_limit import BodyLimit
from shared_models.errors import TooLarge

LIMIT = 1000


@pytest.fixture
def client() -> Iterator[TestClient]:
    app = FastAPI()
    app.add_middleware(BodyLimit, max_bytes=LIMIT)
    add_error_handlers(app)

    @app.post("/count")
    async def count(request: Request) -> int:
        return len(await request.body())

    @app.post("/json")
    def from_json(numbers: list[int]) -> int:
        return len(numbers)

    with TestClient(app) as client:
        yield client


@pytest.mark.parametrize("size", [0, 1, LIMIT])
def test_a_body_within_the_limit_passes_whole(client: TestClient, size: int) -> None:
    assert client.post("/count", content=b"x" * size).json() == size


@pytest.mark.parametrize("path", ["/count", "/json"])
def test_more_than_the_limit_is_told(client: TestClient, path: str) -> None:
    answer = client.post(path, content=b"1" * (LIMIT + 1), headers={"Content-Type": "application/json"})

    assert (answer.status_code, answer.json()["code"]) == (413, "too-much")
    assert str(LIMIT) in answer.json()["detail"]


@pytest.mark.parametrize(("pieces", "heard"), [(3, 3), (1000, 9)])
def test_what_is_too_much_is_thrown_away_for_a_while_and_then_given_up(pieces: int, heard: int) -> None:
    """A sender gets to finish a body that is a little too large; one without end is not listened to for ever."""
    received = 0

    async def reading(_scope: Scope, receive: Receive, _send: Send) -> None:
        while (await receive())["more_body"]:
            pass

    async def receive() -> Message:
        nonlocal received
        received += 1
        return {"type": "http.request", "body": b"x" * (LIMIT // 2), "more_body": received < pieces}

    async def send(_message: Message) -> None:
        """Nothing is answered here."""

    with pytest.raises(HTTPException) as refused:
        asyncio.run(BodyLimit(reading, LIMIT)({"type": "http"}, receive, send))

    assert refused.value.status_code == 413
    assert isinstance(refused.value.__cause__, TooLarge)
    assert received == heard
