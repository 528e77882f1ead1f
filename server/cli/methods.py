"""`rowend methods`: how each figure is calculated."""

from collections.abc import Iterable
from textwrap import fill
from typing import Annotated

import typer

from shared_models.errors import UsageError
from shared_models.methods import Check, Method, Topic, topics, two_digits

WIDTH = 100


def methods(
    module: Annotated[
        str | None,
        typer.Argument(metavar="MODULE", help="Only this part, such as pace or soil.residue.", show_default=False),
    ] = None,
) -> None:
    """Print how each figure is calculated."""
    chosen = [topic for topic in topics() if module is None or _is_in(topic, module)]
    if not chosen:
        known = ", ".join(topic.module for topic in topics())
        raise UsageError(f"No calculations are called {module!r}.", f"Choose one of: {known}.")
    typer.echo("\n\n\n".join(map(topic_text, chosen)))


def _is_in(topic: Topic, part: str) -> bool:
    return topic.module == part or topic.module.startswith(f"{part}.") or topic.module.endswith(f".{part}")


def topic_text(topic: Topic) -> str:
    """One module: its question, its methods, and what they were checked against."""
    question = _wrapped(topic.question, first=f"{topic.module.upper()}  ")
    about = [_wrapped(text) for text in topic.about]
    return "\n\n".join([question, *about, *map(_method, topic.methods), _checks(topic.checks)])


def _method(method: Method) -> str:
    parts = {"Formula": method.formula, "Units": method.units, "Source": method.source, "Refused": method.raises}
    return "\n".join(
        (
            _wrapped(method.signature, depth=1),
            *(_wrapped(text, depth=2) for text in method.summary),
            *(_wrapped(text, first=f"{heading:<9}", depth=2) for heading, text in parts.items() if text),
        )
    )


def _checks(checks: Iterable[Check]) -> str:
    lines = [_wrapped(_check(check), first="- ", depth=2) for check in checks]
    return "\n".join(["  Checked against", *lines] if lines else ["  Not checked against any outside figure."])


def _check(check: Check) -> str:
    off = f"largest deviation {two_digits(check.deviation)} of {two_digits(check.tolerance)} allowed"
    cases = f"{check.cases} {'case' if check.cases == 1 else 'cases'}"
    return f"{check.subject}: {check.source}. {cases}, {'exact' if not check.deviation else off}."


def _wrapped(text: str, *, first: str = "", depth: int = 0) -> str:
    indent = "  " * depth
    hanging = indent + " " * len(first)
    return fill(text, WIDTH, initial_indent=indent + first, subsequent_indent=hanging, break_on_hyphens=False)
