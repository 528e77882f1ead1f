"""What went wrong is said in the person's language, with what to do next."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from mobile.i18n.localizer import Localizer
from mobile.presenters.base.error_messages import RULES, in_words
from shared_models.errors import (
    BadEntry,
    BadQuantity,
    CodeSpent,
    LineRefused,
    RowendError,
    StoreTrouble,
    TooManyTries,
    Unreachable,
    WrongMoment,
)
from shared_models.records import models

TROUBLES = [
    (TooManyTries(30), "Espere 30 segundos"),
    (CodeSpent(), "Pida uno nuevo a la oficina."),
    (Unreachable("The service is busy or in trouble (HTTP 503)."), "(HTTP 503). Las anotaciones están a salvo"),
    (WrongMoment("Row 3 is still open.", "End it first."), "La hilera 3 sigue abierta. Termínela primero."),
    (StoreTrouble("database or disk is full"), "(el almacenamiento está lleno). Lo guardado antes queda."),
    (BadEntry("bed", {"length_mm": "too short", "name": "none"}), "No se guardó. Revise: Largo, Nombre."),
    (BadQuantity("rows", -3, "1 or more"), "No se guardó. Revise: Hileras."),
]


@pytest.mark.parametrize(("problem", "said"), TROUBLES, ids=lambda each: type(each).__name__)
def test_in_spanish(problem: RowendError, said: str) -> None:
    assert said in in_words(Localizer("es"), problem)


@pytest.mark.parametrize("problem", [problem for problem, _ in TROUBLES[:4]], ids=lambda each: type(each).__name__)
def test_in_english_it_is_what_the_error_says_itself(problem: RowendError) -> None:
    assert in_words(Localizer(), problem) == str(problem)


def test_what_no_screen_expects_is_told_as_it_is() -> None:
    problem = LineRefused("device", 3, "it is broken")

    assert in_words(Localizer("es"), problem) == str(problem)


def test_every_rule_of_a_whole_entry_is_told_in_words() -> None:
    """A rule that is added to a kind has to be found here too; zones are set in the office alone."""
    tree = ast.parse(Path(models.__file__).read_text("utf-8"))
    raised = (node.exc for node in ast.walk(tree) if isinstance(node, ast.Raise))
    reasons = {str(each.args[0].value) for each in raised if isinstance(each, ast.Call)}  # type: ignore[attr-defined]  # a text

    assert {reason for reason in reasons if "time zone" not in reason} == set(RULES)
    for reason in RULES:
        assert reason not in in_words(Localizer("es"), BadEntry("row_pass", {"entry": reason}))
        assert reason in in_words(Localizer(), BadEntry("row_pass", {"entry": reason}))
