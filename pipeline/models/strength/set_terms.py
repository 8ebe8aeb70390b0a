"""Terms that the strength models share: reserve offset, recent volume, position, gaps and youth.

Everything in natural logs; set arrays (m,) in the order performed, weekly arrays (n_weeks,).
"""

from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from pipeline.models.arrays import Bools, Floats, Ints
from pipeline.models.strength.rep_curve import LEVEL_PRIOR, SLOPE_AT, SLOPE_PRIOR, AdjustedSets
from pipeline.models.strength.session_fit import Moves
from pipeline.models.weeks import WEEKS_PER_YEAR

# Border columns that every strength model begins with.
SLOPE, LEVEL, UNRECORDED, VOLUME, POSITION = range(5)

MAX_POSITION = 5.0  # later sets of a session are taken as equally tired

# Prior means and standard deviations of the shared effects, log scale. Assumptions, wide.
OFFSET_PRIOR = (0.0, 0.06)  # unrecorded reserve other than 2: about two repetitions either way
VOLUME_PRIOR = (-0.01, 0.02)  # ten more weekly sets than usual
POSITION_PRIOR = (-0.005, 0.01)  # each further set of a session
SEGMENT_PRIOR = (0.0, 0.20)  # another machine of the same kind

# A gap of more weeks than this lets the level move: strength is kept about 3 weeks (memory),
# and 5 to 10 % are gone by 8 to 12. As long again after the return, for the regain.
GAP_WEEKS = 3
LOOSE_VAR = 0.01**2

# 20 % gained over each e-fold of training age turns the weekly slope by 5.3e-4 / age^2 (computed),
# against the usual step of 8e-5 in ``session_fit``.
YOUTH = 5.0
# What wanders slowly beside strength itself (how reserve is judged, technique, an exercise's own
# way) is forgotten over about three years; its size stands with each model. An assumption.
DRIFT_WEEKS = 150.0

TRAINED_AGE = 5.0  # where training age is not known


# Priors of those columns. The slope's is of k - 1: the sets are brought to the scale with k = 1.
SHARED_PRIORS = (
    (SLOPE_PRIOR[0] - 1.0, SLOPE_PRIOR[1]),
    LEVEL_PRIOR,
    OFFSET_PRIOR,
    VOLUME_PRIOR,
    POSITION_PRIOR,
)


def shared_columns(sets: AdjustedSets, volume: Floats, week: Ints, group: Ints) -> list[Floats]:
    """Those columns, (m,) each: ``volume`` is weekly; sets of one ``group`` tire each other.

    y = log load + h, and y + (k - 1)(h - H c) + b c is the log 1RM with H = ``SLOPE_AT``, so that
    the curve turns at four repetitions and its height there is b: what the slope does not know
    moves the level little. a of ``rep_curve`` is b - (k - 1) H.
    """
    return [
        -(sets.slope - SLOPE_AT * sets.level),
        -sets.level,
        (~sets.is_recorded).astype(float),
        volume[week],
        positions(group),
    ]


def number_sessions(week: Ints, session: ArrayLike | None) -> Ints:
    """(m,) ints from 0, one for each session (or week)."""
    keys = week if session is None else np.asarray(session)
    return np.unique(keys, return_inverse=True)[1].astype(np.int64)


def positions(group: Ints) -> Floats:
    """0, 1, 2 ... up to ``MAX_POSITION`` within each group, in the order of the rows."""
    order = np.argsort(group, kind="stable")
    sorted_group = group[order]
    start = np.r_[0, np.flatnonzero(np.diff(sorted_group)) + 1]
    counts = np.diff(np.r_[start, sorted_group.size])
    out = np.empty(group.size)
    out[order] = np.arange(group.size) - np.repeat(start, counts)
    return np.minimum(out, MAX_POSITION)


def expected_moves(trained: Bools, is_loose: ArrayLike | None, age_years: float | None) -> Moves:
    """Where a level may move fast: gaps, regain after them, declared weeks; slopes in youth.

    Growth straight in log time (Steele 2023, read) has a slope that falls with the square of
    training age: a random walk follows it with about ``YOUTH`` / age^2 times its usual step.
    """
    loose = np.zeros(trained.size, dtype=bool)
    seen = np.flatnonzero(trained)
    for last, back in pairwise(seen):
        if back - last - 1 > GAP_WEEKS:
            loose[last + GAP_WEEKS : back + (back - last) // 2] = True
    if is_loose is not None:
        loose |= np.asarray(is_loose, dtype=bool)
    age = ages(trained.size - 1, age_years)
    return Moves(np.where(loose[1:], LOOSE_VAR, 0.0), 1.0 + YOUTH / (age + 0.5) ** 2)


def recent_volume(recent_sets: ArrayLike) -> Floats:
    """(n,) weekly sets of the last weeks against the last half year, in tens of sets."""
    weekly = np.nan_to_num(np.asarray(recent_sets, dtype=float))
    fast, slow = np.empty(weekly.size), np.empty(weekly.size)
    f = s = float(weekly[:8].mean())
    for i, value in enumerate(weekly):
        fast[i], slow[i] = f, s
        f, s = f + (value - f) * 0.4, s + (value - s) / 26.0
    return (fast - slow) / 10.0


def ages(n_weeks: int, age_years: float | None) -> Floats:
    """(n_weeks,) training age from that of the first week (``TRAINED_AGE`` where not known).

    Not under 0: whoever logged before the day that training is said to have begun was a beginner.
    """
    first = TRAINED_AGE if age_years is None else age_years
    return np.maximum(first + np.arange(n_weeks) / WEEKS_PER_YEAR, 0.0)


def drift_variance(weeks: ArrayLike, drift_sd: float) -> Floats:
    """(m, m) variance that slow drift of size ``drift_sd`` adds to changes between (m,) weeks."""
    at = np.asarray(weeks, dtype=float)
    forgotten = -np.expm1(-np.abs(at[:, None] - at[None, :]) / DRIFT_WEEKS)
    return 2.0 * drift_sd**2 * forgotten
