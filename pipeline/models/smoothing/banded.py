"""Symmetric banded precision matrices of n weeks with k states each: solve, and invert in blocks.

Shapes: *bands* (k + 1, n k) are lower band storage, ``bands[d, j] = A[j + d, j]``; *blocks*
(k, k, n) hold one k x k matrix a week, the week last, so that numpy works on all weeks at once.
Nothing here loops over weeks.

The covariance of one week's states needs no inverse of the whole matrix. Eliminating all earlier
weeks leaves a pivot block F, eliminating all later ones a pivot block B, and the precision of the
week given everything is F + B - A (both hold its own block A once). F and B are two banded
Cholesky factors, from the first week on and from the last: own derivation from the block
elimination of a tridiagonal matrix.
"""

import numpy as np
from numpy.linalg import LinAlgError
from scipy.linalg.lapack import dpbtrf, dpbtrs

from pipeline.models.arrays import Floats


def factor_bands(bands: Floats) -> Floats:
    """Lower Cholesky factor in band storage; ``LinAlgError`` if not positive definite."""
    factor, info = dpbtrf(bands, lower=1)
    if info:
        raise LinAlgError(f"the precision of the weeks is not positive at state {info}")
    return factor


def solve_bands(factor: Floats, right: Floats) -> Floats:
    """A^-1 right, for (n k,) or (n k, m) right."""
    solved, _ = dpbtrs(factor, right, lower=1)
    return solved


def pivot_blocks(factor: Floats, k: int) -> Floats:
    """(k, k, n) each week's own block once all earlier weeks are eliminated."""
    lower = np.zeros((k, k, factor.shape[1] // k))
    for i in range(k):
        for j in range(i + 1):
            lower[i, j] = factor[i - j, j::k]
    return multiply_blocks(lower, lower.swapaxes(0, 1))


def pivot_blocks_from_end(bands: Floats, k: int) -> Floats:
    """(k, k, n) each week's own block once all later weeks are eliminated."""
    size = bands.shape[1]
    turned = np.zeros_like(bands, order="F")
    for d in range(bands.shape[0]):
        turned[d, : size - d] = bands[d, : size - d][::-1]
    return pivot_blocks(factor_bands(turned), k)[::-1, ::-1, ::-1]


def own_blocks(bands: Floats, k: int) -> Floats:
    """(k, k, n) the diagonal blocks of the matrix."""
    blocks = np.empty((k, k, bands.shape[1] // k))
    for i in range(k):
        for j in range(i + 1):
            blocks[i, j] = blocks[j, i] = bands[i - j, j::k]
    return blocks


def multiply_blocks(a: Floats, b: Floats) -> Floats:
    """(k, k, n) product week by week."""
    return sum(a[:, j, None] * b[None, j] for j in range(a.shape[1]))  # type: ignore[return-value]


def invert_blocks(blocks: Floats) -> Floats:
    """(k, k, n) inverse of each symmetric positive block, by sweeping its pivots in turn."""
    out = blocks.copy()
    for j in range(out.shape[0]):
        pivot, row = out[j, j].copy(), out[j] / out[j, j]
        column = out[:, j].copy()
        out -= column[:, None] * row[None]
        out[j], out[:, j] = row, -column / pivot
        out[j, j] = 1.0 / pivot
    return out
