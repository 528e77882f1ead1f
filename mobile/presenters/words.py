"""What stored words are called on the screens: keys of the catalogue."""

from __future__ import annotations

from collections.abc import Mapping

from shared_models.words import Amount, Feel, LengthUnits, Readiness, StopReason, Texture

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

UNITS: Mapping[LengthUnits, str] = {
    LengthUnits.FEET: "feet and inches",
    LengthUnits.METRES: "metres",
}
