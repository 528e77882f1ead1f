"""How are a few equations solved on a phone?

Matrices of a few rows and columns, as lists of lists: just what a regression needs.
"""

import math
from collections.abc import Sequence

Matrix = list[list[float]]


def dot(a: Sequence[float], b: Sequence[float]) -> float:
    """Sum of the products of two rows of figures.

    Formula: a1 b1 + a2 b2 + ...
    Units: those of a times those of b.
    Source: linear algebra.
    """
    return math.fsum(x * y for x, y in zip(a, b, strict=True))


def times(left: Matrix, right: Matrix) -> Matrix:
    """Matrix product.

    Formula: each row of the left with each column of the right, as `dot`
    Units: those of left times those of right.
    Source: linear algebra.
    """
    return [[dot(line, column) for column in zip(*right, strict=True)] for line in left]


def inverse(matrix: Matrix) -> Matrix:
    """Inverse of a symmetric, positive definite matrix.

    Formula: Gauss-Jordan elimination down the diagonal (such a matrix needs no exchange of rows)
    Units: one over those of the matrix.
    Source: linear algebra.
    """
    size = len(matrix)
    work = [[*line, *(float(i == j) for j in range(size))] for i, line in enumerate(matrix)]
    for i in range(size):
        pivot = work[i][i]
        work[i] = [value / pivot for value in work[i]]
        for k in range(size):
            if k != i:
                factor = work[k][i]
                work[k] = [a - factor * b for a, b in zip(work[k], work[i], strict=True)]
    return [line[size:] for line in work]


def own_shares(columns: Sequence[Sequence[float]]) -> list[float]:
    """How much of each column is its own, once the columns before it are taken out: 0 when it repeats them.

    Formula: Gram-Schmidt: sum of squares of what is left / sum of squares of the column
    Units: proportion, 0 to 1.
    Source: linear algebra.
    """
    kept: Matrix = []
    shares = []
    for column in columns:
        own = list(column)
        for before in kept:
            part = dot(own, before) / dot(before, before)
            own = [value - part * base for value, base in zip(own, before, strict=True)]
        size = dot(column, column)
        shares.append(dot(own, own) / size if size else 0.0)
        if dot(own, own):  # what is left can be so small that its square is nothing
            kept.append(own)
    return shares
