import itertools
from random import Random

from hypothesis import given
from hypothesis import strategies as st

from shared_models.core.fold import fold, whole
from shared_models.core.revision import Revision
from tests.shared_models.log.device import BED, PHONE, TABLET

PLACE = {"latitude": ("latitude", "longitude"), "longitude": ("latitude", "longitude")}


def text(stamp: int, device: str = PHONE, seq: int = 1, **fields: object) -> Revision:
    return Revision(device, seq, stamp, "bed", BED, fields)


def test_a_record_nobody_wrote_has_no_fields() -> None:
    assert fold([], {}) == {}


def test_the_last_writer_of_a_field_wins_and_leaves_the_others() -> None:
    revisions = [text(1, name="Bed 1", rows=5), text(2, seq=2, rows=4)]

    assert fold(revisions, {}) == {"name": "Bed 1", "rows": 4}


def test_the_last_writer_of_a_unit_wins_all_of_it() -> None:
    """A latitude of one fix never meets the longitude of another."""
    revisions = [text(1, latitude=42.0, longitude=-76.0), text(2, TABLET, latitude=43.0, longitude=-77.0)]

    assert fold(reversed(revisions), PLACE) == {"latitude": 43.0, "longitude": -77.0}


def test_a_unit_set_in_part_clears_the_rest_of_it() -> None:
    assert fold([text(1, latitude=42.0, longitude=-76.0), text(2, latitude=43.0)], PLACE) == {
        "latitude": 43.0,
        "longitude": None,
    }


def test_a_field_can_be_cleared() -> None:
    assert fold([text(1, note="wet"), text(2, note=None)], {}) == {"note": None}


def test_of_equal_stamps_the_later_device_wins() -> None:
    assert fold([text(1, TABLET, name="theirs"), text(1, PHONE, name="mine")], {}) == {"name": "theirs"}


def test_of_equal_stamps_of_one_device_the_later_line_wins() -> None:
    assert fold([text(1, seq=10, name="later"), text(1, seq=9, name="earlier")], {}) == {"name": "later"}


names = st.sampled_from(["name", "rows", "latitude", "longitude"])
Said = tuple[int, str, dict[str, int | None]]
lines = st.lists(
    st.tuples(
        st.integers(1, 3),
        st.sampled_from([PHONE, TABLET]),
        st.dictionaries(names, st.integers(0, 2) | st.none(), max_size=3),
    ),
    max_size=6,
)


def numbered(some: list[Said]) -> list[Revision]:
    count = itertools.count(1)
    return [Revision(device, next(count), stamp, "bed", BED, fields) for stamp, device, fields in some]


@given(lines, st.randoms(use_true_random=False), st.data())
def test_any_order_and_any_repeats_make_the_same_record(some: list[Said], random: Random, data: st.DataObject) -> None:
    revisions = numbered(some)
    repeats = data.draw(st.lists(st.sampled_from(revisions), max_size=4)) if revisions else []
    shuffled = [*revisions, *repeats]
    random.shuffle(shuffled)

    assert fold(shuffled, PLACE) == fold(revisions, PLACE)


@given(lines)
def test_a_record_is_what_each_unit_s_last_writer_said(some: list[Said]) -> None:
    """Told another way: for each field, the last of the lines that touch its unit."""
    revisions = numbered(some)
    expected = {}
    for name in ("name", "rows", "latitude", "longitude"):
        unit = PLACE.get(name, (name,))
        touching = [revision for revision in revisions if set(unit) & set(revision.set)]
        if touching:
            expected[name] = max(touching, key=lambda revision: revision.order).set.get(name)

    assert fold(revisions, PLACE) == expected


@given(lines)
def test_a_line_that_sets_nothing_changes_nothing(some: list[Said]) -> None:
    revisions = numbered(some)
    idle = Revision(PHONE, len(some) + 1, 3, "bed", BED, {})

    assert fold([*revisions, idle], PLACE) == fold(revisions, PLACE)


def test_a_correction_keeps_what_its_unit_holds_besides() -> None:
    """A line that sets one field of a unit would empty the others."""
    fields = {"name": "Bed 1", "latitude": 42.0, "longitude": -76.0}

    assert whole({"latitude": 43.0}, fields, PLACE) == {"latitude": 43.0, "longitude": -76.0}
    assert whole({"latitude": None, "longitude": None}, fields, PLACE) == {"latitude": None, "longitude": None}
    assert whole({"name": "Bed 2"}, fields, PLACE) == {"name": "Bed 2"}
