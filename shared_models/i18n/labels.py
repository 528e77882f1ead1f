"""The label of each stored word, once for both programs: an English text that is a key of the catalogs."""

from collections.abc import Mapping
from enum import StrEnum
from typing import Any

from shared_models.core.vocabulary import Amount, Feel, LengthUnits, Readiness, Role, StopReason, Texture

STOPS: Mapping[Any, str] = {
    StopReason.TRAY_CHANGE: "Tray change",
    StopReason.CHAIN_BROKE: "Chain broke",
    StopReason.CHAIN_JAMMED: "Chain jammed",
    StopReason.CLOGGED: "Clogged with residue",
    StopReason.DEPTH_CHANGE: "Depth change",
    StopReason.REST: "Rest",
    StopReason.OTHER: "Other",
}
FEELS: Mapping[Any, str] = {
    Feel.DRY: "Dry",
    Feel.SLIGHTLY_MOIST: "Slightly moist",
    Feel.MOIST: "Moist",
    Feel.WET: "Wet",
    Feel.FIELD_CAPACITY: "As wet as it can hold",
}
TEXTURES: Mapping[Any, str] = {
    Texture.COARSE: "Coarse: sand",
    Texture.MODERATELY_COARSE: "Moderately coarse: sandy loam",
    Texture.MEDIUM: "Medium: loam, silt loam",
    Texture.FINE: "Fine: clay, clay loam",
}
AMOUNTS: Mapping[Any, str] = {Amount.NONE: "None", Amount.FEW: "Few", Amount.SOME: "Some", Amount.MANY: "Many"}
READINESS: Mapping[Any, str] = {
    Readiness.READY: "Ready",
    Readiness.WAIT: "Wait",
    Readiness.NOT_FIT: "Not fit",
}
ROLES: Mapping[Any, str] = {Role.CREW: "Crew", Role.GROWER: "Grower", Role.OWNER: "Owner"}
UNITS: Mapping[Any, str] = {LengthUnits.FEET: "Feet and inches", LengthUnits.METRES: "Meters"}

LABELS: Mapping[type[StrEnum], Mapping[Any, str]] = {
    StopReason: STOPS,
    Feel: FEELS,
    Texture: TEXTURES,
    Amount: AMOUNTS,
    Readiness: READINESS,
    Role: ROLES,
    LengthUnits: UNITS,
}
"""Every vocabulary with its labels."""


def inline(label: str) -> str:
    """Lower the first letter of a translated label, for use within a sentence."""
    return label[:1].lower() + label[1:]
