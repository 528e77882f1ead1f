"""Errors are known by their class and code. What they say is for people: no code compares it or takes it apart."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import mobile
import server
from shared_models.core.vocabulary import LengthUnits
from shared_models.errors import RoleNeeded, RowendError
from shared_models.i18n.localizer import Localizer
from shared_models.lazy_message import LazyMessage
from shared_models.log.projection import validate
from shared_models.records import field_types, models
from shared_models.records.models import KINDS
from shared_models.records.problems import NOT_VALID, RULES, TEMPLATES, field_beside
from tests.shared_models.error_texts import SHARED, error_classes, shared_texts

PROGRAMS = [SHARED, Path(mobile.__file__).parent, Path(server.__file__).parent]
SOURCES = sorted(source for program in PROGRAMS for source in program.rglob("*.py"))
#: the name of a kind alone is also its key
TEXTS = {text for text in shared_texts() if " " in text}
TAKES_APART = {"startswith", "endswith", "split", "partition", "find", "index", "removeprefix", "removesuffix"}
SEARCHES = {"search", "match", "fullmatch", "findall", "sub", "split"}


def taken_apart(tree: ast.Module) -> Iterator[ast.expr]:
    """Where what an error says is compared, searched or cut."""
    errors = {"RowendError", *(kind.__name__ for kind in error_classes())}
    caught = {
        node.name
        for node in ast.walk(tree)
        if isinstance(node, ast.ExceptHandler) and node.name and node.type
        for kind in ast.walk(node.type)
        if getattr(kind, "id", "") in errors
    }

    def says(node: ast.expr) -> bool:
        if isinstance(node, ast.Constant):
            return node.value in TEXTS
        if isinstance(node, ast.Call):
            return getattr(node.func, "id", "") == "str" and getattr(node.args[0], "id", "") in caught
        return (
            isinstance(node, ast.Attribute)
            and node.attr in {"reason", "message"}
            and (getattr(node.value, "id", "") in caught)
        )

    for node in ast.walk(tree):
        if isinstance(node, ast.Compare) and any(map(says, (node.left, *node.comparators))):
            yield node
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            cuts = node.func.attr in TAKES_APART and says(node.func.value)
            if cuts or (node.func.attr in SEARCHES and any(map(says, node.args))):
                yield node


@pytest.mark.parametrize("source", SOURCES, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_no_code_compares_or_takes_apart_what_an_error_says(source: Path) -> None:
    assert [ast.unparse(found) for found in taken_apart(ast.parse(source.read_text("utf-8")))] == []


def test_the_check_sees_what_it_looks_for() -> None:
    wrong = """
try: pass
except BadBody as problem:
    if problem.reason == other or "is empty" in str(problem) or str(problem).startswith("x"): pass
    re.search("x", problem.reason)
if text == "it is empty": pass
"""
    assert len(list(taken_apart(ast.parse(wrong)))) == 5


def test_every_rule_is_raised_by_its_code_and_stands_beside_a_field_of_its_kind() -> None:
    raised = set()
    for module in (models, field_types):
        for node in ast.walk(ast.parse(Path(str(module.__file__)).read_text("utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "broken":
                raised.add(ast.literal_eval(node.args[0]))
            assert not (isinstance(node, ast.Call) and getattr(node.func, "id", "") == "ValueError")

    assert raised == set(RULES)
    fields = {name for kind in KINDS.values() for name in kind.model_fields}
    assert {rule.field for rule in RULES.values() if rule.field} <= fields


def test_a_rule_about_two_fields_stands_beside_the_one_it_names() -> None:
    (problem,) = validate("weather", {"on": "2026-05-04", "t_min_c": 9, "t_max_c": 4}).problems.values()

    assert (problem.code, field_beside("entry", problem)) == ("coldest-warmest", "t_max_c")
    assert field_beside("stops.0.began", LazyMessage("", code="missing")) == "stops"


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("value", [None, "", "x" * 5000, -1e12, 1e12, 0.5, True, [1], {"a": 1}, "2026-05-04T08:00:00"])
def test_whatever_is_wrong_is_worded_by_us(kind: str, value: object) -> None:
    """Pydantic's own sentences and types reach nobody."""
    for name in KINDS[kind].model_fields:
        for problem in validate(kind, {name: value}).problems.values():
            assert problem.template == TEMPLATES[problem.code] != NOT_VALID
            assert not re.search(r"[{}]", problem)


def test_a_message_keeps_its_code_and_values_through_json() -> None:
    (problem,) = validate("bed", {"name": "North", "length_mm": 20_000_000, "rows": 4}).problems.values()
    nested = LazyMessage("{kind}: {each}", kind=LazyMessage("bed"), each=(problem, "x"))

    for message in (problem, nested):
        again = LazyMessage.from_json(message.to_json())
        assert (again, again.code, again.values) == (message, message.code, message.values)
    assert problem == "must be at most 10000000"


def test_a_message_is_put_into_words_with_everything_in_it() -> None:
    class Shouting(Localizer):
        def t(self, text: str, /, **filled: object) -> str:
            return text.upper().format(**{name.upper(): value for name, value in filled.items()})

    nested = LazyMessage("{a} of {b}", a=LazyMessage("row {n}", n=1204), b=(LazyMessage("x"), "y"))

    assert nested == "row 1204 of x; y"
    assert Shouting("en", LengthUnits.FEET).t_lazy(nested) == "ROW 1,204 OF X; y"


def test_an_error_is_its_message() -> None:
    error: RowendError = RoleNeeded("grower")

    assert (str(error), error.message.code) == (error.message, "role-needed")
