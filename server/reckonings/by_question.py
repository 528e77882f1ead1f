"""Every reckoning, by the module of the trade whose question it answers."""

from __future__ import annotations

from collections.abc import Mapping

from server.reckonings import money, people, planting, raising, soil
from server.reckonings.reckoning import Reckoning

RECKONINGS: Mapping[str, tuple[Reckoning, ...]] = {
    **raising.RECKONINGS,
    **soil.RECKONINGS,
    **planting.RECKONINGS,
    **people.RECKONINGS,
    **money.RECKONINGS,
}
