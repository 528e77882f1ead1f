"""How does a figure come about? The trade's calculations as their own code tells them, and the checks they passed.

Nothing is listed by hand. The public functions of `trade/` are the calculations; each docstring gives the formula, the
units, the source and what is refused. `trade/published_checks.json` is written by the run of `tests/published`.
"""

import inspect
import json
import pkgutil
import re
from collections.abc import Iterable
from dataclasses import dataclass, is_dataclass
from enum import Enum
from functools import cache
from importlib import import_module
from importlib.resources import files
from types import FunctionType, ModuleType
from typing import Any

from shared_models import trade

CHECKS_FILE = "published_checks.json"

_SECTION = re.compile(r"^(Formula|Units|Source|Raises):", flags=re.MULTILINE)
_ERROR = "BadQuantity: "


@dataclass(frozen=True, slots=True)
class Method:
    """One calculation: how it is called, what it says in whole paragraphs, and how the answer is made.

    `raises` tells which input is refused; it is empty where any is taken.
    """

    module: str
    name: str
    signature: str
    summary: tuple[str, ...]
    formula: str
    units: str
    source: str
    raises: str

    @property
    def anchor(self) -> str:
        return f"{self.module}.{self.name}"


@dataclass(frozen=True, slots=True)
class Check:
    """Figures of one outside source that were compared with calculations of these modules.

    `obtained` says how: quoted, computed, from memory … `deviation` is how far off the answer was
    in the case that came nearest to its `tolerance`; 0 where all are exact.
    """

    subject: str
    source: str
    obtained: str
    modules: tuple[str, ...]
    cases: int
    deviation: float
    tolerance: float


@dataclass(frozen=True, slots=True)
class Topic:
    """One module of the trade (`pace.finish`): the question it answers, what to know, its methods and its checks."""

    module: str
    question: str
    about: tuple[str, ...]
    methods: tuple[Method, ...]
    checks: tuple[Check, ...]


@cache
def topics() -> tuple[Topic, ...]:
    """Every module of the trade that calculates something, by name."""
    found = pkgutil.walk_packages(trade.__path__, f"{trade.__name__}.")
    modules = (import_module(each.name) for each in found if not each.ispkg)
    checks = outside_checks()
    return tuple(_topic(module, checks) for module in modules if any(_calculations(module)))


@cache
def outside_checks() -> tuple[Check, ...]:
    """What the last whole run of the outside checks found, by subject and source."""
    return checks_in(files(trade).joinpath(CHECKS_FILE).read_text(encoding="utf-8"))


def checks_in(text: str) -> tuple[Check, ...]:
    """Parse the checks file."""
    return tuple(Check(**{**line, "modules": tuple(line["modules"])}) for line in json.loads(text))


def two_digits(figure: float) -> str:
    """Format a deviation or tolerance: `exact` for 0, otherwise two significant digits."""
    if figure == 0:
        return "exact"
    mantissa, _, exponent = f"{figure:.1e}".partition("e")
    if int(exponent) < -3:  # noqa: PLR2004 - from here on, zeros would have to be counted
        return f"{float(mantissa):g}\N{NO-BREAK SPACE}×\N{NO-BREAK SPACE}10{_raised(int(exponent))}"
    return f"{float(f'{figure:.1e}'):g}"


def _raised(exponent: int) -> str:
    return str(exponent).translate(str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹"))


def _topic(module: ModuleType, checks: Iterable[Check]) -> Topic:
    name = module.__name__.removeprefix(f"{trade.__name__}.")
    question, *about = _paragraphs(inspect.getdoc(module) or "")
    functions = sorted(_calculations(module), key=lambda function: function.__code__.co_firstlineno)
    return Topic(
        module=name,
        question=question,
        about=tuple(about),
        methods=tuple(_method(name, function, vars(module)) for function in functions),
        checks=tuple(check for check in checks if name in check.modules),
    )


def _calculations(module: ModuleType) -> Iterable[FunctionType]:
    """The functions that a module itself defines, without decorators, and gives a formula for."""
    for member in vars(module).values():
        function = inspect.unwrap(member) if callable(member) else None
        if (
            inspect.isfunction(function)
            and function.__module__ == module.__name__
            and "Formula:" in str(function.__doc__)
        ):
            yield function


def _method(module: str, function: FunctionType, names: dict[str, Any]) -> Method:
    summary, *rest = _SECTION.split(inspect.getdoc(function) or "")
    sections = {heading: " ".join(text.split()) for heading, text in zip(rest[::2], rest[1::2], strict=True)}
    return Method(
        module=module,
        name=function.__name__,
        signature=f"{function.__name__}({', '.join(_parameters(function, names))})",
        summary=_paragraphs(summary),
        formula=sections.get("Formula", ""),
        units=sections.get("Units", ""),
        source=sections.get("Source", ""),
        raises=sections.get("Raises", "").removeprefix(_ERROR),
    )


def _parameters(function: FunctionType, names: dict[str, Any]) -> Iterable[str]:
    for parameter in inspect.signature(function).parameters.values():
        usual = parameter.default
        yield parameter.name if usual is parameter.empty else f"{parameter.name}={_usual(usual, names)}"


def _usual(usual: object, names: dict[str, Any]) -> str:
    """What a parameter is when it is not given; a set of figures by its name."""
    if is_dataclass(usual):
        return next(name for name, value in names.items() if value is usual)
    return str(usual.value) if isinstance(usual, Enum) else repr(usual)


def _paragraphs(text: str) -> tuple[str, ...]:
    return tuple(" ".join(part.split()) for part in text.strip().split("\n\n"))
