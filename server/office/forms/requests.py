"""What the routes of record forms share: the sent form, and who may change a kind."""

from collections.abc import AsyncIterator
from typing import Annotated

from fastapi import Depends, Request
from starlette.datastructures import FormData

from server.auth.dependencies import Office
from server.office.forms.fields import OWNERS_KINDS, may_change
from shared_models.core.vocabulary import Role
from shared_models.errors import RoleNeeded

NOT_SAVED = "Not saved. Fix the marked fields and save again."


async def typed_in(request: Request) -> AsyncIterator[FormData]:
    """The form that was sent; a file in it is closed when the answer is made."""
    async with request.form() as form:
        yield form


TypedIn = Annotated[FormData, Depends(typed_in)]


def check_role(kind: str, office: Office) -> None:
    """Whether somebody may change records of a kind.

    Raises:
        RoleNeeded: when only an owner may.
    """
    if not may_change(kind, office.role):
        raise RoleNeeded(Role.OWNER if kind in OWNERS_KINDS else Role.GROWER)
