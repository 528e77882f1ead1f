"""The rooms there are."""

from __future__ import annotations

from enum import StrEnum


class Place(StrEnum):
    """The rooms of the app."""

    TODAY = "today"
    ROW = "row"
    STOP = "stop"
    DEPTH_CREW = "depth_crew"
    FINISHED = "finished"
    FILL = "fill"
    SOIL = "soil"
    STAND = "stand"
    BEGIN = "begin"
    BED = "bed"
    SOWING = "sowing"
    PLANTING = "planting"
    PERSON = "person"
    HAND_OVER = "hand_over"
    PAIR = "pair"
    PHONE = "phone"
