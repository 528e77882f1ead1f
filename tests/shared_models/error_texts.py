"""Every template of an error and a rule, read from the classes and from the code that raises them."""

import ast
import re
from collections.abc import Iterable, Iterator
from pathlib import Path

import shared_models
from shared_models.core.vocabulary import Role
from shared_models.errors import Fork, RowendError, UsageError, kind_in_words
from shared_models.log.store import STORAGE_REASONS
from shared_models.records.models import KINDS
from shared_models.records.problems import NOT_VALID, TEMPLATES

SHARED = Path(shared_models.__file__).parent
SHARED_SOURCES = [path for room in ("core", "log", "sync") for path in sorted((SHARED / room).glob("*.py"))]
SHARED_SOURCES += [SHARED / "reports" / "common" / "filters.py", SHARED / "errors.py"]


def error_classes(root: type[RowendError] = RowendError) -> Iterator[type[RowendError]]:
    for kind in root.__subclasses__():
        yield kind
        yield from error_classes(kind)


def shared_texts() -> set[str]:
    """The templates that both programs need in their catalogs."""
    texts = {RowendError.template, *(kind.template for kind in error_classes()), *TEMPLATES.values(), NOT_VALID}
    texts |= {*map(kind_in_words, KINDS), *Role, *STORAGE_REASONS.values(), Fork("", 0).reason}
    return {text for text in (*texts, *raised_in(SHARED_SOURCES)) if _has_words(text)}


def raised_in(sources: Iterable[Path]) -> Iterator[str]:
    """The texts in the calls of errors and of lazy messages; a name stands for the text it is given in the file.

    Not those of the command line, which is in English.
    """
    errors = {kind.__name__ for kind in error_classes()} - {UsageError.__name__, "BadEntry", "UnknownRecord"}
    for source in sources:
        tree = ast.parse(source.read_text("utf-8"))
        named = dict(_assigned(tree))
        for node in ast.walk(tree):
            name = getattr(node.func, "id", "") if isinstance(node, ast.Call) else ""
            if isinstance(node, ast.Call) and name in {*errors, "LazyMessage"}:
                args = {"LazyMessage": node.args[:1], "BadQuantity": node.args[2:]}.get(name, node.args)
                yield from (text for each in args for text in _texts(each, named) if _has_words(text))
            elif name == "BadEntry":
                reasons = (value for each in ast.walk(node) if isinstance(each, ast.Dict) for value in each.values)
                yield from (text for each in reasons for text in _texts(each, named))


def _assigned(tree: ast.Module) -> Iterator[tuple[str, str]]:
    for node in tree.body:
        if isinstance(node, ast.Assign):
            for target in node.targets:
                names = target.elts if isinstance(target, ast.Tuple) else [target]
                values = node.value.elts if isinstance(node.value, ast.Tuple) else [node.value]
                for name, value in zip(names, values, strict=False):
                    if isinstance(name, ast.Name) and isinstance(value, ast.Constant) and isinstance(value.value, str):
                        yield name.id, value.value


def _texts(node: ast.expr, named: dict[str, str]) -> Iterator[str]:
    if isinstance(node, ast.IfExp):
        yield from (*_texts(node.body, named), *_texts(node.orelse, named))
    elif isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, ast.Name) and node.id in named:
        yield named[node.id]


def _has_words(text: str) -> bool:
    return bool(re.search(r"[^\W\d_]{2,}", re.sub(r"{\w+}", "", text)))
