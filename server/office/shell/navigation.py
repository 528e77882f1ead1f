"""The pages that the bar leads to, and for whom each is. Who makes a page adds its line."""

from __future__ import annotations

from typing import NamedTuple

from shared_models.core.vocabulary import Role


class Place(NamedTuple):
    """A page: where it is, what it is called, and the role that may see it."""

    path: str
    name: str
    role: Role = Role.CREW


PLACES = (
    Place("/", "Day"),
    Place("/pace", "Pace"),
    Place("/stand", "Stand"),
    Place("/misses", "Misses"),
    Place("/soil", "Soil"),
    Place("/season", "Season"),
    Place("/plan", "Plan"),
    Place("/log", "Log"),
    Place("/setup", "Set-up", Role.GROWER),
    Place("/phones", "Phones", Role.OWNER),
    Place("/methods", "Methods"),
    Place("/access", "Sign-ins", Role.OWNER),
    Place("/account", "Your account"),
)
"""In the order of the bar."""


def places_for(role: Role) -> tuple[Place, ...]:
    """The pages that somebody of this role may see."""
    return tuple(place for place in PLACES if role.covers(place.role))
