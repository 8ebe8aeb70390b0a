"""Muscle index: swaps, run-in, breaks, equipment, links."""

from dataclasses import replace

import numpy as np
import pytest

from pipeline.core.errors import Refusal
from pipeline.models.strength.muscle_effects import MuscleSets, run_in
from pipeline.models.strength.muscle_index import MuscleIndex, fit_muscle_index
from pipeline.models.strength.rep_curve import adjust_sets
from tests.unit.logbooks import Logbook, write_logbook

N_WEEKS = 120
RISING = np.log(100.0) + np.linspace(0.0, 0.10, N_WEEKS)
FIELDS = tuple(Logbook.__dataclass_fields__)
SWAP = [(0.0, range(70)), (-0.6, range(50, N_WEEKS))]


def fitted(book: Logbook, n_exercises: int = 2, **options: object) -> MuscleIndex:
    index = fit_muscle_index(
        *book.muscle,
        n_weeks=N_WEEKS,
        n_exercises=n_exercises,
        session=book.session,
        **options,
    )
    assert isinstance(index, MuscleIndex)
    return index


def unpractised(book: Logbook, exercise: int, size: float) -> Logbook:
    """The same with an exercise that starts ``size`` below its own level."""
    own = np.flatnonzero(book.exercise == exercise)
    exposures = np.unique(book.session[own], return_inverse=True)[1]
    load = book.load_kg.copy()
    load[own] *= np.exp(-size * np.exp(-exposures / 4.0))
    return replace(book, load_kg=load)


def test_swap_keeps_the_index() -> None:
    """Another exercise, 45 % lighter, halfway: 10 % in all, not minus 35."""
    index = fitted(write_logbook(RISING, SWAP))
    estimate, se = index.change(0, N_WEEKS - 1)
    assert abs(estimate - 0.10) < 2.0 * se < 0.08
    assert index.level_log[0] == 0.0


def test_link_between_two_exercises() -> None:
    index = fitted(write_logbook(RISING, SWAP))
    estimate, se = index.link(0, 1)
    assert abs(estimate + 0.6) < 2.0 * se < 0.08
    assert index.link(1, 0)[0] == -estimate


def test_run_in_of_a_new_exercise_is_not_progress() -> None:
    book = unpractised(write_logbook(RISING, SWAP), 1, 0.12)
    index = fitted(book)
    assert index.run_in < -0.05
    assert index.change(60, N_WEEKS - 1)[0] == pytest.approx(0.05, abs=0.02)


def test_swap_without_overlap_is_carried_by_the_weeks_next_to_it() -> None:
    book = write_logbook(RISING, [(0.0, range(60)), (-0.6, range(61, N_WEEKS))])
    estimate, se = fitted(book).change(0, N_WEEKS - 1)
    assert abs(estimate - 0.10) < 2.0 * se
    assert se > fitted(write_logbook(RISING, SWAP)).change(0, N_WEEKS - 1)[1]


def test_break_gives_no_change_across_it() -> None:
    """Twenty weeks of nothing and then only other exercises: two blocks."""
    book = write_logbook(RISING, [(0.0, range(50)), (-0.6, range(70, N_WEEKS))])
    index = fitted(book)
    assert (index.block[10], index.block[60], index.block[100]) == (0, -1, 1)
    assert np.isnan(index.change(10, 100)[0])
    assert np.isfinite(index.change(75, 100)[0])
    same_lift = fitted(write_logbook(RISING, [(0.0, [*range(50), *range(70, N_WEEKS)])]), 1)
    assert np.isfinite(same_lift.change(10, 100)[0])


def test_machines_get_a_new_distance_at_a_change_of_gym() -> None:
    book = write_logbook(RISING, [(0.0, range(N_WEEKS)), (-0.6, range(N_WEEKS))])
    moved = (book.week >= 60) & (book.exercise == 1)
    book = replace(book, load_kg=np.where(moved, book.load_kg * 1.3, book.load_kg))
    gym = (book.week >= 60).astype(int)
    index = fitted(book, segment=gym, is_segmented=np.array([False, True]))
    estimate, se = index.change(0, N_WEEKS - 1)
    assert abs(estimate - 0.10) < 2.0 * se
    assert index.link(0, 1)[0] == pytest.approx(-0.6 + np.log(1.3), abs=0.03)


def test_exercise_that_other_muscles_share_does_not_carry_the_index_away() -> None:
    """It gains 10 % more than the muscle, by grace of another one; the isolation lift does not."""
    own = write_logbook(RISING, [(0.0, range(N_WEEKS))])
    shared = write_logbook(RISING + np.linspace(0.0, 0.10, N_WEEKS), [(0.4, range(N_WEEKS))], 1)
    parts = [np.concatenate([getattr(b, f) for b in (own, shared)]) for f in FIELDS]
    book = replace(Logbook(*parts), exercise=np.repeat([0, 1], [own.week.size, shared.week.size]))
    order = np.argsort(book.session, kind="stable")
    book = Logbook(*(getattr(book, f)[order] for f in FIELDS))
    told = fitted(book, n_direct=np.array([1, 3]), age_years=1.0).change(0, N_WEEKS - 1)
    untold = fitted(book, age_years=1.0).change(0, N_WEEKS - 1)
    assert abs(told[0] - 0.10) < 0.02
    assert untold[0] > 0.13


def test_placebo_flat_noise_moves_rarely() -> None:
    flat = np.full(N_WEEKS, np.log(100.0))
    inside = 0
    for seed in range(25):
        estimate, se = fitted(write_logbook(flat, SWAP, seed)).change(0, N_WEEKS - 1)
        inside += abs(estimate) <= 1.96 * se
    assert inside >= 22


def test_run_in_counts_exposures_and_starts_again_after_half_a_year() -> None:
    week = np.array([0, 0, 1, 10, 10, 11, 40, 41])
    lift = np.array([0, 0, 0, 1, 1, 1, 1, 1])
    session = np.array([0, 0, 1, 2, 2, 3, 4, 5])
    adjusted = adjust_sets(week + 50.0, 0 * week + 5, 0 * week + 1, session)
    sets = MuscleSets(week, session, lift, 0 * week, adjusted)
    new, there, again = run_in(sets)
    e = np.exp(-0.25)
    np.testing.assert_allclose(new, [0, 0, 0, 1, 1, e, 0, 0])
    np.testing.assert_allclose(there, [1, 1, e, 0, 0, 0, 0, 0])
    np.testing.assert_allclose(again, [0, 0, 0, 0, 0, 0, 1, e])


def test_a_record_from_before_training_began_is_a_beginners() -> None:
    """Training is said to have begun a year after the first set: ages are held at 0."""
    book = write_logbook(RISING, [(0.0, range(N_WEEKS)), (0.1, range(N_WEEKS))])
    early, newborn = (
        fit_muscle_index(
            *book.muscle, n_weeks=N_WEEKS, n_exercises=2, n_direct=[2, 1], age_years=age
        )
        for age in (-1.5, 0.0)
    )
    assert isinstance(early, MuscleIndex)
    assert isinstance(newborn, MuscleIndex)
    assert np.isfinite(early.level_log).all()
    assert early.change(0, N_WEEKS - 1)[0] == pytest.approx(
        newborn.change(0, N_WEEKS - 1)[0], abs=0.02
    )


def test_few_weeks_are_refused() -> None:
    book = write_logbook(RISING, [(0.0, range(7))])
    refusal = fit_muscle_index(*book.muscle, n_weeks=N_WEEKS, n_exercises=1)
    assert isinstance(refusal, Refusal)
    assert refusal.has == 7
