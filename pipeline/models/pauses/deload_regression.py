"""The regression of ``deload``: its rows, its columns, its coefficients and their errors.

One row a week with enough logged weeks around it. ``deload`` says what it asks and why; the
placebo and the left-out years of ``deload_checks`` run the same sums on other dates and rows.
"""

from dataclasses import dataclass

import numpy as np

from pipeline.models.arrays import Bools, Floats, Ints
from pipeline.models.pauses.deload_paths import WEEKS_AFTER, WEEKS_BEFORE

# What errors clustered by quarter must be widened by: the study in METHODS needed 1.6 for 90 % on
# its careers, ours need 1.3 (tests/recovery/measure_deload). Between the two, nearer to the wider:
# the quarters overlap at their borders, and sets short of failure hide part of an effect.
WIDENING = 1.5
CLUSTER_WEEKS = 13
# Prior spread (log) of what is left in weeks 4 to 6, and about how many neighbouring rows tell
# the same because their windows overlap. Assumptions: with deloads at even distances the two
# stretches cannot be told apart, and the effect is then taken to lie in the first.
LATER_SPREAD, OVERLAP = 0.004, 3.0
PERIOD_WEEKS = 52


@dataclass(frozen=True)
class Rows:
    """One element per week that could be read.

    Attributes
    ----------
    week : (n,) week numbers.
    rise : (n,) mean of weeks +1..+3 less that of weeks -5..-1, log.
    change_before : (n,) mean of weeks -2..-1 less that of weeks -5..-3, log.
    weight : (n,) precision of ``rise``, up to a constant.
    """

    week: Ints
    rise: Floats
    change_before: Floats
    weight: Floats

    def keep(self, which: Bools) -> "Rows":
        """The rows where ``which`` is True."""
        return Rows(
            self.week[which], self.rise[which], self.change_before[which], self.weight[which]
        )


@dataclass(frozen=True)
class Effect:
    """First coefficient (log) with its widened standard error, and all coefficients."""

    value: float
    se: float
    coefficients: Floats


def lay_out(
    strength: Floats, weights: Floats, events: Ints, others: Ints | None
) -> tuple[Rows, Floats]:
    """Rows of the regression and its columns: those of ``events`` first, then of ``others``.

    ``others`` are pauses of another kind: what followed them must not be charged to ``events``.
    """
    rows = lay_rows(strength, weights)
    columns = lay_columns(rows, events, len(strength))
    if others is None or len(others) == 0:
        return rows, columns
    beside = lay_columns(rows, np.unique(np.asarray(others, dtype=np.int64)), len(strength))
    return rows, np.column_stack([columns, beside])


def blank_weeks(week_strength: Floats, weeks: Ints, left_out: Bools | None) -> Floats:
    """The strength without these weeks and without those left out."""
    strength = np.array(week_strength, dtype=np.float64)
    strength[weeks] = np.nan
    if left_out is not None:
        strength[np.asarray(left_out, dtype=bool)] = np.nan
    return strength


def lay_rows(strength: Floats, weights: Floats) -> Rows:
    """One row per week that has two logged weeks of three after it and two on either side of
    the split of the five before it (weeks -2..-1 and -5..-3; one each is enough)."""
    week = np.arange(len(strength))
    after, after_weight = _window_mean(strength, weights, 1, WEEKS_AFTER)
    before, before_weight = _window_mean(strength, weights, -WEEKS_BEFORE, -1)
    near, _ = _window_mean(strength, weights, -2, -1)
    far, _ = _window_mean(strength, weights, -WEEKS_BEFORE, -3)
    enough = _window_count(strength, 1, WEEKS_AFTER) >= 2
    enough &= _window_count(strength, -WEEKS_BEFORE, -1) >= 2
    enough &= np.isfinite(near) & np.isfinite(far)
    weight = after_weight * before_weight / np.maximum(after_weight + before_weight, 1e-9)
    return Rows(week, after - before, near - far, weight).keep(enough)


def _window_mean(values: Floats, weights: Floats, first: int, last: int) -> tuple[Floats, Floats]:
    """Weighted mean of weeks w+first..w+last for every w, and the sum of weights."""
    known = np.isfinite(values)
    weight = np.where(known, weights, 0.0)
    total = _window_sum(weight, first, last)
    mean = _window_sum(np.where(known, values, 0.0) * weight, first, last)
    return np.where(total > 0, mean / np.maximum(total, 1e-12), np.nan), total


def _window_count(values: Floats, first: int, last: int) -> Floats:
    return _window_sum(np.isfinite(values).astype(np.float64), first, last)


def _window_sum(values: Floats, first: int, last: int) -> Floats:
    n = len(values)
    running = np.concatenate([[0.0], np.cumsum(values)])
    week = np.arange(n)
    start = np.clip(week + first, 0, n)
    stop = np.clip(week + last + 1, 0, n)
    return running[stop] - running[start]


def lay_columns(rows: Rows, events: Ints, n_weeks: int) -> Floats:
    """Exposure of the after-weeks less that of the before-weeks, weeks 1-3 and 4-6; (n, 2)."""
    columns = []
    for first, last in ((1, 3), (4, 6)):
        exposed = np.zeros(n_weeks)
        for week in events:
            exposed[week + first : week + last + 1] = 1.0
        exposed[events] = 0.0
        after = _window_sum(exposed, 1, WEEKS_AFTER) / WEEKS_AFTER
        before = _window_sum(exposed, -WEEKS_BEFORE, -1) / WEEKS_BEFORE
        columns.append((after - before)[rows.week])
    return np.column_stack(columns)


def lay_design(rows: Rows, columns: Floats) -> Floats:
    """The columns with the change before and one constant per training year."""
    period = np.unique(rows.week // PERIOD_WEEKS, return_inverse=True)[1]
    years = np.eye(period.max() + 1)[period]
    return np.column_stack([columns, rows.change_before, years])


def regress(rows: Rows, columns: Floats) -> Effect:
    """Weighted least squares; every second of ``columns`` (weeks 4 to 6) shrunk to nothing."""
    design = lay_design(rows, columns)
    gram = (design * rows.weight[:, None]).T @ design
    target = design.T @ (rows.weight * rows.rise)
    free = np.linalg.pinv(gram) @ target
    noise = np.average((rows.rise - design @ free) ** 2, weights=rows.weight) * rows.weight.mean()
    penalty = np.zeros(design.shape[1])
    penalty[1 : columns.shape[1] : 2] = OVERLAP * noise / LATER_SPREAD**2
    inverse: Floats = np.asarray(np.linalg.pinv(gram + np.diag(penalty)), dtype=np.float64)
    coefficients = inverse @ target
    scores = design * (rows.weight * (rows.rise - design @ coefficients))[:, None]
    se = WIDENING * _clustered_se(rows, scores, inverse)
    return Effect(float(coefficients[0]), se, coefficients)


def _clustered_se(rows: Rows, scores: Floats, inverse: Floats) -> float:
    """Standard error of the first coefficient when rows of one quarter err together."""
    clusters = np.unique(rows.week // CLUSTER_WEEKS, return_inverse=True)[1]
    summed = np.zeros((clusters.max() + 1, scores.shape[1]))
    np.add.at(summed, clusters, scores)
    n_clusters = len(summed)
    variance = inverse @ (summed.T @ summed) @ inverse * n_clusters / max(n_clusters - 1, 1)
    return float(np.sqrt(max(variance[0, 0], 0.0)))
