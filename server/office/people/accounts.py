"""View of the page of the accounts."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

from sqlmodel import col, select

from server.auth.accounts import list_accounts
from server.auth.one_time_links import open_invitations
from server.office.shell.context import OfficeContext
from shared_models.core.vocabulary import Role
from shared_models.i18n.labels import ROLES
from shared_models.records.tables import Person

MAY_DO = {
    Role.CREW: "logs on a phone and reads the pages; does not see wages or prices",
    Role.GROWER: "also plans and corrects entries",
    Role.OWNER: "also manages people and phones, and sees wages and prices",
}


class AccountLine(NamedTuple):
    """An account."""

    id: str
    name: str
    sign_in: str
    role: Role
    person: str | None
    last_seen: str
    is_you: bool


class InvitationLine(NamedTuple):
    """An unused invitation."""

    id: str
    role: Role
    until: str


@dataclass(frozen=True, slots=True)
class AccessPage:
    """The page. `persons` are the people of the farm's log that an account can be linked to."""

    people: tuple[AccountLine, ...]
    waiting: tuple[InvitationLine, ...]
    persons: tuple[tuple[str, str], ...]
    roles: dict[Role, str]
    may_do: dict[Role, str]


def access_page(context: OfficeContext) -> AccessPage:
    """Build the page of the accounts."""
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


def _lines(context: OfficeContext) -> Iterable[AccountLine]:
    for account, seen in list_accounts(context.session.connection(), context.farm.id):
        t = context.localizer.t
        at = t("last signed in {at}", at=context.localizer.date_time(seen)) if seen else t("not signed in recently")
        is_you = account.id == context.office.account.id
        yield AccountLine(account.id, account.name, account.sign_in, account.role, account.person, at, is_you)


def _waiting(context: OfficeContext) -> Iterable[InvitationLine]:
    for link in open_invitations(context.session.connection(), context.farm.id, context.now):
        if link.role is not None:
            until = context.localizer.t("works until {at}", at=context.localizer.date_time(link.expires_at))
            yield InvitationLine(link.id, link.role, until)
