"""From revisions to a record: any order of arrival, any repeats, the same record."""

from collections.abc import Iterable, Mapping
from typing import Any

from shared_models.core.revision import Revision

Units = Mapping[str, tuple[str, ...]]
"""Fields that only make sense together: each such field -> all fields of its unit. Other fields stand alone."""


def fold(revisions: Iterable[Revision], units: Units) -> dict[str, Any]:
    """Fold all `revisions` of one record into its fields: the last writer of a unit wins.

    A revision that sets one field of a unit sets the whole unit; fields it leaves out become None.
    """
    fields: dict[str, Any] = {}
    for revision in sorted(revisions, key=lambda r: r.order):
        changed = revision.set
        for name in changed:
            for member in units.get(name, (name,)):
                fields[member] = changed.get(member)
    return fields


def whole(changed: Mapping[str, Any], fields: Mapping[str, Any], units: Units) -> dict[str, Any]:
    """Complete `changed` so that units stay whole, with what the other fields of each unit hold."""
    members = (member for name in changed for member in units.get(name, (name,)))
    return {member: changed[member] if member in changed else fields.get(member) for member in members}
