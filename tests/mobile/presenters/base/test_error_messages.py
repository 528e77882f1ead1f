"""What went wrong is said in the person's language, with what to do next."""

import pytest

from mobile.i18n.localizer import Localizer
from mobile.presenters.base.error_messages import in_words
from shared_models.errors import (
    BadBody,
    BadEntry,
    BadQuantity,
    ExpiredCode,
    LineRefused,
    RowendError,
    StorageError,
    TooManyTries,
    UnknownRecord,
    Unreachable,
    WrongMoment,
)
from shared_models.lazy_message import LazyMessage
from shared_models.log.projection import validate
from shared_models.log.store import DISK_FULL

NEW = "019db9c8-3900-7390-9807-2e8c35bf992d"

TROUBLES = [
    (TooManyTries(30), "Espere 30 segundos"),
    (ExpiredCode(), "Pida uno nuevo a la oficina."),
    (
        Unreachable(LazyMessage("The service is busy or in trouble (HTTP {status}).", status=503)),
        "(HTTP 503). Sus anotaciones están a salvo",
    ),
    (
        WrongMoment(LazyMessage("Row {row} is still open.", row=3), "End it first."),
        "La hilera 3 sigue abierta. Termínela primero.",
    ),
    (StorageError(DISK_FULL), "el almacenamiento está lleno. Lo guardado antes está a salvo."),
    (BadBody("it was cut on the way"), "No se pudo leer: se cortó en el camino."),
    (UnknownRecord("row_pass", NEW), f"Aquí no hay hilera {NEW}."),
    (LineRefused("phone", 3, "it is not a log line"), "del aparato phone: no es una línea del registro."),
    (BadEntry("bed", {"length_mm": "too short", "name": "none"}), "No se guardó. Revise: Largo, Nombre."),
    (BadQuantity("rows", -3, "1 or more"), "No se guardó. Revise: Hileras."),
]


@pytest.mark.parametrize(("problem", "expected"), TROUBLES, ids=lambda each: type(each).__name__)
def test_in_spanish(problem: RowendError, expected: str) -> None:
    assert expected in in_words(Localizer("es"), problem)


@pytest.mark.parametrize("problem", [problem for problem, _ in TROUBLES[:-2]], ids=lambda each: type(each).__name__)
def test_in_english_it_is_what_the_error_says_itself(problem: RowendError) -> None:
    assert in_words(Localizer(), problem) == str(problem)


def test_each_field_in_trouble_is_named_and_a_rule_says_all_by_itself() -> None:
    rule = validate("tray_check", {"sowing": NEW, "on": "2026-05-04", "cells_seen": 3, "cells_empty": 4}).problems
    bound = validate("bed", {"name": "North", "length_mm": 0, "rows": 4}).problems

    assert in_words(Localizer(), BadEntry("bed", bound)) == "This was not saved. Check: Length."
    assert "more cells are empty than were checked" in in_words(Localizer(), BadEntry("tray_check", rule))
    assert "hay más celdas vacías que revisadas" in in_words(Localizer("es"), BadEntry("tray_check", rule))
