"""GET /healthz."""

from fastapi import APIRouter
from pydantic import BaseModel
from sqlalchemy import text

from server.api.examples import example_answer
from server.auth.dependencies import EngineOf
from shared_models.log.store import reading

router = APIRouter(tags=["health"])


class Health(BaseModel):
    """The service works; anything else is a problem."""

    status: str


@router.get("/healthz", responses=example_answer("health"))
def health(engine: EngineOf) -> Health:
    """Answer when the database can be read."""
    with reading(engine) as connection:
        connection.execute(text("SELECT 1"))
    return Health(status="ok")
