"""A lifter's own repetition curve, and sets brought to one scale by it.

Question: at what log load would a set have been a single? With r repetitions to failure (done and
in reserve),

    log 1RM = log load + k h(r) + a c(r),   h the log of Epley's factor (``e1rm``),
                                             c rising from 0 at one repetition to 1 from four on.

``k`` is the curve's slope (above 1: repetitions fall faster with load) and ``a`` its level (below
0: more repetitions at every load). Both are the lifter's own on this lift, fitted with the level
of strength (``lift_level``, ``muscle_index``) and shrunk to the published curve. A single at zero
reserve is its own load whatever they are.

Loads in kg, repetitions and reserve as counts, everything else in natural logs.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike
from scipy.ndimage import uniform_filter1d

from pipeline.models.arrays import Bools, Floats, Ints

# The published curve on these two: bench press 4 repetitions at 90 %, 8.8 at 80 %, 14.1 at 70 %
# (Nuzzo et al. 2024, second-hand) give k 0.97 and a -0.02 (computed), leg press 13.1 at 80 % and
# 19.0 at 70 % (second-hand) k 1.04 and a -0.15: lifts differ in level, hardly in slope. Between
# people repetitions vary by SD 2.51 at 80 % and 4.36 at 60 % (second-hand): 0.067 and 0.087 of
# log e1RM (computed). The two SDs below, about a curve that turns at four repetitions, give 0.057
# and 0.092 there (computed). Below four, the heaviest published anchor, it bends to the single.
# The centre lies half way from the bench's to Epley's: sets of an ordinary training day stand some
# per cent below the fresh maximum that the studies tested.
SLOPE_PRIOR = (1.0, 0.20)
LEVEL_PRIOR = (-0.01, 0.05)
# A fitted slope beyond this (2.5 standard deviations) says that repetitions followed the plan of
# the day and not the curve: it is read as the nearest that people have.
SLOPE_RANGE = (0.5, 1.5)
LEVEL_FROM_REPS = 4.0
SLOPE_AT = float(np.log1p(LEVEL_FROM_REPS / 30.0))

# Sets above this many repetitions (reserve included) say little about strength. Calf, forearm
# and shoulder work often lies between 12 and 20: kept for change over time, at low weight.
MAX_TOTAL_REPS = 20.0

# A recorded reserve of 5 means "5 or more" (METHODS: keeping such sets as "unknown" raised the
# index error by half); prediction error doubles beyond it (Hackett et al. 2017, read).
MAX_RECORDED_RIR = 4.5

# More is left than people write down, by 0.95 repetitions on average (Halperin et al. 2022, read);
# at failure there is nothing to misjudge.
MORE_LEFT = 0.95

# What an unrecorded reserve is taken as; the fitted offset corrects it. Common practice, no
# published source.
ASSUMED_RIR = 2.0

# Below the session's best set by more than a reserve of about 5 is worth: a ramp-up or back-off
# set whose reserve nobody wrote down. 5 repetitions at 80 % are 13 % of Epley's e1RM (computed).
EASY_SET_GAP = 0.13

# Sets of an exercise over which a plan of repetitions, or a spell of singles, is taken to last.
PLAN_ROWS = 25

_AT_TWO = float(np.log1p(2.0 / 30.0))
_FEW = float(np.log1p((2.5 + ASSUMED_RIR) / 30.0))


class AdjustedSets(NamedTuple):
    """Sets fit to be compared, all (m,), in the order performed.

    row : position in the arrays given.
    log_e1rm : log load + h, reserve assumed where unrecorded.
    slope : h at the planned repetitions, the regressor of the own slope (``plan_curve``).
    level : c there, the regressor of the own level.
    is_recorded : reserve was recorded.
    relative_var : variance relative to a set of few repetitions.
    """

    row: Ints
    log_e1rm: Floats
    slope: Floats
    level: Floats
    is_recorded: Bools
    relative_var: Floats


def log_factor(total_reps: ArrayLike) -> Floats:
    """h: log of 1RM / load at ``total_reps`` to failure.

    0 at one repetition (the load is the maximum), Epley from two on, a line between, so that a
    reserve of a half makes no jump.
    """
    total = np.asarray(total_reps, dtype=float)
    epley = np.log1p(np.maximum(total, 2.0) / 30.0)
    return np.where(total >= 2.0, epley, _AT_TWO * (total - 1.0))


def level_share(total_reps: ArrayLike) -> Floats:
    """c: how much of the curve's level counts at ``total_reps``, 0 at one, 1 from four on."""
    return np.minimum(log_factor(total_reps) / SLOPE_AT, 1.0)


def reps_at(gap: ArrayLike, slope: ArrayLike, level: ArrayLike) -> Floats:
    """Repetitions to failure at log(1RM / load) = ``gap`` on a curve; nan where it is negative."""
    gap, k, a = (np.asarray(part, dtype=float) for part in (gap, slope, level))
    steep = np.maximum(k + a / SLOPE_AT, 0.1 * k)  # up to four repetitions
    h = np.where(gap > steep * SLOPE_AT, (gap - a) / k, gap / steep)
    reps = np.where(h >= _AT_TWO, 30.0 * np.expm1(h), 1.0 + h / _AT_TWO)
    return np.where(gap >= 0.0, reps, np.nan)


def estimate_reserve(
    level_log: ArrayLike,
    load_kg: ArrayLike,
    reps: ArrayLike,
    slope: ArrayLike,
    level: ArrayLike = 0.0,
) -> Floats:
    """Repetitions left after a set at a known strength, on the lifter's own curve (k and a).

    On the scale on which people write it down (``MORE_LEFT``), so that estimated and recorded
    reserve may stand in one count. Not under 0; nan where the set's load reaches the strength or
    anything is unknown.
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        gap = np.asarray(level_log, dtype=float) - np.log(np.asarray(load_kg, dtype=float))
        left = np.maximum(reps_at(gap, slope, level) - np.asarray(reps, dtype=float), 0.0)
    written = np.maximum(left - MORE_LEFT, left / (1.0 + MORE_LEFT))
    return np.where(np.isfinite(written), written, np.nan)


def adjust_sets(
    load_kg: ArrayLike,
    reps: ArrayLike,
    rir: ArrayLike,
    session: Ints,
    series: Ints | None = None,
) -> AdjustedSets:
    """Bring working sets to the scale of a single and drop those that cannot be compared.

    ``series`` (m,) tells the exercises apart; one exercise if not given.
    Left out: loads that are not positive, under one repetition, recorded reserve of 5 or more,
    more than ``MAX_TOTAL_REPS`` to failure, unrecorded sets far below the session's best.
    The caller leaves out warm-ups, drops after the first segment and doubted sets.
    """
    load, count = np.asarray(load_kg, dtype=float), np.asarray(reps, dtype=float)
    reserve = np.asarray(rir, dtype=float)
    recorded = np.isfinite(reserve)
    written = count + np.where(recorded, reserve, ASSUMED_RIR)
    total = written + np.where(recorded, MORE_LEFT * np.minimum(reserve, 1.0), 0.0)
    usable = (load > 0.0) & (count >= 1.0) & (written <= MAX_TOTAL_REPS)
    usable &= ~(recorded & (reserve > MAX_RECORDED_RIR))
    plan = _planned(load, count, session) + ASSUMED_RIR
    with np.errstate(divide="ignore", invalid="ignore"):
        log_load = np.log(load)
        value = np.where(usable, log_load + log_factor(total), -np.inf)
    row = np.flatnonzero(usable & (recorded | (value > _best_of(value, session) - EASY_SET_GAP)))
    group = np.zeros(row.size, np.int64) if series is None else np.asarray(series)[row]
    done = np.where(recorded & (count == 1.0), total, np.nan)[row]
    slope, is_single = plan_curve(log_factor(plan[row]), log_load[row], done, group)
    return AdjustedSets(
        row,
        value[row],
        slope,
        np.where(is_single, level_share(done), 1.0),
        recorded[row],
        _relative_var(written[row]),
    )


def plan_curve(h: Floats, log_load: Floats, single: Floats, series: Ints) -> tuple[Floats, Bools]:
    """(m,) h at the planned repetitions, as far as the loads tell that they were planned.

    Where more repetitions go with less load, somebody planned them: h counts in full. Where they
    change at one and the same load, as with body weight, they are the set's own luck, and a noisy
    regressor pulls the slope to 0: then only their slow course counts (regression calibration;
    own derivation: the covariance of h with -log load is the variance of the plan).

    ``single`` (m,) is what a single had to failure, nan elsewhere. Within a spell of singles and
    doubles it stands for itself (second result); elsewhere it may be a set that failed early, and
    taken for a plan it would say that the lifter is weak at few repetitions.
    """
    out, alone = h.copy(), np.zeros(h.size, dtype=bool)
    for one in np.unique(series):
        own = np.flatnonzero(series == one)
        slow = uniform_filter1d(h[own], PLAN_ROWS, mode="nearest")
        lighter = uniform_filter1d(log_load[own], PLAN_ROWS, mode="nearest") - log_load[own]
        quick = h[own] - slow
        spread = float(quick @ quick)
        told = float(quick @ lighter) / spread if spread > 1e-12 else 0.0
        share = min(max(2.0 * told, 0.0), 1.0)
        alone[own] = np.isfinite(single[own]) & (slow <= _FEW)
        out[own] = slow + share * quick
    out[alone] = log_factor(single[alone])
    return out, alone


def _planned(load: Floats, reps: Floats, session: Ints) -> Floats:
    """Most repetitions done with each row's load in its session: as done, they carry its luck."""
    loads, which = np.unique(np.nan_to_num(load), return_inverse=True)
    _, same = np.unique(session * loads.size + which, return_inverse=True)
    most = np.zeros(int(same.max(initial=-1)) + 1)
    np.maximum.at(most, same, np.nan_to_num(reps))
    return most[same]


def _best_of(value: Floats, session: Ints) -> Floats:
    """Best value of each row's session."""
    best = np.full(int(session.max(initial=-1)) + 1, -np.inf)
    np.maximum.at(best, session, value)
    return best[session]


def _relative_var(total_reps: Floats) -> Floats:
    """1 up to 6 repetitions, SD growing by a sixth of that for each one more.

    Prediction error grows much faster above 12 repetitions than below (Halperin et al. 2022,
    read: 0.47 against 0.06 per repetition); the straight line between is an assumption.
    """
    return (1.0 + np.maximum(total_reps - 6.0, 0.0) / 6.0) ** 2
