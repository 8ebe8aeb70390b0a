"""Deloads: which weeks were reduced, and what followed them."""

import numpy as np
import pytest

from pipeline.core.errors import Refusal
from pipeline.models.pauses.deload import fit_deload_response
from pipeline.models.pauses.deload_checks import fit_fake_deloads, leave_out_years
from pipeline.models.pauses.deload_detect import DeloadWeek, detect_deloads, merge_declared
from pipeline.models.pauses.deload_single import pool_effects
from pipeline.models.strength.weekly_strength import can_be_read, fit_weekly_strength


def sessions(sets_by_week, n_sessions=4, load=0.75):
    """Equal sessions: (session_week, session_sets, session_load); 0 sets means no session."""
    week = np.repeat(np.arange(len(sets_by_week)), n_sessions)
    sets = np.repeat(np.asarray(sets_by_week, dtype=float), n_sessions)
    keep = sets > 0
    return week[keep], sets[keep], np.full(int(keep.sum()), load)


def detect(week, sets, load, n_weeks):
    has_sessions = np.bincount(week, minlength=n_weeks) > 0
    return detect_deloads(week, sets, load, n_weeks, has_sessions)


def test_a_reduced_week_that_recovers_is_a_deload():
    plan = np.full(30, 16.0)
    plan[12], plan[20] = 8.0, 9.0
    found = detect(*sessions(plan), 30)
    assert [deload.week for deload in found] == [12, 20]
    assert found[0].kind == "sets"
    assert found[0].sets_ratio == pytest.approx(0.5)


def test_missed_sessions_are_no_deload():
    """Half the sessions, each as long as ever: weekly totals halve, sets per session do not."""
    week, sets, load = sessions(np.full(30, 16.0))
    keep = ~((week == 12) & (np.arange(len(week)) % 2 == 0))
    assert detect(week[keep], sets[keep], load[keep], 30) == ()


@pytest.mark.parametrize(("cut", "after", "is_found"), [(7, 13, True), (11, 13, False)])
def test_a_deep_cut_that_is_half_undone_is_a_deload(cut, after, is_found):
    """13 of 16 sets is less than back near the usual, yet well back from 7; not from 11."""
    plan = np.full(30, 16.0)
    plan[12], plan[13] = cut, after
    assert [one.week for one in detect(*sessions(plan), 30)] == ([12] if is_found else [])


def test_a_lasting_change_of_plan_is_no_deload():
    plan = np.concatenate([np.full(15, 16.0), np.full(15, 9.0)])
    assert detect(*sessions(plan), 30) == ()


def test_a_layoff_is_no_deload_and_the_last_week_is_not_judged():
    plan = np.full(30, 16.0)
    plan[10:13], plan[29] = 0.0, 8.0
    assert detect(*sessions(plan), 30) == ()


def test_cut_loads_at_full_sets_are_found():
    week, sets, load = sessions(np.full(30, 16.0))
    load = np.where(week == 14, 0.60, load)
    found = detect(week, sets, load, 30)
    assert [(deload.week, deload.kind) for deload in found] == [(14, "load")]


def test_declared_deloads_win_over_the_rule():
    detected = (DeloadWeek(10, "sets", 0.5, 1.0), DeloadWeek(21, "sets", 0.6, 1.0))
    merged = merge_declared(detected, np.array([10, 20, 40]))
    assert [(d.week, d.evidence) for d in merged] == [(10, "told"), (20, "told"), (40, "told")]
    assert merged[0].sets_ratio == 0.5
    assert merged[2].kind == "told"


def make_weeks(seed, effect, n_weeks=420, every=7, is_reactive=False):
    """Weekly strength with a drift, slow mood, weekly noise, and ``effect`` in weeks 1 to 3."""
    rng = np.random.default_rng(seed)
    mood = np.zeros(n_weeks)
    for week in range(1, n_weeks):
        mood[week] = 0.5 * mood[week - 1] + 0.006 * rng.standard_normal()
    noise = 0.008 * rng.standard_normal(n_weeks)
    strength = 0.0003 * np.arange(n_weeks) + mood + noise
    if is_reactive:
        bad = strength[1:] + strength[:-1] - 0.0006 * np.arange(n_weeks - 1)
        candidates = 2 + np.flatnonzero(bad < np.quantile(bad, 0.25))
    else:
        candidates = np.arange(6 + rng.integers(0, 4), n_weeks, every)
    deloads: list[int] = []
    for week in candidates:
        if week < n_weeks - 4 and (not deloads or week - deloads[-1] > 4):
            deloads.append(int(week))
    for week in deloads:
        strength[week + 1 : week + 4] += effect
    return strength, np.full(n_weeks, 3.0), np.array(deloads)


@pytest.mark.parametrize("is_reactive", [False, True])
def test_planted_effect_comes_back_also_after_bad_weeks(is_reactive):
    errors, held = [], []
    for seed in range(12):
        fitted = fit_deload_response(*make_weeks(seed, 0.012, is_reactive=is_reactive))
        low, high = fitted.interval(0.95)
        errors.append(fitted.effect_pct - 1.2)
        held.append(low <= 1.2 <= high)
    assert abs(np.mean(errors)) < 0.25
    assert np.sqrt(np.mean(np.square(errors))) < 0.55
    assert np.mean(held) >= 0.75


@pytest.mark.parametrize("is_reactive", [False, True])
def test_no_effect_is_seldom_called(is_reactive):
    called = 0
    for seed in range(20):
        fitted = fit_deload_response(*make_weeks(seed, 0.0, is_reactive=is_reactive))
        low, high = fitted.interval(0.95)
        called += low > 0 or high < 0
    assert called <= 3


def test_before_and_after_alone_would_have_been_fooled():
    """The comparison that the regression replaces finds a rise where none is planted."""
    rises = []
    for seed in range(12):
        strength, _, deloads = make_weeks(seed, 0.0, is_reactive=True)
        before = np.mean([strength[week - 2 : week].mean() for week in deloads])
        after = np.mean([strength[week + 1 : week + 4].mean() for week in deloads])
        rises.append(100.0 * (after - before))
    assert np.mean(rises) > 0.5


def test_the_deload_week_itself_is_never_read():
    strength, weights, deloads = make_weeks(1, 0.01)
    spoilt = strength.copy()
    spoilt[deloads] -= 0.3
    one = fit_deload_response(strength, weights, deloads)
    two = fit_deload_response(spoilt, weights, deloads)
    assert one.effect_pct == two.effect_pct


def test_sets_that_never_differ_tell_nothing():
    weeks = np.arange(6, 200, 7)
    answer = fit_deload_response(np.zeros(210), np.ones(210), weeks)
    assert isinstance(answer, Refusal)
    assert answer.has < answer.needs
    assert "spread" in answer.of_what


def test_one_deload_gets_no_verdict():
    strength, weights, deloads = make_weeks(2, 0.01)
    refusal = fit_deload_response(strength, weights, deloads[:1])
    assert isinstance(refusal, Refusal)
    assert (refusal.has, refusal.needs) == (1, 4)
    nothing_logged = np.full(len(strength), np.nan)
    assert fit_deload_response(nothing_logged, weights, deloads).has == 0


def test_single_events_are_drawn_toward_the_mean():
    strength, weights, deloads = make_weeks(3, 0.01)
    fitted = fit_deload_response(strength, weights, deloads)
    assert fitted.n == len(fitted.events) == len(fitted.event_paths)
    shown = np.array([event.estimate_pct for event in fitted.events])
    rises = np.nanmean(fitted.event_paths[:, 3:6], axis=1)
    assert shown.std() < 0.7 * rises.std()
    assert all(e.low_pct < e.estimate_pct < e.high_pct for e in fitted.events)


@pytest.mark.parametrize("every", [7, 30])
def test_no_single_deload_is_surer_than_all_together(every):
    for seed in range(6):
        fitted = fit_deload_response(*make_weeks(seed, 0.01, every=every))
        low, high = fitted.interval(0.95)
        # What is shared with the mean may weigh less than 1 where a deload speaks for itself.
        assert min(e.high_pct - e.low_pct for e in fitted.events) > 0.75 * (high - low)


def test_courses_are_cut_at_the_next_deload():
    strength, weights, _ = make_weeks(4, 0.01)
    deloads = np.arange(10, 400, 5)
    fitted = fit_deload_response(strength, weights, deloads)
    course = fitted.after_deloads
    assert course.n[-1] == 1  # only after the last one is a fifth week free
    assert np.isnan(course.mean[-1])
    assert np.all(np.isfinite(course.mean[3:7]))
    assert np.all(course.low[3:7] < course.mean[3:7])


def test_invented_dates_find_nothing():
    strength, weights, deloads = make_weeks(5, 0.015)
    fakes = fit_fake_deloads(strength, weights, deloads, n_fakes=60)
    assert fakes.effects_pct.size == 60
    assert abs(fakes.effects_pct.mean()) < 0.3
    assert fakes.own_pct == fit_deload_response(strength, weights, deloads).effect_pct
    assert fakes.share_as_far < 0.05


def test_where_nothing_is_planted_invented_dates_show_as_much():
    shares = [
        fit_fake_deloads(*make_weeks(seed, 0.0), n_fakes=60).share_as_far for seed in range(8)
    ]
    assert np.mean(shares) > 0.25


def test_without_ordinary_weeks_no_dates_can_be_invented():
    strength, weights, _ = make_weeks(5, 0.015)
    fakes = fit_fake_deloads(strength, weights, np.arange(8, 400, 3), n_fakes=10)
    assert fakes.effects_pct.size == 0
    assert fakes.share_as_far == 1.0


def test_leaving_out_a_year_is_the_fit_without_its_weeks():
    strength, weights, deloads = make_weeks(6, 0.012)
    year = np.arange(len(strength)) // 52
    found = leave_out_years(strength, weights, deloads, year)
    assert [one.year for one in found] == sorted(set(year.tolist()))
    whole = fit_deload_response(strength, weights, deloads)
    assert np.ptp([one.effect_pct for one in found]) < 1.0
    assert all(one.low_pct < one.effect_pct < one.high_pct for one in found)
    assert sum(whole.n - one.n for one in found) == whole.n
    assert np.mean([one.effect_pct for one in found]) == pytest.approx(whole.effect_pct, abs=0.2)


def test_a_year_that_carries_the_whole_effect_is_told():
    strength, weights, deloads = make_weeks(7, 0.0)
    for week in deloads[(deloads >= 104) & (deloads < 156)]:
        strength[week + 1 : week + 4] += 0.08
    found = {
        one.year: one.effect_pct
        for one in leave_out_years(strength, weights, deloads, np.arange(len(strength)) // 52)
    }
    assert min(found, key=found.get) == 2
    assert found[2] < 0.5 * np.median(list(found.values()))


def test_what_followed_another_kind_of_pause_is_not_charged_to_deloads():
    strength, weights, deloads = make_weeks(8, 0.0)
    rests = deloads[:-1:2] + 4
    strength[rests] = np.nan
    for week in rests:
        strength[week + 1 : week + 4] -= 0.02
    alone = fit_deload_response(strength, weights, deloads).effect_pct
    beside = fit_deload_response(strength, weights, deloads, None, rests).effect_pct
    assert abs(beside) < 0.6 < abs(alone)
    own = fit_deload_response(strength, weights, rests, None, deloads).effect_pct
    assert own == pytest.approx(-2.0, abs=0.7)


@pytest.mark.parametrize("spread", [0.0, 0.6, 1.5])
@pytest.mark.parametrize("number", [6, 30])
def test_intervals_of_single_deloads_hold_their_own_effect(number, spread):
    """Not the mean of all: each deload's own, whether they differ or not."""
    rng = np.random.default_rng(11)
    held, width = [], []
    for _ in range(200):
        variance = rng.uniform(0.6, 1.6, number)
        true = 1.0 + spread * rng.standard_normal(number)
        mean, se = pool_effects(true + np.sqrt(variance) * rng.standard_normal(number), variance)
        held.append(np.abs(mean - true) <= 1.96 * se)
        width.append(se)
    print(f"{number} deloads, spread {spread}: 95 % intervals hold {np.mean(held):.3f}")
    assert np.mean(held) >= 0.91
    assert np.mean(width) < 1.0


def test_sets_of_good_weeks_are_not_dropped_for_their_length():
    assert can_be_read(np.array([8.0, 12, 13]), np.array([4.0, 3, 3])).tolist() == [
        True,
        True,
        False,
    ]
    assert not can_be_read(np.array([8.0, 8]), np.array([5.0, np.nan])).any()


def test_weekly_strength_follows_the_weeks_through_a_swap_of_lifts():
    """Two lifts 40 % apart that change places in week 30: the common course must not jump."""
    rng = np.random.default_rng(0)
    week = np.repeat(np.arange(60), 6)
    lift = np.tile([0, 0, 1, 1, 2, 2], 60)
    keep = ~((lift == 1) & (week >= 30)) & ~((lift == 2) & (week < 24))
    week, lift = week[keep], lift[keep]
    course = 0.01 * np.sin(week / 4.0)
    level = np.array([4.6, 4.2, 4.9])[lift]
    strength, weights = fit_weekly_strength(
        week, lift, level + course + 0.002 * rng.standard_normal(len(week)), 60
    )
    known = np.isfinite(strength)
    assert known.all()
    error = strength - 0.01 * np.sin(np.arange(60) / 4.0)
    assert np.std(error) < 0.004
    assert weights[10] == pytest.approx(2 * 2 / 3)


def test_practice_on_a_new_lift_is_not_strength():
    week = np.repeat(np.arange(40), 2)
    lift = np.tile([0, 1], 40)
    keep = ~((lift == 1) & (week < 20))
    week, lift = week[keep], lift[keep]
    practice = np.where(lift == 1, -0.10 * np.exp(-(week - 20) / 1.5), 0.0)
    strength, _ = fit_weekly_strength(week, lift, 4.5 + practice, 40)
    assert np.ptp(strength) < 0.01
