import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from shared_models.trade.stats.linear_algebra import dot, inverse, own_shares, times

numbers = st.floats(-10, 10)


def columns(size: int) -> st.SearchStrategy[list[list[float]]]:
    return st.lists(st.lists(numbers, min_size=size, max_size=size), min_size=size, max_size=size)


@given(columns(3))
def test_a_matrix_times_its_inverse_is_one(square: list[list[float]]) -> None:
    definite = times(square, [list(column) for column in zip(*square, strict=True)])
    for i in range(3):
        definite[i][i] += 1

    product = times(definite, inverse(definite))

    for i in range(3):
        assert product[i] == pytest.approx([float(i == j) for j in range(3)], abs=1e-6)


@given(st.lists(numbers, min_size=4, max_size=4), st.lists(numbers, min_size=4, max_size=4))
@example([0.0, 0.0, 0.0, 2.1e-291], [0.0, 0.0, 0.0, 1.0])
def test_a_column_and_its_own_rest_are_at_right_angles(a: list[float], b: list[float]) -> None:
    """What is left of b after a is taken out is its own share of it: 1 - cos² of the angle between them."""
    shares = own_shares([a, b])

    assert min(shares) >= 0
    assert max(shares) <= 1 + 1e-9
    if dot(a, a) > 1e-3 and dot(b, b) > 1e-3:
        assert shares[1] == pytest.approx(1 - dot(a, b) ** 2 / (dot(a, a) * dot(b, b)), abs=1e-6)


def test_a_column_that_repeats_others_has_nothing_of_its_own() -> None:
    assert own_shares([[1, 0, 1], [0, 1, 1], [2, 3, 5]])[2] == pytest.approx(0, abs=1e-12)
    assert own_shares([[0, 0, 0], [1, 2, 3]]) == [0, 1]
