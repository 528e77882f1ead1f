"""The texts that the office says, read from its code and its templates."""

import ast
import re
from collections.abc import Iterable, Iterator
from pathlib import Path

_SAID = re.compile(r'_\(\s*("(?:[^"\\]|\\.)*")')
_COUNTED = re.compile(r'tn\(\s*("(?:[^"\\]|\\.)*"),\s*("(?:[^"\\]|\\.)*")')
_CODE = re.compile(r"{%.*?%}|{{.*?}}|{#.*?#}", flags=re.DOTALL)
_SPOKEN = re.compile(r'(?:aria-label|title|placeholder|alt)="([^"]*)"')


def in_calls(sources: Iterable[Path]) -> Iterator[str]:
    for source in sources:
        for node in ast.walk(ast.parse(source.read_text("utf-8"))):
            name = getattr(node.func, "attr", getattr(node.func, "id", "")) if isinstance(node, ast.Call) else ""
            if not isinstance(node, ast.Call) or not node.args:
                continue
            if name in {"t", "LazyMessage"}:
                yield from literal(node.args[0])
            elif name == "tn" and len(node.args) == 3:
                yield "\0".join(text for each in node.args[:2] for text in literal(each))


def literal(node: ast.expr) -> Iterator[str]:
    """The texts that an expression can be, as far as they stand in it."""
    if isinstance(node, ast.IfExp):
        yield from (*literal(node.body), *literal(node.orelse))
    elif isinstance(node, ast.Constant):
        yield str(node.value)


def constants(source: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(source.read_text("utf-8"))):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield node.value


def in_templates(templates: Iterable[Path]) -> Iterator[str]:
    for template in templates:
        text = template.read_text("utf-8")
        yield from (ast.literal_eval(found) for found in _SAID.findall(text))
        yield from ("\0".join(map(ast.literal_eval, found)) for found in _COUNTED.findall(text))


def bare(template: Path) -> list[str]:
    """What a template shows or speaks that passes no catalogue: words between tags, and in labels; no commands."""
    left = _CODE.sub("", template.read_text("utf-8"))
    spoken = " ".join(_SPOKEN.findall(left))
    shown = re.sub(r"<kbd>.*?</kbd>|<title.*?</title>|<[^>]*>|&\w+;", " ", left, flags=re.DOTALL)
    shown = re.sub(r'[\w-]+="[^"]*"', " ", shown)  # a part of a tag, in a macro of its own
    return re.findall(r"[^\W\d_]{2,}", f"{shown} {spoken}")
