"""The pages of the navigation bar, and the role that each needs."""

from typing import NamedTuple

from shared_models.core.vocabulary import Role


class NavItem(NamedTuple):
    """A page of the navigation bar."""

    path: str
    name: str
    role: Role = Role.CREW


NAVIGATION = (
    NavItem("/", "Day"),
    NavItem("/pace", "Pace"),
    NavItem("/stand", "Stand"),
    NavItem("/misses", "Misses"),
    NavItem("/soil", "Soil"),
    NavItem("/season", "Season"),
    NavItem("/plan", "Plan"),
    NavItem("/log", "Log"),
    NavItem("/setup", "Set-up", Role.GROWER),
    NavItem("/phones", "Phones", Role.OWNER),
    NavItem("/methods", "Methods"),
    NavItem("/access", "Accounts", Role.OWNER),
    NavItem("/account", "Your account"),
)


def navigation_for(role: Role) -> tuple[NavItem, ...]:
    """The pages that this role may see."""
    return tuple(item for item in NAVIGATION if role.covers(item.role))
