"""Which modules of the trade does a test check? Read from the imports of its file and the names that it uses."""

import ast
from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path

PACKAGE = "shared_models.trade"


@cache
def modules_used(file: Path, function: str) -> tuple[str, ...]:
    """The trade's modules whose names a function of a test file uses, itself or through the file's own definitions."""
    tree = ast.parse(file.read_text(encoding="utf-8"))
    imported = dict(_imported(tree))
    defined = dict(_defined(tree))
    reached, ahead = set[str](), [function]
    while ahead:
        name = ahead.pop()
        if name not in reached:
            reached.add(name)
            ahead += defined.get(name, ())
    return tuple(sorted({imported[name] for name in reached if name in imported}))


def _imported(tree: ast.Module) -> Iterator[tuple[str, str]]:
    """Each name that comes from the trade, and its module."""
    for node in tree.body:
        if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith(PACKAGE):
            module = node.module.removeprefix(PACKAGE).lstrip(".")
            yield from ((alias.asname or alias.name, module or alias.name) for alias in node.names)


def _defined(tree: ast.Module) -> Iterator[tuple[str, set[str]]]:
    """Each function, fixture or constant of the file, and the names in it."""
    for node in tree.body:
        match node:
            case ast.FunctionDef() | ast.ClassDef():
                yield node.name, _names(node)
            case ast.Assign():
                yield from ((name, _names(node.value)) for target in node.targets for name in _names(target))
            case ast.AnnAssign(value=ast.expr() as value):
                yield from ((name, _names(value)) for name in _names(node.target))


def _names(node: ast.AST) -> set[str]:
    """Every name in it; a fixture is asked for by the name of an argument."""
    return set(_names_in(ast.walk(node)))


def _names_in(nodes: Iterable[ast.AST]) -> Iterator[str]:
    for node in nodes:
        if isinstance(node, ast.Name):
            yield node.id
        elif isinstance(node, ast.arg):
            yield node.arg
