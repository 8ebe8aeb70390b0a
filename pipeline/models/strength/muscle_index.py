"""One strength index per muscle, carried through exercise swaps.

Question: how did the strength of a muscle change, whichever exercises measured it? In: (m,)
working sets of the exercises that train the muscle directly, in the order performed; week from
0, load moved in kg, repetitions, reserve (nan where not recorded). Out: natural log, 0 at the
first trained week.

Method (METHODS b): one weekly local linear trend for the muscle; each exercise stands at a fixed
distance from it; a run-in after (re)introduction; a new distance for machines and cables at a
change of gym; reserve offset; repetition slope of the person and of each exercise; recent volume.
All in one state space, so a swap needs no overlap rule and its uncertainty enters the interval.

Assumptions: exercises keep their distance once practised; free weights are alike in every gym;
the strength of the exercises stands in for the muscle's.
Two spells whose exercises never came within ``BRIDGE_WEEKS`` of each other are separate blocks: no
change is given across them. Refuses under ``MIN_WEEKS`` trained weeks.

The caller leaves out warm-ups, segments after the first of a drop cluster, and doubted sets.
"""

from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from pipeline.core.errors import Refusal
from pipeline.models.arrays import Bools, Floats, Ints
from pipeline.models.smoothing.state_space import WeekPosterior
from pipeline.models.strength.lift_level import CARRY_WEEKS
from pipeline.models.strength.muscle_effects import (
    RUN_IN,
    Effects,
    MuscleExercises,
    MuscleSets,
    build_effects,
)
from pipeline.models.strength.rep_curve import adjust_sets
from pipeline.models.strength.session_fit import SessionFit, fit_sessions
from pipeline.models.strength.session_sums import SetRows
from pipeline.models.strength.set_terms import (
    SLOPE,
    UNRECORDED,
    ages,
    drift_variance,
    expected_moves,
    number_sessions,
    recent_volume,
)
from pipeline.models.strength.time_product import find_blocks

MIN_WEEKS = 8  # common practice, no published source
BRIDGE_WEEKS = 8  # an index stands nearly still over so many weeks: common practice

# The mean of a few exercises wanders off the muscle itself by about this much (log): each has its
# own slow drift, and other muscles help. An assumption; without it intervals hold less often than
# they say, with it no other widening is needed.
DRIFT_SD = 0.012
LINK_SD = 0.01  # own drift of each exercise in a link between two; an assumption


@dataclass(frozen=True)
class MuscleIndex:
    """Strength index of one muscle.

    level_log : (n_weeks,) log index, 0 at the first trained week; nan before it and
        ``CARRY_WEEKS`` after the last.
    se : (n_weeks,) standard error of the curve's course: level minus its mean over the record.
        Differences between weeks have their own: ``change``.
    exercise_effect, exercise_effect_se : (n_exercises,) log distance from the reference exercise
        (the most trained one, itself 0), on the equipment used last; nan without sets.
    block : (n_weeks,) int, -1 in untrained weeks; weeks of different blocks are not linked.
    residual_sd : of the sets around index and effects, log.
    """

    level_log: Floats
    se: Floats
    exercise_effect: Floats
    exercise_effect_se: Floats
    block: Ints
    is_trained: Bools
    rep_slope: float
    rir_offset: float
    rir_offset_se: float
    run_in: float
    residual_sd: float
    n_weeks_trained: int
    n_sets: int
    reference_exercise: int
    posterior: WeekPosterior = field(repr=False)
    exercise_column: Ints = field(repr=False)

    def changes(self, weeks: ArrayLike) -> tuple[Floats, Floats]:
        """(m, m) log change from row week to column week, its standard error; nan across blocks.

        An untrained week belongs to the block of the last trained one before it.
        """
        at = np.asarray(weeks, dtype=np.int64)
        seen = np.flatnonzero(self.is_trained)
        before = np.maximum(np.searchsorted(seen, at, side="right") - 1, 0)
        block = self.block[seen[before]]
        unlinked = block[:, None] != block[None, :]
        estimate, se = self.posterior.changes(at)
        se = np.sqrt(se**2 + drift_variance(at, DRIFT_SD))
        return np.where(unlinked, np.nan, estimate), np.where(unlinked, np.nan, se)

    def change(self, week_a: int, week_b: int) -> tuple[float, float]:
        """Log change from week_a to week_b and its standard error; nan across blocks."""
        estimate, se = self.changes([week_a, week_b])
        return float(estimate[0, 1]), float(se[0, 1])

    def link(self, exercise_a: int, exercise_b: int) -> tuple[float, float]:
        """Log ratio of exercise_b's level to exercise_a's, and its standard error."""
        pick = np.zeros(self.posterior.border.size)
        for exercise, sign in ((exercise_b, 1.0), (exercise_a, -1.0)):
            if self.exercise_column[exercise] >= 0:
                pick[self.exercise_column[exercise]] += sign
        variance = float(pick @ self.posterior.border_covariance @ pick)
        estimate = float(self.exercise_effect[exercise_b] - self.exercise_effect[exercise_a])
        return estimate, float(np.sqrt(max(variance, 0.0) + 2.0 * LINK_SD**2))


def fit_muscle_index(
    week: ArrayLike,
    exercise: ArrayLike,
    load_kg: ArrayLike,
    reps: ArrayLike,
    rir: ArrayLike,
    *,
    n_weeks: int,
    n_exercises: int,
    segment: ArrayLike | None = None,
    is_segmented: ArrayLike | None = None,
    n_direct: ArrayLike | None = None,
    session: ArrayLike | None = None,
    recent_sets: ArrayLike | None = None,
    is_loose: ArrayLike | None = None,
    age_years: float | None = None,
) -> MuscleIndex | Refusal:
    """Fit the index of one muscle.

    Parameters
    ----------
    week, exercise, load_kg, reps, rir : (m,) as above; exercise is an int from 0.
    n_weeks, n_exercises : length of the calendar, number of exercises.
    segment : (m,) equipment segment, a new number at each declared change of gym.
    is_segmented : (n_exercises,) machines and cables, whose level is new in each segment.
    n_direct : (n_exercises,) how many muscles each exercise trains directly (1 if not given).
    session : (m,) id of the session (sorted in time); a week is one session if not given.
    recent_sets : (n_weeks,) weekly sets of the muscle, for the volume term.
    is_loose : (n_weeks,) weeks in which strength may move fast: declared injuries, layoffs.
    age_years : training age in the first week; None for a trained lifter.
    """
    at, lift = np.asarray(week, dtype=np.int64), np.asarray(exercise, dtype=np.int64)
    group = number_sessions(at, session)
    pair = np.unique(group * n_exercises + lift, return_inverse=True)[1]
    adjusted = adjust_sets(load_kg, reps, rir, pair, lift)
    row = adjusted.row
    trained = np.bincount(at[row], minlength=n_weeks) > 0
    if trained.sum() < MIN_WEEKS:
        return _refuse_short(int(trained.sum()))
    part = np.zeros(at.size, np.int64) if segment is None else np.asarray(segment, np.int64)
    sets = MuscleSets(at[row], group[row], lift[row], part[row], adjusted)
    exercises = MuscleExercises(
        np.zeros(n_exercises, bool) if is_segmented is None else np.asarray(is_segmented, bool),
        np.ones(n_exercises, np.int64) if n_direct is None else np.asarray(n_direct, np.int64),
    )
    volume = np.zeros(n_weeks) if recent_sets is None else recent_volume(recent_sets)
    effects = build_effects(sets, exercises, volume, np.log(ages(n_weeks, age_years) + 1.0))
    centre = exercise_centres(adjusted.log_e1rm, sets.exercise, n_exercises)
    rows = SetRows(
        sets.week,
        np.unique(pair[row], return_inverse=True)[1],
        adjusted.log_e1rm - centre[sets.exercise],
        effects.x,
        adjusted.relative_var,
        adjusted.is_recorded,
        sets.segment * n_exercises + sets.exercise,
    )
    fit = fit_sessions(rows, effects.prior, expected_moves(trained, is_loose, age_years))
    return _report(fit, sets, effects, centre, trained)


def _refuse_short(n_weeks: int) -> Refusal:
    remedy = "log its exercises for longer"
    return Refusal(n_weeks, MIN_WEEKS, "weeks with this muscle", remedy, counted="weeks")


def exercise_centres(value: Floats, exercise: Ints, n_exercises: int) -> Floats:
    """(n_exercises,) median log value of each exercise, nan without sets."""
    centre = np.full(n_exercises, np.nan)
    for e in np.unique(exercise):
        centre[e] = np.median(value[exercise == e])
    return centre


def link_blocks(week: Ints, exercise: Ints, n_weeks: int, n_exercises: int) -> Ints:
    """(n_weeks,) block of each trained week; gaps up to ``BRIDGE_WEEKS`` join what they part."""
    blocks, _ = find_blocks(week, exercise, n_weeks, n_exercises)
    seen = np.flatnonzero(blocks >= 0)
    for early, late in pairwise(seen):
        if blocks[early] != blocks[late] and late - early <= BRIDGE_WEEKS:
            blocks[blocks == blocks[late]] = blocks[early]
    return blocks


def _report(
    fit: SessionFit, sets: MuscleSets, effects: Effects, centre: Floats, trained: Bools
) -> MuscleIndex:
    posterior = fit.posterior
    seen = np.flatnonzero(trained)
    shown = np.zeros(trained.size, dtype=bool)
    shown[seen[0] : seen[-1] + CARRY_WEEKS + 1] = True
    used = effects.exercise_column >= 0
    own, own_var = np.zeros(centre.size), np.zeros(centre.size)
    own[used] = posterior.border[effects.exercise_column[used]]
    own_var[used] = np.diag(posterior.border_covariance)[effects.exercise_column[used]]
    unseen = np.isnan(centre)
    return MuscleIndex(
        level_log=np.where(shown, posterior.level - posterior.level[seen[0]], np.nan),
        se=np.where(shown, np.sqrt(posterior.around_mean(seen)[0] + DRIFT_SD**2), np.nan),
        exercise_effect=own + centre - centre[effects.reference],
        exercise_effect_se=np.where(unseen, np.nan, np.sqrt(own_var)),
        block=link_blocks(sets.week, sets.exercise, trained.size, centre.size),
        is_trained=trained,
        rep_slope=float(1.0 + posterior.border[SLOPE]),
        rir_offset=float(posterior.border[UNRECORDED]),
        rir_offset_se=float(np.sqrt(posterior.border_covariance[UNRECORDED, UNRECORDED])),
        run_in=float(posterior.border[RUN_IN]),
        residual_sd=float(np.std(fit.residual)),
        n_weeks_trained=int(trained.sum()),
        n_sets=sets.week.size,
        reference_exercise=effects.reference,
        posterior=posterior,
        exercise_column=effects.exercise_column,
    )
