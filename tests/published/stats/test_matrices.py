"""Small matrices."""

import numpy as np

from shared_models.trade.stats.linear_algebra import dot, inverse, own_shares, times
from tests.published.conftest import Check

HILBERT = "inverse of Hilbert's matrix of four rows, whole numbers (from memory)"
NUMPY = "computed with numpy 2.4 (linalg)"

INVERSE = [
    [16, -120, 240, -140],
    [-120, 1200, -2700, 1680],
    [240, -2700, 6480, -4200],
    [-140, 1680, -4200, 2800],
]


def test_the_inverse_of_a_matrix_that_is_nearly_none(published: Check) -> None:
    got = inverse([[1 / (i + j + 1) for j in range(4)] for i in range(4)])

    for i, (line, printed) in enumerate(zip(got, INVERSE, strict=True)):
        for j, value in enumerate(line):
            published(HILBERT, f"row {i + 1}, column {j + 1}", value, printed[j], 1e-8)


def test_products_and_own_shares(published: Check) -> None:
    """The square of R's diagonal over the square of its column is what a column does not share with those before it."""
    columns = [[1.0, 2, 3, 4, 5], [2.0, 1, 4, 3, 6], [1.0, 1, 0, 2, 1]]
    square = [[dot(a, b) for b in columns] for a in columns]
    _, r = np.linalg.qr(np.array(columns).T)

    published(
        NUMPY,
        "largest difference of a product",
        float(np.abs(times(square, square) - np.array(square) @ square).max()),
        0,
        1e-9,
    )
    for i, share in enumerate(own_shares(columns)):
        published(NUMPY, f"own share of column {i + 1}", share, float(r[i, i] ** 2 / (r[:, i] ** 2).sum()), 1e-9)
