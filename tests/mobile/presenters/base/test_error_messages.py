"""What went wrong is said in the person's language, with what to do next."""

import pytest

from mobile.i18n.localizer import Localizer
from mobile.presenters.base.error_messages import in_words
from shared_models.core.vocabulary import LengthUnits
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

    assert "Length must be more than 0 and at most 32,808 ft" in in_words(Localizer(), BadEntry("bed", bound))
    assert "more cells are empty than were checked" in in_words(Localizer(), BadEntry("tray_check", rule))
    assert "hay más celdas vacías que revisadas" in in_words(Localizer("es"), BadEntry("tray_check", rule))


@pytest.mark.parametrize(
    ("kind", "name", "value", "english", "spanish", "metric"),
    [
        (
            *("bed", "length_mm", 20_000_000),
            "Length must be more than 0 and at most 32,808 ft",
            "Largo debe ser mayor que 0 y de 32,808 pies como máximo",
            "Length must be more than 0 and at most 10,000 m",
        ),
        ("bed", "rows", 0, "Rows must be 1 to 1,000", "Hileras debe estar entre 1 y 1,000", "Rows must be 1 to 1,000"),
        (
            *("soil_check", "soil_c", 99),
            "Soil temperature must be −40 to 158 °F",
            "Temperatura del suelo debe estar entre −40 y 158 °F",
            "Soil temperature must be −40 to 70 °C",
        ),
        (
            *("soil_check", "residue_pct", 130),
            "Residue must be 0 to 100%",
            "Rastrojo debe estar entre 0 y 100%",
            "Residue must be 0 to 100%",
        ),
    ],
)
def test_a_number_out_of_bounds_says_the_bounds_in_the_persons_unit(
    kind: str, name: str, value: float, english: str, spanish: str, metric: str
) -> None:
    problem = {name: validate(kind, {name: value}).problems[name]}

    for localizer, expected in [
        (Localizer(), f"This was not saved: {english}. Correct it and save again."),
        (Localizer("es"), spanish),
        (Localizer(units=LengthUnits.METRES), metric),
    ]:
        assert expected in in_words(localizer, BadEntry(kind, problem))
