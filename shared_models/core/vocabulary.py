"""The trade's controlled words, as they are stored in records. Screens translate them; the log keeps these."""

from __future__ import annotations

from enum import StrEnum


class Texture(StrEnum):
    """Soil texture in the four classes of the feel test (USDA-NRCS, Program Aid 1619, 1998)."""

    COARSE = "coarse"
    MODERATELY_COARSE = "moderately_coarse"
    MEDIUM = "medium"
    FINE = "fine"


class Feel(StrEnum):
    """What the feel test found, driest first: the five bands of available water of Program Aid 1619."""

    DRY = "dry"
    SLIGHTLY_MOIST = "slightly_moist"
    MOIST = "moist"
    WET = "wet"
    FIELD_CAPACITY = "field_capacity"


class Amount(StrEnum):
    """How many stones or clods lie in the planting zone, judged by eye."""

    NONE = "none"
    FEW = "few"
    SOME = "some"
    MANY = "many"


class StopReason(StrEnum):
    """Why planting stopped within a row."""

    TRAY_CHANGE = "tray_change"
    CHAIN_BROKE = "chain_broke"
    CHAIN_JAMMED = "chain_jammed"
    CLOGGED = "clogged_with_residue"
    DEPTH_CHANGE = "depth_change"
    REST = "rest"
    OTHER = "other"


class Readiness(StrEnum):
    """Verdict on a bed or a tray."""

    READY = "ready"
    WAIT = "wait"
    NOT_FIT = "not_fit"


class Role(StrEnum):
    """What a person may do: crew log, growers plan and correct, owners answer for people, devices and money."""

    CREW = "crew"
    GROWER = "grower"
    OWNER = "owner"

    def covers(self, other: Role) -> bool:
        """Whether this role may do all that `other` may; each role includes the one before it."""
        ranks = list(Role)
        return ranks.index(self) >= ranks.index(other)


class LengthUnits(StrEnum):
    """How lengths are shown to people; they are always stored in millimeters."""

    FEET = "feet"
    METRES = "metres"
