"""POST /v1/sync."""

from typing import Annotated

from fastapi import APIRouter, Query, Request, Response
from fastapi.concurrency import run_in_threadpool
from sqlalchemy import Engine

from server.auth.dependencies import DeviceOf, EngineOf, ProvidersOf
from server.farms.devices import DeviceRow
from server.farms.exchange import exchange
from server.runtime.providers import Providers
from shared_models.sync.wire import MEDIA_TYPE, PAGE_BYTES, pack, unpack

_LEAST_BYTES = 1024
#: unzipped: one line that says what is held and what follows, then the lines of the logs as they are
_PAGE = """{"farm":"0190…","holds":{"0190…":[41,"9f2c…"]},"runs":[{"device":"0190…","after":40,"lines":1,"digest":"…"}]}
{"seq":41,"stamp":"019dbf0b6bd00000","kind":"row_pass","record":"0190…","by":"0190…","set":{"misses":3}}"""
_BODY = {"content": {MEDIA_TYPE: {"schema": {"type": "string", "format": "binary"}, "example": _PAGE}}}

router = APIRouter(tags=["sync"])


class LinesResponse(Response):
    """A packed page."""

    media_type = MEDIA_TYPE


@router.post(
    "/v1/sync",
    response_class=LinesResponse,
    openapi_extra={"requestBody": _BODY | {"required": True}},
    responses={200: _BODY},
)
async def sync(
    request: Request,
    device: DeviceOf,
    engine: EngineOf,
    providers: ProvidersOf,
    page_bytes: Annotated[int, Query(ge=_LEAST_BYTES, le=PAGE_BYTES)] = PAGE_BYTES,
) -> LinesResponse:
    """Send what you hold and lines the service lacks; get what it holds and lines you lack.

    `page_bytes` asks for smaller pages, for weak connections.
    """
    body = await request.body()
    return LinesResponse(await run_in_threadpool(_answer, body, device, engine, providers, page_bytes))


def _answer(body: bytes, device: DeviceRow, engine: Engine, providers: Providers, page_bytes: int) -> bytes:
    return pack(exchange(engine, device, unpack(body), providers, page_bytes))
