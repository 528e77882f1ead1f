"""The texts that the office says, read from its code and its templates."""

import ast
import re
from collections.abc import Iterable, Iterator
from pathlib import Path

_SAID = re.compile(r'_\(\s*("(?:[^"\\]|\\.)*")')
_COUNTED = re.compile(r'tn\(\s*("(?:[^"\\]|\\.)*"),\s*("(?:[^"\\]|\\.)*")')
_CODE = re.compile(r"{%.*?%}|{{.*?}}|{#.*?#}", flags=re.DOTALL)
_SPOKEN = re.compile(r'(?:aria-label|title|placeholder|alt)="([^"]*)"')


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
