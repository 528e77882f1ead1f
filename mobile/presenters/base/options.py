"""Something to choose, as a screen shows it."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Option:
    """One thing to choose: what stands for it, what it is called, what goes with it, and the sign before it."""

    key: str
    text: str
    detail: str = ""
    sign: str = "○"
    chosen: bool = False


@dataclass(frozen=True, slots=True)
class Section:
    """Things to choose under one title."""

    title: str
    options: tuple[Option, ...]


@dataclass(frozen=True, slots=True)
class Notice:
    """A strip: a sign, words, a tone."""

    sign: str
    text: str
    tone: str
