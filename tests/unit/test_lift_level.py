"""Lift level: what moves it, what must not, and when it refuses."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.core.errors import Refusal
from pipeline.models.strength.lift_level import CARRY_WEEKS, MIN_WEEKS, LiftLevel, fit_lift_level
from pipeline.models.strength.rep_curve import SLOPE_RANGE, log_factor
from pipeline.models.strength.slopes import Slope, fit_last_years
from pipeline.models.weeks import WEEKS_PER_YEAR
from tests.unit.logbooks import Logbook, write_logbook

N_WEEKS = 104
ALWAYS = [(0.0, range(N_WEEKS))]
RISING = np.log(100.0) + np.linspace(0.0, 0.08, N_WEEKS)


def fitted(book: Logbook, n_weeks: int = N_WEEKS, **options: object) -> LiftLevel:
    level = fit_lift_level(*book.lift, n_weeks=n_weeks, session=book.session, **options)
    assert isinstance(level, LiftLevel)
    return level


def test_finds_a_rise_and_its_height() -> None:
    level = fitted(write_logbook(RISING, ALWAYS))
    estimate, se = level.change(0, N_WEEKS - 1)
    assert abs(estimate - 0.08) < 2.0 * se < 0.04
    kg, low, high = level.level_interval(N_WEEKS - 1)
    assert low < np.exp(RISING[-1]) < high
    assert low < kg < high


def test_placebo_flat_noise_moves_rarely() -> None:
    """No change planted: the 95 % interval of the whole change holds 0 nearly always."""
    flat = np.full(60, np.log(80.0))
    inside = 0
    for seed in range(40):
        level = fitted(write_logbook(flat, [(0.0, range(60))], seed), 60)
        estimate, se = level.change(0, 59)
        inside += abs(estimate) <= 1.96 * se
    assert inside >= 36


def test_placebo_shuffled_weeks_give_no_slope() -> None:
    """A real rise of 8 % is gone once the weeks are shuffled."""
    book = write_logbook(RISING, ALWAYS)
    order = np.random.default_rng(3).permutation(N_WEEKS)
    shuffled = replace(book, week=order[book.week], session=2 * order[book.week] + book.session % 2)
    estimate, se = fitted(shuffled).change(0, N_WEEKS - 1)
    assert abs(estimate) <= 1.96 * se


def test_own_repetition_slope_is_found() -> None:
    """0.75 planted on recorded reserve; 0.95 repetitions more are counted, where the curve is
    flatter by 0.024 (computed). Mean of six logs, each with an error of about 0.03."""
    levels = [fitted(write_logbook(RISING, ALWAYS, seed, slope=0.75)) for seed in range(6)]
    assert np.mean([one.rep_slope for one in levels]) == pytest.approx(0.774, abs=0.04)
    assert all(0.02 < one.rep_slope_se < 0.05 for one in levels)


def test_unrecorded_years_are_shifted_by_the_offset() -> None:
    """Four repetitions were kept in reserve while nobody wrote it down."""
    book = write_logbook(RISING, ALWAYS)
    early = book.week < 52
    hidden = replace(
        book,
        rir=np.where(early, np.nan, book.rir),
        load_kg=np.where(early, book.load_kg * 0.95, book.load_kg),
    )
    level = fitted(hidden)
    assert level.rir_offset == pytest.approx(np.log(0.95), abs=0.02)
    assert level.change(0, N_WEEKS - 1)[0] == pytest.approx(0.08, abs=0.03)
    assert level.n_sets_with_reserve == int((~early).sum())


def test_recorded_reserve_of_five_is_left_out() -> None:
    """Five means five or more: easy sets beside the work move nothing."""
    book = write_logbook(RISING, ALWAYS)
    easy = Logbook(
        *(np.concatenate([part, part[::3]]) for part in (book.week, book.session, book.exercise)),
        np.concatenate([book.load_kg, 0.6 * book.load_kg[::3]]),
        np.concatenate([book.reps, book.reps[::3]]),
        np.concatenate([book.rir, np.full(book.rir[::3].size, 5.0)]),
    )
    np.testing.assert_allclose(fitted(easy).level_log, fitted(book).level_log, atol=1e-12)


def test_one_typing_error_moves_little() -> None:
    book = write_logbook(RISING, ALWAYS)
    wrong = replace(book, load_kg=book.load_kg.copy())
    wrong.load_kg[300] *= 2.2
    moved = np.abs(fitted(wrong).level_log - fitted(book).level_log)
    assert moved.max() < 0.02


def even_log(pct_per_year: float, start_kg: float, step_kg: float = 2.5) -> Logbook:
    """Three years without any noise but the steps of the plates; every eighth week 10 % lighter."""
    rows = [
        (week, 2 * week + half, 0, start_kg, (5, 8, 10)[week // 4 % 3], 2.0)
        for week in range(156)
        for half in (0, 1)
        for _ in range(3)
    ]
    week, session, exercise, kg, reps, rir = np.array(rows).T
    load = kg * np.exp(pct_per_year / 100.0 * week / WEEKS_PER_YEAR - log_factor(reps + rir))
    load = np.where(week % 8 == 7, 0.9 * load, load)
    numbers = (part.astype(np.int64) for part in (week, session, exercise))
    return Logbook(*numbers, np.round(load / step_kg) * step_kg, reps, rir)


def test_lighter_weeks_in_an_even_log_do_not_hide_the_level() -> None:
    """Lifts of one design have about the same error: nothing takes the deloads for form."""
    errors = []
    for start_kg in (80.0, 95.0, 110.0, 125.0, 140.0):
        slope = fit_last_years(fitted(even_log(3.0, start_kg), 156))
        assert isinstance(slope, Slope)
        assert slope.low < 3.0 < slope.high
        errors.append(slope.se)
    assert max(errors) < 0.7
    assert max(errors) < 2.0 * min(errors)


@pytest.mark.parametrize("seed", range(4))
def test_one_more_week_moves_no_level_by_its_error(seed: int) -> None:
    """Levels of two refreshes, a week apart, by less than one standard error of the level."""
    book = write_logbook(RISING, ALWAYS, seed)
    early = book.week < N_WEEKS - 1
    before = fitted(Logbook(*(getattr(book, f)[early] for f in Logbook.__dataclass_fields__)))
    after = fitted(book)
    moved = (after.level_log - before.level_log)[: N_WEEKS - 1]
    assert np.abs(moved / before.se[: N_WEEKS - 1]).max() < 1.0
    np.testing.assert_allclose(after.se[: N_WEEKS - 2], before.se[: N_WEEKS - 2], rtol=0.3)


def test_gap_is_bridged_with_a_wider_error() -> None:
    weeks = range(N_WEEKS)
    book = write_logbook(RISING, [(0.0, weeks)])
    gone = (book.week >= 40) & (book.week < 60)
    kept = Logbook(*(getattr(book, f)[~gone] for f in Logbook.__dataclass_fields__))
    level = fitted(kept)
    assert not level.is_trained[50]
    assert np.isnan(level.best_log[50])
    assert level.se[50] > 2.0 * level.se[30]
    assert level.change(38, 62)[1] > 1.5 * level.change(10, 34)[1]


def test_level_ends_soon_after_the_last_set() -> None:
    level = fitted(write_logbook(RISING, [(0.0, range(10, 80))]))
    shown = np.flatnonzero(np.isfinite(level.level_log))
    assert (shown[0], shown[-1]) == (10, 79 + CARRY_WEEKS)
    assert np.array_equal(np.isfinite(level.se), np.isfinite(level.level_log))


def test_another_machine_is_no_progress() -> None:
    book = write_logbook(RISING, ALWAYS)
    new_gym = book.week >= 52
    moved = replace(book, load_kg=np.where(new_gym, book.load_kg * 1.2, book.load_kg))
    level = fitted(moved, segment=new_gym.astype(int))
    assert level.change(0, N_WEEKS - 1)[0] == pytest.approx(0.08, abs=0.03)
    assert fitted(moved).change(0, N_WEEKS - 1)[0] > 0.18


def test_estimated_reserve_is_about_what_was_left() -> None:
    book = write_logbook(RISING, ALWAYS, noise=0.005)
    left = fitted(book).estimate_reserve(book.week, book.load_kg, book.reps)
    assert np.nanmedian(left) == pytest.approx(2.0, abs=0.5)


@settings(max_examples=8, deadline=None)
@given(st.floats(0.3, 3.0))
def test_unit_of_load_shifts_the_level_only(factor: float) -> None:
    book = write_logbook(RISING, ALWAYS)
    scaled = fitted(replace(book, load_kg=book.load_kg * factor))
    here = fitted(book)
    np.testing.assert_allclose(scaled.level_log, here.level_log + np.log(factor), atol=1e-4)
    np.testing.assert_allclose(scaled.se, here.se, atol=1e-4)


def test_few_weeks_are_refused() -> None:
    book = write_logbook(RISING, [(0.0, range(5))])
    refusal = fit_lift_level(*book.lift, n_weeks=N_WEEKS)
    assert isinstance(refusal, Refusal)
    assert (refusal.has, refusal.needs) == (5, MIN_WEEKS)
    nothing = fit_lift_level([], [], [], [], n_weeks=N_WEEKS)
    assert isinstance(nothing, Refusal)


def test_own_curve_stays_within_what_people_have() -> None:
    """Repetitions that follow the plan of the day and not the load tell no curve."""
    rng = np.random.default_rng(3)
    week = np.repeat(np.arange(60), 4)
    reps = rng.integers(5, 16, week.size)
    fit = fit_lift_level(week, np.full(week.size, 60.0), reps, np.zeros(week.size), n_weeks=60)
    assert isinstance(fit, LiftLevel)
    assert SLOPE_RANGE[0] <= fit.rep_slope <= SLOPE_RANGE[1]
    assert fit.reps_at(80.0)[0] < 15.0
