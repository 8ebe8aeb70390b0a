"""The simulator plants what makes real records hard to read; spreads are assumptions."""

from functools import lru_cache

import numpy as np
import pytest

from pipeline.models.simulate import MUSCLES, CareerOptions, simulate_career

career_of = lru_cache(maxsize=24)(simulate_career)
SEEDS = range(8)


def weeks_within(career, kind):
    inside = np.zeros(career.n_weeks, dtype=bool)
    for event in career.events:
        if event.kind == kind:
            inside[event.start_day // 7 : event.end_day // 7 + 1] = True
    return inside


def test_diet_moves_sets_weight_and_progress_together():
    """In a surplus all three are above, in a deficit below maintenance: else nothing to confuse."""
    sets, weight, progress = [], [], []
    for seed in SEEDS:
        career = career_of(seed, CareerOptions(has_diet_phases=True, n_injuries=0, n_layoffs=0))
        up, down = weeks_within(career, "surplus"), weeks_within(career, "deficit")
        trained = career.truth.week_status == "trained"
        total = career.truth.weekly_sets.sum(axis=0)
        even = total[trained & ~up & ~down].mean()
        sets.append([total[trained & up].mean() / even, total[trained & down].mean() / even])
        rise = 100 * np.diff(career.truth.muscle_index_log.mean(axis=0), append=np.nan)
        progress.append(
            [np.nanmean(rise[up]), np.nanmean(rise[~up & ~down]), np.nanmean(rise[down])]
        )
        known = np.isfinite(career.nights.body_weight_kg)
        week, weighed = career.nights.day[known] // 7, career.nights.body_weight_kg[known]
        count = np.bincount(week, minlength=career.n_weeks)
        total = np.bincount(week, weights=np.log(weighed), minlength=career.n_weeks)
        mean = np.where(count > 0, total / np.maximum(count, 1), np.nan)
        weekly = np.diff(mean, append=np.nan)
        weight.append([np.nanmean(weekly[up]), np.nanmean(weekly[down])])
    more, fewer = np.mean(sets, axis=0)
    assert 1.05 < more < 1.25
    assert 0.65 < fewer < 0.9
    gaining, even, losing = np.mean(progress, axis=0)
    assert gaining - even > 0.02
    assert even - losing > 0.02
    assert np.mean(weight, axis=0)[0] > 0.0005
    assert np.mean(weight, axis=0)[1] < -0.0015


def test_without_diet_phases_there_are_none():
    career = career_of(3, CareerOptions(has_diet_phases=False))
    assert not {"surplus", "deficit"} & {event.kind for event in career.events}


@pytest.mark.parametrize(("trend", "sign"), [("rising", 1), ("flat", 0), ("falling", -1)])
def test_best_sets_rise_stay_or_fall_with_training_age(trend, sign):
    best = career_of(4, CareerOptions(tolerance_trend=trend, years=10)).truth.best_sets
    assert (np.sign(best[:, -1] - best[:, 0]) == sign).all()


def test_priority_phases_last_8_to_16_weeks_and_bring_their_muscles_more_sets():
    career = career_of(1)
    phases = [event for event in career.events if event.kind == "priority"]
    ratio = []
    for event in phases:
        first, end = event.start_day // 7, event.end_day // 7 + 1
        assert 8 <= end - first <= 16 or end == career.n_weeks
        rows = [MUSCLES.index(name) for name in event.subject]
        usual = career.truth.weekly_sets[rows].mean(axis=1)
        ratio.append((career.truth.weekly_sets[rows, first:end].mean(axis=1) / usual).mean())
    assert np.mean(ratio) > 1.25


def test_an_injury_brings_lifts_that_were_not_done_before():
    brought = []
    for seed in SEEDS:
        career = career_of(seed, CareerOptions(n_injuries=3, years=10))
        sets = career.sets
        for event in career.events:
            if event.kind == "injury":
                before = (sets.day < event.start_day) & (sets.day >= event.start_day - 56)
                during = (sets.day >= event.start_day) & (sets.day <= event.end_day)
                new = np.setdiff1d(sets.exercise[during], sets.exercise[before])
                brought.append(new.size)
    assert np.mean(np.array(brought) > 0) > 0.9


def test_hidden_stress_moves_sleep_and_strength_together():
    """With no effect of sleep planted, nights and sessions go together through stress alone."""
    slopes = {True: [], False: []}
    for has_stress, found in slopes.items():
        for seed in SEEDS:
            options = CareerOptions(has_stress=has_stress, has_sleep_effect=False, years=10)
            found.append(slope_on_sleep(career_of(seed, options)))
    assert np.mean(slopes[True]) > 0.15
    assert abs(np.mean(slopes[False])) < 0.08


def slope_on_sleep(career):
    """Per cent of day strength (from true reserve, each lift's level taken out) per hour."""
    sets = career.sets
    done = ~sets.is_warmup & (sets.segment_no == 1) & (sets.true_rir <= 3)
    value = np.log(sets.load_moved_kg[done]) + np.log1p((sets.reps + sets.true_rir)[done] / 30)
    value = value - career.truth.lift_level_log[sets.exercise[done], sets.week[done]]
    count = np.maximum(np.bincount(sets.exercise[done]), 1)
    mean = np.bincount(sets.exercise[done], weights=value) / count
    value = value - mean[sets.exercise[done]]
    sleep = np.full(career.n_weeks * 7, np.nan)
    sleep[career.nights.day] = career.nights.sleep_min / 60
    night = sleep[sets.day[done]]
    known = np.isfinite(night)
    return 100 * np.polyfit(night[known], value[known], 1)[0]


def test_some_lifters_have_no_fatigue_no_sleep_effect_or_deloads_that_do_nothing():
    truths = [career_of(seed, CareerOptions(years=8)).truth for seed in range(24)]
    for values in (
        [truth.has_fatigue for truth in truths],
        [truth.sleep_effect_pct_per_h > 0 for truth in truths],
        [truth.deload_effect_pct != 0 for truth in truths],
        [truth.has_stress for truth in truths],
    ):
        assert 0 < sum(values) < len(values)
    assert {truth.tolerance_trend for truth in truths} == {"rising", "flat", "falling"}


def test_reserve_is_given_up_again_in_some_careers_only():
    """Written to the end in most, with half a year to two years missing in the others."""
    gaps = []
    for seed in range(24):
        career = career_of(seed, CareerOptions(years=8))
        written = np.unique(career.sets.week[np.isfinite(career.sets.rir)])
        gaps.append(max(np.diff(written).max(), career.n_weeks - written[-1]))
    assert 3 <= np.sum(np.array(gaps) >= 26) <= 18


def test_a_new_gym_shows_the_same_strength_otherwise_on_machines_and_cables_only():
    career = career_of(2, CareerOptions(n_gym_changes=2))
    moved = np.abs(career.truth.equipment_log[:, 1:]).max(axis=1)
    segmented = np.array([one.equipment in ("machine", "cable") for one in career.exercises])
    assert (moved[segmented] > 0).all()
    assert (moved[~segmented] == 0).all()


def test_a_career_without_phase_effect_grows_as_with_usual_sets_in_phases():
    """Sets are the same with and without; only growth in the weeks of phases is not moved."""
    moved, still = (career_of(2, CareerOptions(has_phase_effect=has)) for has in (True, False))
    assert np.array_equal(moved.truth.weekly_sets, still.truth.weekly_sets)
    assert np.array_equal(moved.truth.usual_index_log, still.truth.usual_index_log)
    assert np.array_equal(still.truth.muscle_index_log, still.truth.usual_index_log)
    inside = weeks_within(moved, "priority") | weeks_within(moved, "hold")
    gap = np.diff(moved.truth.muscle_index_log - moved.truth.usual_index_log, axis=1)
    assert np.abs(gap[:, inside[:-1]]).max() > 1e-4
