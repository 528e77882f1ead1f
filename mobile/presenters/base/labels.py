"""What stored words are called on the screens: keys of the catalogue."""

from __future__ import annotations

from collections.abc import Mapping

from mobile.log.late_end import Way
from shared_models.core.vocabulary import Amount, Feel, LengthUnits, Readiness, Role, StopReason, Texture
from shared_models.reports.common.references import NOBODY_NAMED, UNKNOWN_BED, UNKNOWN_CROP, UNKNOWN_PERSON

STOP_REASONS: Mapping[StopReason, str] = {
    StopReason.TRAY_CHANGE: "tray change",
    StopReason.CHAIN_BROKE: "chain broke",
    StopReason.CHAIN_JAMMED: "chain jammed",
    StopReason.CLOGGED: "clogged with residue",
    StopReason.DEPTH_CHANGE: "depth change",
    StopReason.REST: "rest",
    StopReason.OTHER: "other",
}

FEELS: Mapping[Feel, str] = {
    Feel.DRY: "Dry",
    Feel.SLIGHTLY_MOIST: "Slightly moist",
    Feel.MOIST: "Moist",
    Feel.WET: "Wet",
    Feel.FIELD_CAPACITY: "As wet as it can hold",
}

TEXTURES: Mapping[Texture, str] = {
    Texture.COARSE: "Coarse: sand",
    Texture.MODERATELY_COARSE: "Moderately coarse: sandy loam",
    Texture.MEDIUM: "Medium: loam, silt loam",
    Texture.FINE: "Fine: clay, clay loam",
}

AMOUNTS: Mapping[Amount, str] = {
    Amount.NONE: "none",
    Amount.FEW: "few",
    Amount.SOME: "some",
    Amount.MANY: "many",
}

READINESS: Mapping[Readiness, str] = {
    Readiness.READY: "Ready",
    Readiness.WAIT: "Wait",
    Readiness.NOT_FIT: "Not fit",
}

ROLES: Mapping[Role, str] = {
    Role.CREW: "crew",
    Role.GROWER: "grower",
    Role.OWNER: "owner",
}

#: what undo calls them
MENDINGS: Mapping[Way, str] = {
    Way.TRIM: "row ended as usual",
    Way.REST: "rest added",
    Way.SPLIT: "row made two",
}

#: what reports call that which has not arrived yet
UNKNOWN = frozenset({UNKNOWN_BED, UNKNOWN_CROP, UNKNOWN_PERSON, NOBODY_NAMED})

UNITS: Mapping[LengthUnits, str] = {
    LengthUnits.FEET: "feet and inches",
    LengthUnits.METRES: "metres",
}
