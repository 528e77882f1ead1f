"""POST /v1/pair."""

from typing import Annotated

from fastapi import APIRouter, Depends, Request
from pydantic import Base64UrlBytes, BaseModel, ConfigDict, Field
from sqlalchemy import Engine

from server.api.examples import EXAMPLES, example_answer
from server.auth.dependencies import EngineOf, ProvidersOf, credentials_of
from server.auth.rate_limit import RateLimiter, client_key
from server.farms.pairing import PairingResult, Phone, pair_as_successor, pair_by_code
from server.runtime.providers import Providers
from shared_models.errors import ExpiredCode, WrongSecret
from shared_models.records.field_types import Id, Name

router = APIRouter(tags=["pairing"])


class PairRequest(BaseModel):
    """A phone that wants to belong to a farm. Without a code it must show the secret of the device it was before."""

    model_config = ConfigDict(json_schema_extra={"example": EXAMPLES["pair_request"]})

    code: Annotated[str, Field(max_length=40)] | None = None
    device: Id
    name: Name
    farm: Id | None = None
    #: public key of the device: P-256, uncompressed point
    key: Annotated[Base64UrlBytes, Field(max_length=128)]
    #: the device's signature of what it asks for (docs/sync.md)
    proof: Annotated[Base64UrlBytes, Field(max_length=128)]


class PairAnswer(BaseModel):
    """The phone's farm and secret. Name and zone are missing when the service learns them from this phone."""

    farm: Id
    farm_name: str | None
    zone: str | None
    device: Id
    secret: str


@router.post("/v1/pair", responses=example_answer("pair_answer"))
def pair(
    wanted: PairRequest,
    request: Request,
    engine: EngineOf,
    providers: ProvidersOf,
    credentials: Annotated[str | None, Depends(credentials_of)],
) -> PairAnswer:
    """Pair a phone by a one-time code, or as the successor of a device whose credentials come with the request."""
    phone = Phone(wanted.device, wanted.name, wanted.farm, wanted.key, wanted.proof)
    if wanted.code is not None:
        paired = _by_code(wanted.code, phone, request, engine, providers)
    elif credentials is not None:
        paired = pair_as_successor(engine, credentials, phone, providers)
    else:
        raise WrongSecret
    return PairAnswer(**paired._asdict())


def _by_code(code: str, phone: Phone, request: Request, engine: Engine, providers: Providers) -> PairingResult:
    limiter: RateLimiter = request.app.state.rate_limiter
    key = client_key(request.client.host if request.client else "")
    with limiter.attempt((key,), providers.now(), ExpiredCode):
        return pair_by_code(engine, code, phone, providers)
