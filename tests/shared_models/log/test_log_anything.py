"""Nothing that is valid JSON stops a log from taking it in."""

from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shared_models.core import p256
from shared_models.log.ingest import ingest
from shared_models.log.verify import verify
from shared_models.records.models import KINDS
from tests.shared_models.log.device import ANA, BED, FARM, PLANTING, SOWING, TABLET, Device, an_id, line, run_of

any_text = st.text(st.characters(exclude_categories=()), max_size=5)
any_float = st.floats(allow_nan=False, allow_infinity=False)
anything = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**40), 10**40) | any_float | any_text,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(any_text, inner, max_size=3),
    max_leaves=5,
)
NAMES = sorted({name for kind in KINDS.values() for name in kind.model_fields})
nearly_sound = st.fixed_dictionaries(
    {},
    optional={
        "name": any_text,
        "thresholds": st.dictionaries(any_text, any_float | st.integers(0, 10**30), max_size=2),
        "zone": st.sampled_from(["UTC", "America/New_York"]) | any_text,
        "note": any_text,
        "photo": any_text,
        "crew": st.just([ANA]),
        "planting": st.just(PLANTING),
        "bed": st.just(BED),
        "sowing": st.just(SOWING),
        "row": st.integers(0, 10**20),
        "rows": st.just(1),
        "length_mm": st.integers(0, 10**20),
        "cells_seen": st.just(3),
        "started_boot_ms": st.integers(-1, 2**60),
        "started_at": st.datetimes().map(lambda at: at.isoformat() + "Z") | st.integers(-(10**20), 10**20),
        "on": st.dates().map(str),
        "at": st.datetimes().map(lambda at: at.isoformat() + "+14:00"),
        "rain_mm": any_float,
        "voided": st.booleans(),
    },
)
any_lines = st.lists(
    st.tuples(
        st.sampled_from([*KINDS, "mulch"]), nearly_sound | st.dictionaries(st.sampled_from(NAMES), anything, max_size=4)
    ),
    min_size=1,
    max_size=8,
)


@given(lines=any_lines)
@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_whatever_a_line_sets_it_is_kept_and_its_record_folded(
    device: Device, lines: list[tuple[str, dict[str, Any]]]
) -> None:
    """Nothing that is valid JSON stops an ingest: not in SQLite, nor in PostgreSQL, which takes less."""
    texts = [line(seq, kind=kind, record=an_id(seq % 3), set=changed) for seq, (kind, changed) in enumerate(lines, 1)]
    with device.engine.connect() as connection, connection.begin() as transaction:
        outcome = ingest(connection, FARM, [run_of(TABLET, *texts)], p256.verify)

        assert (outcome.stored, outcome.refused) == (len(texts), [])
        assert list(verify(connection, FARM)) == []
        transaction.rollback()
