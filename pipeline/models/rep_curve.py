"""A lifter's own repetition curve, and sets brought to one scale by it.

Question: at what log load would a set have been a single? ``log 1RM = log load + k h(reps +
reserve)`` with ``h`` the log of Epley's factor (``e1rm``) and ``k`` the lifter's own repetition
slope on this lift: 1 is the published curve, above 1 means that repetitions fall faster with
load. ``k`` is fitted with the level (``lift_level``, ``muscle_index``) and shrunk to 1.

Loads in kg, repetitions and reserve as counts, everything else in natural logs.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

# Spread of k between people: repetitions at 80 % of the 1RM vary by SD 2.51 (Nuzzo et al. 2024,
# second-hand), which moves an Epley e1RM by 6.7 %, 0.30 of h there (computed).
SLOPE_SPREAD = 0.30

# Sets above this many repetitions (reserve included) say little about strength. Calf, forearm
# and shoulder work often lies between 12 and 20: kept for change over time, at low weight.
MAX_TOTAL_REPS = 20.0

# A recorded reserve of 5 means "5 or more" (METHODS: keeping such sets as "unknown" raised the
# index error by half); prediction error doubles beyond it (Hackett et al. 2017, read).
MAX_RECORDED_RIR = 4.5

# What an unrecorded reserve is taken as; the fitted offset corrects it. Common practice, no
# published source.
ASSUMED_RIR = 2.0

# Below the session's best set by more than a reserve of about 5 is worth: a ramp-up or back-off
# set whose reserve nobody wrote down. 5 repetitions at 80 % are 13 % of Epley's e1RM (computed).
EASY_SET_GAP = 0.13

_AT_TWO = float(np.log1p(2.0 / 30.0))


class AdjustedSets(NamedTuple):
    """Sets fit to be compared, all (m,), in the order performed.

    row : position in the arrays given.
    log_e1rm : log load + h, reserve assumed where unrecorded.
    curve : h at the planned repetitions, the regressor of the own repetition slope. The plan is
        the most done with one load in a session. Repetitions as done would not do: they carry
        the set's own noise, and a noisy regressor pulls the slope to 0.
    is_recorded : reserve was recorded.
    relative_var : variance relative to a set of few repetitions.
    """

    row: NDArray[np.int64]
    log_e1rm: Array
    curve: Array
    is_recorded: NDArray[np.bool_]
    relative_var: Array


def log_factor(total_reps: ArrayLike) -> Array:
    """h: log of 1RM / load at ``total_reps`` to failure.

    0 at one repetition (the load is the maximum), Epley from two on, a line between, so that a
    reserve of a half makes no jump.
    """
    total = np.asarray(total_reps, dtype=float)
    epley = np.log1p(np.maximum(total, 2.0) / 30.0)
    return np.where(total >= 2.0, epley, _AT_TWO * (total - 1.0))


def estimate_reserve(
    level_log: ArrayLike, load_kg: ArrayLike, reps: ArrayLike, slope: ArrayLike
) -> Array:
    """Repetitions left after a set at a known level, on the lifter's own curve (``slope`` = k).

    Not under 0; nan where the set's load reaches the level or anything is unknown.
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        gap = (
            np.asarray(level_log, dtype=float) - np.log(np.asarray(load_kg, dtype=float))
        ) / np.asarray(slope, dtype=float)
        total = np.where(gap >= _AT_TWO, 30.0 * np.expm1(gap), 1.0 + gap / _AT_TWO)
        left = np.maximum(total - np.asarray(reps, dtype=float), 0.0)
    return np.where((gap >= 0.0) & np.isfinite(left), left, np.nan)


def adjust_sets(
    load_kg: ArrayLike, reps: ArrayLike, rir: ArrayLike, session: NDArray[np.int64]
) -> AdjustedSets:
    """Bring working sets to the scale of a single and drop those that cannot be compared.

    Left out: loads that are not positive, under one repetition, recorded reserve of 5 or more,
    more than ``MAX_TOTAL_REPS`` to failure, unrecorded sets far below the session's best.
    The caller leaves out warm-ups, drops after the first segment and doubted sets.
    """
    load, count = np.asarray(load_kg, dtype=float), np.asarray(reps, dtype=float)
    reserve = np.asarray(rir, dtype=float)
    recorded = np.isfinite(reserve)
    total = count + np.where(recorded, reserve, ASSUMED_RIR)
    usable = (load > 0.0) & (count >= 1.0) & (total <= MAX_TOTAL_REPS)
    usable &= ~(recorded & (reserve > MAX_RECORDED_RIR))
    curve = log_factor(_planned(load, count, session) + ASSUMED_RIR)
    with np.errstate(divide="ignore", invalid="ignore"):
        value = np.where(usable, np.log(load) + log_factor(total), -np.inf)
    row = np.flatnonzero(usable & (recorded | (value > _best_of(value, session) - EASY_SET_GAP)))
    return AdjustedSets(row, value[row], curve[row], recorded[row], _relative_var(total[row]))


def _planned(load: Array, reps: Array, session: NDArray[np.int64]) -> Array:
    """Most repetitions done with each row's load in its session."""
    loads, which = np.unique(np.nan_to_num(load), return_inverse=True)
    _, same = np.unique(session * loads.size + which, return_inverse=True)
    most = np.zeros(int(same.max(initial=-1)) + 1)
    np.maximum.at(most, same, np.nan_to_num(reps))
    return most[same]


def _best_of(value: Array, session: NDArray[np.int64]) -> Array:
    """Best value of each row's session."""
    best = np.full(int(session.max(initial=-1)) + 1, -np.inf)
    np.maximum.at(best, session, value)
    return best[session]


def _relative_var(total_reps: Array) -> Array:
    """1 up to 6 repetitions, SD growing by a sixth of that for each one more.

    Prediction error grows much faster above 12 repetitions than below (Halperin et al. 2022,
    read: 0.47 against 0.06 per repetition); the straight line between is an assumption.
    """
    return (1.0 + np.maximum(total_reps - 6.0, 0.0) / 6.0) ** 2
