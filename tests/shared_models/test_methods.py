import inspect
from importlib import import_module
from pathlib import Path

import pytest

from shared_models import trade
from shared_models.methods import Method, outside_checks, topics, two_digits

METHODS = [method for topic in topics() for method in topic.methods]
TRADE = Path(trade.__file__).parent
MODULES = sorted(
    ".".join(path.relative_to(TRADE).with_suffix("").parts) for path in TRADE.rglob("*.py") if path.stem != "__init__"
)
#: It checks input and calculates nothing.
HELPER = "validation"


def method(anchor: str) -> Method:
    return next(method for method in METHODS if method.anchor == anchor)


@pytest.mark.parametrize("result", METHODS, ids=lambda result: result.anchor)
def test_each_calculation_tells_its_formula_units_and_source(result: Method) -> None:
    assert result.summary
    assert result.summary[0].endswith(".")
    assert result.formula
    assert result.units
    assert result.source


@pytest.mark.parametrize("module", [module for module in MODULES if module != HELPER])
def test_each_module_shows_all_its_public_functions_and_asks_a_question(module: str) -> None:
    """So none of them can be missing from what people are shown."""
    loaded = import_module(f"{trade.__name__}.{module}")
    own = {
        name
        for name, member in vars(loaded).items()
        if inspect.isfunction(inspect.unwrap(member)) and member.__module__ == loaded.__name__ and name[0] != "_"
    }
    (topic,) = (topic for topic in topics() if topic.module == module)

    assert {method.name for method in topic.methods} == own
    assert topic.question.endswith("?")


def test_a_method_is_reported_as_its_docstring_has_it() -> None:
    result = method("chain.plants_in_row")

    assert result.signature == "plants_in_row(row_mm, spacing_mm)"
    assert result.summary == ("Whole plants that fit in one row.",)
    assert result.formula.startswith("row length / spacing, cut to whole plants; N plants need")
    assert "\n" not in result.formula
    assert result.units == "row length and spacing in mm; answer in plants."
    assert result.source.endswith("applied to a single row.")
    assert result.raises == "when the row length or the spacing is not above 0."


@pytest.mark.parametrize(
    ("anchor", "signature"),
    [
        ("pace.pace.turns", "turns(rows, longest_turn_s=1800.0)"),
        ("soil.drydown.dry_day", "dry_day(day, eto_mm, soil, depletion_mm, ground=BARE)"),
        ("weather.heat_index.heat_level", "heat_level(index_c, scale=osha)"),
        ("stats.student_t.t_quantile", "t_quantile(share, df)"),
    ],
)
def test_what_is_usual_stands_in_the_signature(anchor: str, signature: str) -> None:
    assert method(anchor).signature == signature


def test_methods_stand_in_the_order_of_their_file() -> None:
    (pace,) = (topic for topic in topics() if topic.module == "pace.pace")

    assert [method.name for method in pace.methods[:3]] == ["turns", "work", "by_hour"]


def test_every_check_belongs_to_modules_that_exist() -> None:
    modules = {topic.module for topic in topics()}

    assert outside_checks()
    assert [check for check in outside_checks() if not check.modules or not modules.issuperset(check.modules)] == []
    assert sum(len(topic.checks) for topic in topics()) == sum(len(check.modules) for check in outside_checks())


@pytest.mark.parametrize(
    ("figure", "result"),
    [
        (0, "exact"),
        (1, "1"),
        (0.86, "0.86"),
        (341.2, "340"),
        (0.05, "0.05"),
        (0.001, "0.001"),
        (0.00034, "3.4 × 10⁻⁴"),
        (5e-11, "5 × 10⁻¹¹"),
    ],
)
def test_two_digits_of_a_deviation_are_enough(figure: float, result: str) -> None:
    assert two_digits(figure) == result.replace(" ", "\N{NO-BREAK SPACE}")
