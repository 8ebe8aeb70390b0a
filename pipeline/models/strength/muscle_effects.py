"""The effects that link a muscle's exercises: what each column of its border block means.

Everything in natural logs; columns are (m,) over sets, priors are normal. Used by
``muscle_index``; the reasons for run-in and equipment terms are measured in METHODS b.
"""

from dataclasses import dataclass

import numpy as np

from pipeline.models.arrays import Bools, Floats, Ints
from pipeline.models.strength.rep_curve import AdjustedSets
from pipeline.models.strength.session_sums import BorderPrior
from pipeline.models.strength.set_terms import SEGMENT_PRIOR, SHARED_PRIORS, shared_columns

# An exercise's level against its median set: wide, in log units.
EXERCISE_SPREAD = 0.5

# Practice: an exercise enters below its own level and comes up over about four exposures; again
# after 26 weeks away (METHODS b). Size of the shortfall: an assumption, wide.
RUN_IN_EXPOSURES = 4.0
AWAY_WEEKS = 26
RUN_IN_PRIOR = (-0.06, 0.04)
START_PRIOR = (-0.01, 0.02)  # exercises already there when the record begins
RETURN_PRIOR = (-0.03, 0.03)
RUN_IN_SPREAD = 0.03  # between exercises of one person

# Repetition slope of an exercise against the person's: leg press 13.1 repetitions at 80 %
# against 8.8 in the bench press (second-hand): 0.8 and 1.1 times Epley's curve (computed).
EXERCISE_SLOPE_SPREAD = 0.15

# Exercises of the record's first weeks may have been trained before it began.
START_WEEKS = 3

# An exercise that trains several muscles directly follows all of them. How far it may part from
# this muscle for each e-fold of training age, times the share of the others: muscles of one person
# grow apart by about a quarter of 20 % an e-fold. An assumption.
SHARED_SPREAD = 0.05

RUN_IN = len(SHARED_PRIORS)  # border column, after those that all strength models share


@dataclass(frozen=True)
class MuscleSets:
    """Usable sets of one muscle, all (m,), in the order performed."""

    week: Ints
    session: Ints
    exercise: Ints
    segment: Ints
    adjusted: AdjustedSets


@dataclass(frozen=True)
class MuscleExercises:
    """What is known of the exercises, (n_exercises,): machine or cable, whose level is new in each
    equipment segment; how many muscles each trains directly."""

    is_segmented: Bools
    n_direct: Ints


@dataclass(frozen=True)
class Effects:
    """Columns and prior of the border, and where the exercises' own columns stand.

    exercise_column : (n_exercises,) column of each exercise, -1 for the reference exercise and
        for exercises without sets.
    """

    x: Floats
    prior: BorderPrior
    exercise_column: Ints
    reference: int


def build_effects(
    sets: MuscleSets, exercises: MuscleExercises, volume: Floats, log_age: Floats
) -> Effects:
    """Columns shared by all exercises first, then each exercise's own.

    ``volume`` and ``log_age`` are weekly: recent volume and log training age.
    """
    n_exercises = exercises.is_segmented.size
    first_time, at_start, return_time = run_in(sets)
    columns = shared_columns(
        sets.adjusted, volume, sets.week, sets.session * n_exercises + sets.exercise
    )
    columns += [first_time, at_start, return_time]
    priors = [*SHARED_PRIORS, RUN_IN_PRIOR, START_PRIOR, RETURN_PRIOR]
    counts = np.bincount(sets.exercise, minlength=n_exercises)
    reference = int(counts.argmax())
    where = np.full(n_exercises, -1, dtype=np.int64)
    for e in np.flatnonzero(counts):
        own = sets.exercise == e
        if e != reference:
            where[e] = len(columns)
            columns.append(own.astype(float))
            priors.append((0.0, EXERCISE_SPREAD))
        if np.count_nonzero(counts) > 1:
            columns += [own * (first_time + at_start + return_time), -(own * sets.adjusted.slope)]
            priors += [(0.0, RUN_IN_SPREAD), (0.0, EXERCISE_SLOPE_SPREAD)]
        if exercises.n_direct[e] > 1:
            columns.append(own * (log_age[sets.week] - log_age.mean()))
            priors.append((0.0, SHARED_SPREAD * (1.0 - 1.0 / exercises.n_direct[e])))
        for part in _earlier_segments(sets.segment[own]) if exercises.is_segmented[e] else ():
            columns.append((own & (sets.segment == part)).astype(float))
            priors.append(SEGMENT_PRIOR)
    mean, sd = np.array(priors).T
    return Effects(np.column_stack(columns), BorderPrior(mean, sd), where, reference)


def run_in(sets: MuscleSets) -> tuple[Floats, Floats, Floats]:
    """Shortfall left at each set, 1 at an exercise's first session and 1/e after four.

    Columns: exercises new in the record; those of its first weeks, which may not be new to the
    lifter; exercises back after ``AWAY_WEEKS``.
    """
    first, there, again = np.zeros((3, sets.week.size))
    start = int(sets.week.min())
    for e in np.unique(sets.exercise):
        own = np.flatnonzero(sets.exercise == e)
        own = own[np.argsort(sets.session[own], kind="stable")]
        weeks = sets.week[own]
        sessions = np.cumsum(np.r_[0, np.diff(sets.session[own]) != 0])
        spell = np.cumsum(np.r_[0, np.diff(weeks) > AWAY_WEEKS])
        begin = np.searchsorted(spell, spell)
        shortfall = np.exp(-(sessions - sessions[begin]) / RUN_IN_EXPOSURES)
        column = first if weeks[0] > start + START_WEEKS else there
        column[own], again[own] = shortfall * (spell == 0), shortfall * (spell > 0)
    return first, there, again


def _earlier_segments(segment: Ints) -> Ints:
    """Segments other than the last one in use, whose units the index keeps."""
    parts = np.unique(segment)
    return parts[parts != segment[-1]]
