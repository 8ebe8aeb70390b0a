"""Time-product dummy: one index from exercises that come and go. The transparent cross-check.

Question: by how much did strength change between periods, judged only by exercises seen in more
than one of them? ``ln p[t, i] = alpha[t] + gamma[i] + e``, by (weighted) least squares
("country-product dummy" of Summers 1973 turned to time; on a complete panel the unweighted form
is the Jevons index: read in the IndexNumR vignette). Known weakness: a lift's first, unpractised
weeks inflate the index, so it stands beside ``muscle_index``, never in its place. Assumes that each
exercise keeps its distance from the others. Refuses below two periods; periods without a linked
exercise are blocks of their own.

Prices of the literature are e1RMs here, products are exercises.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from pipeline.core.errors import Refusal
from pipeline.models.arrays import Floats, Ints


@dataclass(frozen=True)
class TimeProductIndex:
    """Index of each period and link of each exercise.

    index : (periods,), 1 in the block's first period, nan where nothing was measured.
    block : (periods,) int, -1 where nothing was measured. Periods of different blocks share no
        chain of exercises: their ratio is unknown.
    exercise_level : (exercises,), level of each exercise in the units of the block's base
        period; nan where never measured. Two of one block divide to their link.
    residual_sd : standard deviation of the log residuals.
    """

    index: Floats
    block: Ints
    exercise_level: Floats
    residual_sd: float


def fit_time_product(
    period: ArrayLike, exercise: ArrayLike, value: ArrayLike, weight: ArrayLike | None = None
) -> TimeProductIndex | Refusal:
    """Fit the dummies on long-form rows.

    Parameters
    ----------
    period, exercise : (n,) ints from 0.
    value : (n,) positive levels (e1RM in kg); rows that are not positive are left out.
    weight : (n,) positive weights, for example shares of the period; None for equal weights.

    Returns
    -------
    the index, or a Refusal with fewer than two measured periods.
    """
    t, i = np.asarray(period, dtype=np.int64), np.asarray(exercise, dtype=np.int64)
    v = np.asarray(value, dtype=float)
    w = np.ones_like(v) if weight is None else np.asarray(weight, dtype=float)
    keep = (v > 0) & (w > 0)
    t, i, log_v, w = t[keep], i[keep], np.log(v[keep]), w[keep]
    if np.unique(t).size < 2:
        remedy = "log the lift in another period"
        return Refusal(np.unique(t).size, 2, "periods with an estimate", remedy)
    return _fit(t, i, log_v, w, int(np.max(period)) + 1, int(np.max(exercise)) + 1)


def find_blocks(
    period: Ints, exercise: Ints, n_periods: int, n_exercises: int
) -> tuple[Ints, Ints]:
    """Connected blocks of periods and of exercises that chains of overlap join (-1: unseen)."""
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components

    n = n_periods + n_exercises
    graph = coo_matrix((np.ones(period.size), (period, exercise + n_periods)), shape=(n, n))
    _, label = connected_components(graph, directed=False)
    seen = np.zeros(n, dtype=bool)
    seen[period] = seen[exercise + n_periods] = True
    label = np.where(seen, label, -1)
    ranks = {old: new for new, old in enumerate(dict.fromkeys(label[:n_periods][seen[:n_periods]]))}
    block = np.array([ranks.get(x, -1) for x in label], dtype=np.int64)
    return block[:n_periods], block[n_periods:]


def _fit(t: Ints, i: Ints, log_v: Floats, w: Floats, n_t: int, n_i: int) -> TimeProductIndex:
    block, exercise_block = find_blocks(t, i, n_t, n_i)
    base = {b: int(np.flatnonzero(block == b)[0]) for b in np.unique(block[block >= 0])}
    design = np.zeros((t.size, n_t + n_i))
    design[np.arange(t.size), t] = design[np.arange(t.size), n_t + i] = 1.0
    design[:, list(base.values())] = 0.0  # each block's first period is its unit
    root = np.sqrt(w)
    solution, *_ = np.linalg.lstsq(design * root[:, None], log_v * root, rcond=None)
    alpha, gamma = solution[:n_t], solution[n_t:]
    residual = log_v - alpha[t] - gamma[i]
    return TimeProductIndex(
        index=np.where(block >= 0, np.exp(alpha), np.nan),
        block=block,
        exercise_level=np.where(exercise_block >= 0, np.exp(gamma), np.nan),
        residual_sd=float(np.sqrt(np.average(residual**2, weights=w))),
    )
