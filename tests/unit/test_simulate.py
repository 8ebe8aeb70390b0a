"""The simulator of careers: what it promises about its arrays, its truth and its realism."""

from dataclasses import fields
from datetime import date
from functools import lru_cache

import numpy as np
import pytest

from pipeline.models.simulate import (
    DELOAD_KINDS,
    EVENT_KINDS,
    MUSCLES,
    WEEK_STATUSES,
    CareerOptions,
    CareerScript,
    ScriptedSpan,
    simulate_career,
)

SEEDS = (1, 2, 3, 4, 5, 6)
career_of = lru_cache(maxsize=16)(simulate_career)


@pytest.fixture(params=SEEDS)
def career(request):
    return career_of(request.param)


def working(sets):
    return ~sets.is_warmup & (sets.segment_no == 1)


def test_same_seed_gives_the_same_career():
    one, two = simulate_career(11), simulate_career(11)
    for group in ("sets", "nights", "truth"):
        for field in fields(getattr(one, group)):
            np.testing.assert_array_equal(
                getattr(getattr(one, group), field.name), getattr(getattr(two, group), field.name)
            )
    assert one.events == two.events
    assert one.exercises == two.exercises


def test_another_seed_gives_another_career():
    assert len(career_of(1).sets.week) != len(career_of(2).sets.week)


def test_set_arrays_are_equally_long_and_in_order(career):
    sets = career.sets
    assert len({len(getattr(sets, field.name)) for field in fields(sets)}) == 1
    assert (np.diff(sets.day) >= 0).all()
    assert (np.diff(sets.session) >= 0).all()
    assert (sets.week == sets.day // 7).all()
    assert sets.day.min() >= 0
    assert sets.week.max() < career.n_weeks
    assert len(np.unique(sets.session)) == len(np.unique(sets.day))


def test_values_are_possible(career):
    sets = career.sets
    assert (sets.reps >= 1).all()
    assert (sets.reps <= 40).all()
    assert (sets.load_kg >= 0).all()
    assert (sets.load_moved_kg >= sets.load_kg).all()
    assert (sets.true_rir >= 0).all()
    written = sets.rir[np.isfinite(sets.rir)]
    assert set(np.unique(written)) <= {0, 1, 2, 3, 4, 5}
    assert (sets.true_rir[sets.to_failure] == 0).all()
    assert np.isnan(sets.rir[sets.is_warmup]).all()


def test_loads_lie_on_the_steps_of_their_equipment(career):
    steps = {"barbell": 2.5, "dumbbell": 4, "machine": 5, "cable": 2.5, "body_weight": 2.5}
    grid = np.array([steps[lift.equipment] for lift in career.exercises])[career.sets.exercise]
    np.testing.assert_allclose(career.sets.load_kg % grid, 0)


def test_truth_is_complete(career):
    truth, n_weeks = career.truth, career.n_weeks
    assert truth.lift_level_log.shape == (len(career.exercises), n_weeks)
    for series in (truth.muscle_index_log, truth.weekly_sets, truth.best_sets, truth.shown_log):
        assert series.shape == (len(MUSCLES), n_weeks)
        assert np.isfinite(series).all()
    assert np.isfinite(truth.lift_level_log).all()
    assert set(truth.week_status) <= set(WEEK_STATUSES)
    assert truth.week_status.shape == (n_weeks,)
    assert truth.equipment_log.shape == (len(career.exercises), career.sets.gym.max() + 1)
    np.testing.assert_array_equal(truth.muscle_index_log[:, 0], 0)


def test_weekly_sets_equal_a_count_from_the_sets(career):
    """Direct 1, indirect 0.5, a drop cluster once, warm-ups not (Pelland 2024, read)."""
    sets = career.sets
    counted = np.zeros((len(MUSCLES), career.n_weeks))
    for row, lift in enumerate(career.exercises):
        per_week = np.bincount(
            sets.week[working(sets) & (sets.exercise == row)], minlength=career.n_weeks
        )
        for share, names in ((1.0, lift.direct), (0.5, lift.indirect)):
            for name in names:
                counted[MUSCLES.index(name)] += share * per_week
    logged = np.isin(career.truth.week_status, ("trained", "deload"))
    np.testing.assert_allclose(counted[:, logged], career.truth.weekly_sets[:, logged])
    assert (counted[:, ~logged] == 0).all()


def test_layoff_weeks_are_empty_and_unlogged_weeks_were_trained(career):
    status, weekly = career.truth.week_status, career.truth.weekly_sets.sum(axis=0)
    weeks_with_sets = np.unique(career.sets.week)
    assert (weekly[status == "layoff"] == 0).all()
    assert (weekly[status == "unlogged"] > 0).all()
    assert not set(weeks_with_sets) & set(np.flatnonzero(status == "layoff"))
    assert set(np.flatnonzero(np.isin(status, ("trained", "deload")))) == set(weeks_with_sets)


def test_drop_clusters_fall_in_load_and_follow_their_parent():
    career = career_of(1)
    sets = career.sets
    dropped = np.flatnonzero(sets.segment_no > 1)
    assert len(dropped) > 50
    for name in ("cluster", "session", "exercise", "set_no", "gym"):
        np.testing.assert_array_equal(
            getattr(sets, name)[dropped], getattr(sets, name)[dropped - 1]
        )
    np.testing.assert_array_equal(sets.segment_no[dropped], sets.segment_no[dropped - 1] + 1)
    assert (sets.load_kg[dropped] < sets.load_kg[dropped - 1]).all()
    assert (sets.cluster[dropped] >= 0).all()
    in_cluster = sets.cluster >= 0
    _, sizes = np.unique(sets.cluster[in_cluster], return_counts=True)
    assert sizes.min() >= 2
    assert sets.to_failure[in_cluster].all()


def test_sets_are_numbered_within_each_lift_and_session(career):
    sets = career.sets
    head = sets.segment_no == 1
    key = sets.session[head] * 1000 + sets.exercise[head]
    for bout in np.unique(key)[:400]:
        numbers = sets.set_no[head][key == bout]
        np.testing.assert_array_equal(numbers, np.arange(1, len(numbers) + 1))
        warm = sets.is_warmup[head][key == bout]
        assert not (np.diff(warm.astype(int)) > 0).any()


def test_events_are_known_kinds_within_the_career(career):
    for event in career.events:
        assert event.kind in EVENT_KINDS
        assert 0 <= event.start_day <= event.end_day < career.n_weeks * 7
        assert set(event.subject) <= {*MUSCLES, "knee", "lower_back", "shoulder", "elbow"}
    deloads = [event.start_day // 7 for event in career.events if event.kind == "deload"]
    assert deloads == list(np.flatnonzero(career.truth.week_status == "deload"))


def test_injured_lifts_are_left_out():
    career = career_of(7, CareerOptions(n_injuries=3))
    injuries = [event for event in career.events if event.kind == "injury"]
    names = [lift.exercise_id for lift in career.exercises]
    assert len(injuries) == 3
    for event in injuries:
        assert event.lifts_out
        during = (career.sets.day >= event.start_day) & (career.sets.day <= event.end_day)
        done = {names[row] for row in np.unique(career.sets.exercise[during])}
        assert not done & set(event.lifts_out)


def test_nights_are_aligned_and_mostly_there(career):
    nights = career.nights
    assert len({len(getattr(nights, field.name)) for field in fields(nights)}) == 1
    assert (np.diff(nights.day) > 0).all()
    assert np.isnan(nights.sleep_min).mean() < 0.15
    assert 330 < np.nanmean(nights.sleep_min) < 500
    assert 20 < np.nanmean(nights.hrv_rmssd_ms) < 130


def test_without_nights_there_are_none():
    assert len(career_of(1, CareerOptions(with_nights=False, years=8)).nights.day) == 0


def test_realism_of_the_record(career):
    """Ranges that the method notes describe; spreads are common practice, no published source."""
    sets, done = career.sets, working(career.sets)
    trained = np.isin(career.truth.week_status[sets.week], ("trained",))
    left = sets.true_rir[done & trained]
    assert 0.55 < ((left >= 1) & (left <= 4)).mean() < 0.95
    assert 0.01 < sets.to_failure[done].mean() < 0.35
    assert 25 <= len(career.exercises) <= 45
    assert 8 * 52 <= career.n_weeks <= 15 * 53
    assert 3 <= career.sessions_per_week <= 6
    for muscle in MUSCLES:
        assert any(muscle in lift.direct for lift in career.exercises)


def test_reserve_is_written_from_the_chosen_year_and_too_low_further_out():
    """Repetitions to failure are under-predicted by about 0.95 (Halperin 2022, read)."""
    far, near = [], []
    for seed in range(10):
        career = career_of(seed, CareerOptions(rir_recorded_from=0.5, years=8))
        sets = career.sets
        written = np.isfinite(sets.rir)
        assert abs(sets.week[written].min() - career.n_weeks / 2) <= 2
        error = sets.true_rir - sets.rir
        far.append(error[written & (sets.true_rir == 4)].mean())
        near.append(error[written & (sets.true_rir == 1)].mean())
    assert 0.5 < np.mean(far) < 1.4
    assert np.mean(near) < np.mean(far)


def test_progress_from_block_to_block_is_small_against_what_is_seen():
    """True spread 0.2-0.5 % per seven weeks, as the method notes state for the careers used."""
    spreads = []
    for seed in SEEDS:
        truth = career_of(seed).truth
        n_blocks = truth.muscle_index_log.shape[1] // 7
        cut = truth.muscle_index_log[:, : n_blocks * 7].reshape(len(MUSCLES), n_blocks, 7)
        change = 100 * np.diff(cut.mean(axis=2), axis=1)
        away = (truth.week_status == "layoff")[: n_blocks * 7].reshape(n_blocks, 7).any(axis=1)
        near = away[1:] | away[:-1] | np.r_[False, away[:-2]]
        spreads.append(np.median(change[:, ~near].std(axis=1)))
    assert 0.2 <= np.median(spreads) <= 0.5


def test_growth_slows_with_training_age():
    """Straight in log time (Steele 2023, read): each year adds less than the one before."""
    early, late = [], []
    for seed in range(12):
        index = career_of(seed, CareerOptions(years=12, training_age_at_start=1)).truth
        index = index.muscle_index_log.mean(axis=0)
        early.append(index[156] - index[0])
        late.append(index[-1] - index[-157])
    assert np.mean(early) > 1.5 * np.mean(late) > 0


def test_a_layoff_costs_strength_that_comes_back_faster_than_it_went():
    """5-10 % at 8-12 weeks (memory); ten weeks off, back in about five (Halonen 2024, read)."""
    script = CareerScript(
        start=date(2014, 1, 6),
        layoffs=(ScriptedSpan(date(2018, 1, 1), date(2018, 3, 11)),),
        injuries=(),
        unlogged=(),
    )
    losses, regained = [], []
    for seed in range(8):
        truth = career_of(seed, CareerOptions(years=8, script=script)).truth
        index = truth.muscle_index_log.mean(axis=0)
        first = int(np.flatnonzero(truth.week_status == "layoff")[0])
        assert (truth.week_status == "layoff").sum() == 10
        losses.append(index[first] - index[first + 10])
        regained.append(index[first + 16] >= index[first] - 0.012)
    assert 0.05 <= np.mean(losses) <= 0.10
    assert np.mean(regained) >= 0.75


@pytest.mark.parametrize("kind", DELOAD_KINDS)
def test_deload_effect_is_what_the_same_career_shows_with_and_without_it(kind):
    for seed in (3, 4):
        with_effect = career_of(
            seed, CareerOptions(deload_kind=kind, has_deload_effect=True, n_layoffs=0)
        )
        without = career_of(
            seed, CareerOptions(deload_kind=kind, has_deload_effect=False, n_layoffs=0)
        )
        assert without.truth.deload_effect_pct == 0
        assert with_effect.truth.deload_effect_pct != 0
        weeks = np.flatnonzero(with_effect.truth.week_status == "deload")
        after = np.unique(np.concatenate([weeks + step for step in (1, 2, 3)]))
        after = after[after < with_effect.n_weeks]
        gap = (with_effect.truth.shown_log - without.truth.shown_log)[:, after]
        assert 100 * gap.mean() == pytest.approx(with_effect.truth.deload_effect_pct, abs=0.02)


@pytest.mark.parametrize("has_fatigue", [True, False])
def test_deload_effect_is_what_shown_strength_does_beyond_its_usual_growth(has_fatigue):
    for seed in (2, 5, 8):
        career = career_of(
            seed,
            CareerOptions(
                deload_kind="planned",
                has_deload_effect=True,
                has_fatigue=has_fatigue,
                n_layoffs=0,
                n_injuries=0,
            ),
        )
        shown = 100 * career.truth.shown_log.mean(axis=0)
        growth = (shown[-1] - shown[0]) / career.n_weeks
        weeks = np.flatnonzero(career.truth.week_status == "deload")
        weeks = weeks[(weeks > 12) & (weeks + 4 < career.n_weeks)]
        after = np.mean([shown[weeks + step] - step * growth for step in (1, 2, 3)], axis=0)
        change = float((after - shown[weeks]).mean())
        assert change == pytest.approx(career.truth.deload_effect_pct, abs=0.1)


def test_deloads_cut_sets_or_loads():
    for kind in ("planned", "load_cut"):
        career = career_of(5, CareerOptions(deload_kind=kind))
        status, weekly = career.truth.week_status, career.truth.weekly_sets.sum(axis=0)
        ratio = weekly[status == "deload"].mean() / weekly[status == "trained"].mean()
        assert (0.4 < ratio < 0.75) == (kind == "planned")


def test_sleep_moves_the_strength_that_sets_show():
    """Strength computed from true reserve follows the true night only where it is planted."""
    slopes = {}
    for has_effect in (True, False):
        career = career_of(2, CareerOptions(has_sleep_effect=has_effect, has_stress=False, years=8))
        sets, done = career.sets, working(career.sets)
        row = np.argmax(np.bincount(career.sets.exercise[done & (sets.set_no <= 3)]))
        chosen = done & (sets.exercise == row)
        capacity = np.log(sets.load_moved_kg[chosen]) + np.log1p(
            (sets.reps[chosen] + sets.true_rir[chosen]) / 30
        )
        level = career.truth.lift_level_log[row, sets.week[chosen]]
        sleep = np.full(career.n_weeks * 7, np.nan)
        sleep[career.nights.day] = career.nights.sleep_min / 60
        night = sleep[sets.day[chosen]]
        known = np.isfinite(night)
        slopes[has_effect] = 100 * np.polyfit(night[known], (capacity - level)[known], 1)[0]
        effect = career.truth.sleep_effect_pct_per_h
        assert (effect > 0) == has_effect
        assert slopes[has_effect] == pytest.approx(effect, abs=0.6)
    assert slopes[True] > slopes[False]
