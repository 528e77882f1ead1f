"""Lazy messages: a template and its values, translated when shown."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Self


class LazyMessage(str):
    """A message in English that remembers its `code`, its `template` and the `values` in it.

    Values are texts, numbers, other lazy messages, or tuples of them (shown with semicolons between them).
    """

    __slots__ = ("code", "template", "values")

    code: str
    template: str
    values: dict[str, object]

    def __new__(cls, template: str, /, *, code: str = "", **values: object) -> Self:
        """Fill in the values; without any, the template stands as it is."""
        shown = {name: "; ".join(value) if isinstance(value, tuple) else value for name, value in values.items()}
        message = super().__new__(cls, template.format(**shown) if shown else template)
        message.code, message.template, message.values = code, template, values
        return message

    @classmethod
    def of(cls, text: str) -> LazyMessage:
        return text if isinstance(text, LazyMessage) else cls(text)

    @classmethod
    def labelled(cls, label: str, text: str) -> Self:
        return cls("{label}: {text}", label=label, text=text)

    def to_json(self) -> dict[str, Any]:
        return {"code": self.code, "template": self.template, "values": _to_json(self.values)}

    @classmethod
    def from_json(cls, held: Mapping[str, Any]) -> Self:
        return cls(
            held["template"], code=held["code"], **{name: _read(value) for name, value in held["values"].items()}
        )


def _to_json(value: object) -> Any:
    if isinstance(value, LazyMessage):
        return value.to_json()
    if isinstance(value, dict):
        return {name: _to_json(each) for name, each in value.items()}
    if isinstance(value, tuple):
        return [_to_json(each) for each in value]
    return value if isinstance(value, int | float) else str(value)


def _read(value: Any) -> object:
    if isinstance(value, dict):
        return LazyMessage.from_json(value)
    return tuple(map(_read, value)) if isinstance(value, list) else value
