"""What the page of the sign-ins shows."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

from sqlmodel import col, select

from server.auth.accounts import accounts_of
from server.auth.one_time_links import open_invitations
from server.office.shell.context import OfficeContext
from shared_models.core.vocabulary import Role
from shared_models.i18n.labels import ROLES
from shared_models.records.tables import Person

MAY_DO = {
    Role.CREW: "logs on a phone and reads the pages; sees no wages and no prices",
    Role.GROWER: "also plans and corrects entries",
    Role.OWNER: "also decides about people and phones, and sees wages and prices",
}


class Line(NamedTuple):
    """Somebody who may sign in."""

    id: str
    name: str
    sign_in: str
    role: Role
    person: str | None
    last_here: str
    is_you: bool


class Waiting(NamedTuple):
    """An invitation that nobody has used yet."""

    id: str
    role: Role
    until: str


@dataclass(frozen=True, slots=True)
class AccessPage:
    """Everything on the page. `persons` are those of the farm's log that an account can be."""

    people: tuple[Line, ...]
    waiting: tuple[Waiting, ...]
    persons: tuple[tuple[str, str], ...]
    roles: dict[Role, str]
    may_do: dict[Role, str]


def access_page(context: OfficeContext) -> AccessPage:
    """Who may sign in to the farm's office."""
    t = context.localizer.t
    people = (
        select(Person).where(Person.farm_id == context.farm.id, ~col(Person.voided)).order_by(Person.name, Person.id)
    )
    return AccessPage(
        tuple(_lines(context)),
        tuple(_waiting(context)),
        tuple((person.id, person.name) for person in context.session.exec(people)),
        {role: t(words) for role, words in ROLES.items()},
        {role: t(words) for role, words in MAY_DO.items()},
    )


def _lines(context: OfficeContext) -> Iterable[Line]:
    for account, seen in accounts_of(context.session.connection(), context.farm.id):
        at = (
            context.localizer.t("last here {at}", at=context.localizer.stamp(seen))
            if seen
            else context.localizer.t("not here lately")
        )
        is_you = account.id == context.office.account.id
        yield Line(account.id, account.name, account.sign_in, account.role, account.person, at, is_you)


def _waiting(context: OfficeContext) -> Iterable[Waiting]:
    for link in open_invitations(context.session.connection(), context.farm.id, context.now):
        if link.role is not None:
            until = context.localizer.t("good until {at}", at=context.localizer.stamp(link.expires_at))
            yield Waiting(link.id, link.role, until)
