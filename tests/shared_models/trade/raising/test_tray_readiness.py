import math
from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.core.vocabulary import Readiness
from shared_models.errors import BadQuantity
from shared_models.trade.raising.growing_time import GrowingTime, Window, readiness_window
from shared_models.trade.raising.tray_readiness import SENTENCES, TrayLimits, TrayObservation, tray_verdict

SOWN = date(2026, 2, 2)
WINDOW = readiness_window(SOWN, GrowingTime(60, 80))


def look(on_day: int = 65, **seen: Any) -> TrayObservation:
    fields: dict[str, Any] = {"window": WINDOW, "leaves": 3, "roots_hold": True, "cells_seen": 264, "cells_empty": 5}
    return TrayObservation(on=SOWN + timedelta(on_day), **(fields | seen))


def test_a_tray_with_roots_leaves_age_and_few_empties_is_ready() -> None:
    verdict = tray_verdict(look())

    assert verdict.readiness is Readiness.READY
    assert verdict.limiting is None
    assert verdict.missing == ()
    assert [finding.factor for finding in verdict.findings] == ["roots", "leaves", "age", "empties"]


@pytest.mark.parametrize(
    ("seen", "readiness", "key"),
    [
        ({"roots_hold": False}, Readiness.WAIT, "roots_loose"),
        ({"roots_hold": None}, Readiness.WAIT, "roots_unknown"),
        ({"leaves": 1.9}, Readiness.WAIT, "leaves_few"),
        ({"on_day": 59, "leaves": None}, Readiness.WAIT, "age_early"),
        ({"cells_empty": 80}, Readiness.NOT_FIT, "empties_many"),
        ({"on_day": 102}, Readiness.NOT_FIT, "age_over"),
        ({"cells_empty": 80, "roots_hold": False}, Readiness.NOT_FIT, "empties_many"),
        ({"roots_hold": False, "leaves": 1}, Readiness.WAIT, "roots_loose"),
        ({"roots_hold": None, "leaves": 1}, Readiness.WAIT, "leaves_few"),
    ],
)
def test_the_worst_sign_decides_and_the_surest_names_the_reason(
    seen: dict[str, Any], readiness: Readiness, key: str
) -> None:
    verdict = tray_verdict(look(**seen))

    assert verdict.readiness is readiness
    assert verdict.limiting is not None
    assert verdict.limiting.key == key
    assert verdict.limiting.change


@pytest.mark.parametrize(
    ("seen", "key"),
    [
        ({"on_day": 59}, "age_early_but_grown"),
        ({"on_day": 81}, "age_late"),
        ({"on_day": 101}, "age_late"),
        ({"leaves": 6}, "leaves_many"),
        ({"cells_empty": 20}, "empties_some"),
    ],
)
def test_what_only_needs_care_comes_as_advice(seen: dict[str, Any], key: str) -> None:
    verdict = tray_verdict(look(**seen))

    assert verdict.readiness is Readiness.READY
    assert key in [finding.key for finding in verdict.findings]


@pytest.mark.parametrize(
    "seen", [{"leaves": 2}, {"leaves": 5}, {"on_day": 60}, {"on_day": 80}, {"cells_seen": 100, "cells_empty": 5}]
)
def test_a_limit_itself_still_passes(seen: dict[str, Any]) -> None:
    keys = {finding.key for finding in tray_verdict(look(**seen)).findings}

    assert keys == {"roots_hold", "leaves_enough", "age_right", "empties_few"}


def test_a_finding_holds_what_was_seen_and_its_limit() -> None:
    verdict = tray_verdict(look(on_day=59, cells_empty=132))

    assert [
        (found.factor, found.seen, found.limit) for found in verdict.findings if found.factor in {"age", "empties"}
    ] == [
        ("age", "2026-04-02", "2026-04-03"),
        ("empties", 0.5, TrayLimits().many_empty),
    ]


def test_what_nobody_looked_at_is_named() -> None:
    verdict = tray_verdict(TrayObservation(on=SOWN))

    assert verdict.missing == ("roots", "leaves", "age", "empties")
    assert verdict.readiness is Readiness.WAIT


@given(leaves=st.floats(0, 8), empty=st.integers(0, 264), day=st.integers(0, 120))
def test_no_tray_is_ready_before_somebody_pulled_a_cell(leaves: float, empty: int, day: int) -> None:
    verdict = tray_verdict(look(day, leaves=leaves, cells_empty=empty, roots_hold=None))

    assert verdict.readiness is not Readiness.READY


def test_every_finding_against_a_tray_says_what_to_do() -> None:
    assert all(change for readiness, _, change in SENTENCES.values() if readiness is not Readiness.READY)


@pytest.mark.parametrize(
    "seen",
    [
        {"leaves": -1},
        {"leaves": math.nan},
        {"cells_empty": 265},
        {"cells_empty": -1},
        {"cells_seen": 0, "cells_empty": 0},
        {"cells_seen": None, "cells_empty": 3},
    ],
)
def test_what_no_tray_can_show_is_refused(seen: dict[str, Any]) -> None:
    with pytest.raises(BadQuantity):
        look(**seen)


@pytest.mark.parametrize(
    "limits",
    [
        {"fewest_leaves": 6},
        {"some_empty": 0.4},
        {"many_empty": 1.1},
        {"fewest_leaves": -1},
        {"most_leaves": math.inf},
        {"most_days_late": -1},
    ],
)
def test_limits_that_contradict_each_other_are_refused(limits: dict[str, float]) -> None:
    with pytest.raises(BadQuantity):
        TrayLimits(**limits)


def test_the_farms_own_limits_count() -> None:
    assert tray_verdict(look(leaves=3), TrayLimits(fewest_leaves=4)).readiness is Readiness.WAIT


def test_a_window_of_one_day_is_a_window() -> None:
    window = Window(SOWN, SOWN, WINDOW.guide)

    assert tray_verdict(look(0, window=window)).readiness is Readiness.READY
