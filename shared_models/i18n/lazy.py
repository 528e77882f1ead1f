"""Sentences with figures in them that somebody else may have to say in another language."""

from __future__ import annotations

from typing import Self


class LazyMessage(str):
    """A sentence in English that remembers its text with the gaps, and what stands in them."""

    __slots__ = ("filled", "template")

    template: str
    filled: dict[str, object]

    def __new__(cls, template: str, **filled: object) -> Self:
        """Fill the gaps."""
        told = super().__new__(cls, template.format(**filled))
        told.template, told.filled = template, filled
        return told
