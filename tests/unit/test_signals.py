"""Signals against sessions on made-up days whose association is known."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.core.errors import Refusal
from pipeline.models.signals.days import (
    SIGNAL_KINDS,
    DailySignal,
    SignalKind,
    lay_signal,
    mean_of_nights,
    slow_mean,
)
from pipeline.models.signals.effect import (
    Bouts,
    fit_fake_nights,
    fit_signal_effect,
    gather_bouts,
    log_set_strength,
)
from pipeline.models.signals.screen import screen_signals

N_DAYS = 1400
PLANTED = 0.012


def make_days(seed=0, error_sd=0.0, planted=PLANTED, noise=0.015):
    """Sessions every other day of three lifts in turn; sleep in hours with a slow wave."""
    rng = np.random.default_rng(seed)
    true = 7.0 + 0.6 * np.sin(np.arange(N_DAYS) / 60.0) + rng.normal(0, 0.8, N_DAYS)
    day = np.repeat(np.arange(0, N_DAYS, 2), 3)
    lift = np.tile(np.arange(3), day.size // 3)
    growth = 0.0001 * day * (lift + 1)
    value = 4.0 + lift + growth + planted * true[day] + rng.normal(0, noise, day.size)
    read = true + rng.normal(0, error_sd, N_DAYS) if error_sd else true
    signal = DailySignal(read, np.zeros(N_DAYS, dtype=np.int64), error_sd)
    return gather_bouts(day, lift, value), signal


def make_screen(bouts, sleep):
    rng = np.random.default_rng(9)
    device = np.zeros(N_DAYS, dtype=np.int64)
    steps = DailySignal(rng.normal(8, 2, N_DAYS), device)
    rate = DailySignal(rng.normal(55, 2, N_DAYS), device)
    return {"sleep_min": sleep, "resting_hr_bpm": rate, "steps": steps}


def test_without_noise_the_slope_is_the_planted_one():
    bouts, signal = make_days(noise=0.0)
    straight = gather_bouts(bouts.day, bouts.lift, 2.0 + PLANTED * signal.value[bouts.day])
    fitted = fit_signal_effect(straight, signal)
    assert fitted.effect_pct == pytest.approx(100 * PLANTED, rel=1e-9)
    assert fitted.p_value < 1e-12
    assert fitted.n_sessions == N_DAYS // 2


def test_growth_that_differs_between_lifts_and_slow_sleep_do_not_enter():
    fitted = [fit_signal_effect(*make_days(seed)) for seed in range(6)]
    mean = np.mean([one.effect_pct for one in fitted])
    se = np.mean([one.se_pct for one in fitted]) / np.sqrt(6)
    assert abs(mean - 100 * PLANTED) < 2 * se
    assert all(one.p_value < 0.001 for one in fitted)


def test_a_shift_between_devices_changes_nothing():
    bouts, signal = make_days()
    device = (np.arange(N_DAYS) >= 700).astype(np.int64)
    plain = fit_signal_effect(bouts, DailySignal(signal.value, device))
    shifted = fit_signal_effect(bouts, DailySignal(signal.value + 3.0 * device, device))
    assert shifted.effect_pct == pytest.approx(plain.effect_pct, rel=1e-6)
    unsaid = fit_signal_effect(bouts, DailySignal(signal.value + 3.0 * device, 0 * device))
    assert unsaid.effect_pct != pytest.approx(plain.effect_pct, rel=1e-3)


def test_device_error_is_corrected_by_its_share_of_the_variance():
    fitted = [fit_signal_effect(*make_days(seed, error_sd=0.5)) for seed in range(8)]
    believed = [
        fit_signal_effect(bouts, DailySignal(signal.value, signal.device))
        for bouts, signal in (make_days(seed, error_sd=0.5) for seed in range(8))
    ]
    mean, raw = (np.mean([one.effect_pct for one in some]) for some in (fitted, believed))
    # Classical attenuation: 0.64 / (0.64 + 0.25) of the slope is left (computed).
    assert raw == pytest.approx(100 * PLANTED * 0.72, rel=0.1)
    assert mean == pytest.approx(100 * PLANTED, rel=0.1)
    assert fitted[0].p_value == pytest.approx(believed[0].p_value)


def test_nothing_planted_is_seldom_called():
    called = [fit_signal_effect(*make_days(seed, planted=0.0)).p_value < 0.05 for seed in range(40)]
    assert sum(called) <= 4


def test_a_single_slip_of_the_pen_does_not_decide():
    bouts, signal = make_days()
    strength = bouts.strength.copy()
    strength[1000] += np.log(10.0)
    slipped = fit_signal_effect(Bouts(bouts.day, bouts.lift, strength, bouts.weight), signal)
    assert slipped.effect_pct == pytest.approx(fit_signal_effect(bouts, signal).effect_pct, abs=0.1)


def test_the_interval_allows_for_the_scale_and_the_p_value_does_not():
    fitted = fit_signal_effect(*make_days())
    low, high = fitted.interval(0.90)
    assert low < 100 * PLANTED < high
    assert high - low > 2 * 1.6 * fitted.se_pct


def test_few_sessions_are_refused_with_value_limit_and_remedy():
    bouts, signal = make_days()
    few = bouts.day < 60
    short = Bouts(bouts.day[few], bouts.lift[few], bouts.strength[few], bouts.weight[few])
    refusal = fit_signal_effect(short, signal)
    assert isinstance(refusal, Refusal)
    assert refusal.has == 30
    assert refusal.needs == 40
    none = fit_signal_effect(bouts, DailySignal(np.full(N_DAYS, np.nan), signal.device))
    assert isinstance(none, Refusal)
    assert none.has == 0


def test_few_months_are_refused_even_with_many_sessions():
    bouts, signal = make_days()
    few = bouts.day < 180
    short = Bouts(bouts.day[few], bouts.lift[few], bouts.strength[few], bouts.weight[few])
    refusal = fit_signal_effect(short, signal)
    assert isinstance(refusal, Refusal)
    assert refusal.of_what == "months with such sessions"


@pytest.mark.parametrize("steady", [7.5, 0.0])
def test_readings_that_never_differ_are_refused(steady):
    bouts, signal = make_days()
    fitted = fit_signal_effect(bouts, DailySignal(np.full(N_DAYS, steady), signal.device))
    assert isinstance(fitted, Refusal)
    assert "hardly ever differ" in fitted.remedy
    screen = screen_signals(
        bouts,
        {
            "sleep_min": signal,
            "steps": signal,
            "resting_hr_bpm": DailySignal(np.full(N_DAYS, steady), signal.device),
        },
    )
    assert sum(isinstance(one.effect, Refusal) for one in screen) == 2


def test_sessions_that_never_differ_are_refused():
    bouts, signal = make_days()
    same = Bouts(bouts.day, bouts.lift, 4.0 + bouts.lift, bouts.weight)
    fitted = fit_signal_effect(same, signal)
    assert isinstance(fitted, Refusal)
    assert "never differ" in fitted.remedy


def test_moved_nights_show_nothing():
    bouts, signal = make_days()
    fakes = fit_fake_nights(bouts, signal, n_fakes=60, seed=1)
    assert np.isfinite(fakes).all()
    assert np.abs(fakes).max() < fit_signal_effect(bouts, signal).effect_pct
    assert abs(np.mean(fakes)) < 0.1


def test_the_screen_finds_what_is_there_and_names_nothing_else():
    bouts, sleep = make_days()
    screen = screen_signals(bouts, make_screen(bouts, sleep))
    hits = {(one.name, one.nights) for one in screen if one.is_hit}
    assert ("sleep_min", 1) in hits
    assert {name for name, _ in hits} == {"sleep_min"}
    assert len(screen) == 6


def test_signals_without_readings_leave_the_family_as_it_was():
    bouts, sleep = make_days()
    full = make_screen(bouts, sleep)
    nothing = DailySignal(np.full(N_DAYS, np.nan), sleep.device)
    wider = screen_signals(bouts, {**full, "body_weight_kg": nothing})
    for one, other in zip(screen_signals(bouts, full), wider, strict=False):
        assert one.p_adjusted == pytest.approx(other.p_adjusted)
    assert all(isinstance(one.effect, Refusal) for one in wider[6:])


def test_more_left_than_said_counts_toward_strength():
    load, slope = np.full(3, 100.0), np.ones(3)
    reps, rir = np.full(3, 5.0), np.array([0.0, 1.0, 2.0])
    shown = np.exp(log_set_strength(load, reps, rir, slope))
    # Epley at 5, 6.2375 and 7.475 repetitions (computed).
    assert shown == pytest.approx([116.667, 120.792, 124.917], abs=1e-3)


@given(st.lists(st.one_of(st.none(), st.floats(0, 100)), min_size=1, max_size=60))
@settings(max_examples=60, deadline=None)
def test_means_are_those_of_the_readings_that_are_there(readings):
    value = np.array([np.nan if one is None else one for one in readings])
    three, slow = mean_of_nights(value, 3), slow_mean(value)
    for day in range(value.size):
        last = value[max(day - 2, 0) : day + 1]
        known = last[np.isfinite(last)]
        expected = known.mean() if known.size >= 2 else np.nan
        assert three[day] == pytest.approx(expected, nan_ok=True, abs=1e-9)
        around = value[max(day - 7, 0) : day + 8]
        known = around[np.isfinite(around)]
        expected = known.mean() if known.size >= 5 else np.nan
        assert slow[day] == pytest.approx(expected, nan_ok=True, abs=1e-9)


def kind_of(name) -> SignalKind:
    return next(one for one in SIGNAL_KINDS if one.name == name)


def test_heart_rate_variability_is_read_in_weeks_with_three_valid_days():
    day = np.array([0, 7, 9, 11, 30])
    laid = lay_signal(kind_of("hrv_rmssd_ms"), day, np.full(5, 60.0), np.zeros(5), 40)
    assert np.flatnonzero(np.isfinite(laid.value)).tolist() == [11]
    # In steps of 10 %: ln 60 / ln 1.1 (computed).
    assert laid.value[11] == pytest.approx(42.958, abs=1e-3)


def test_both_measures_of_variability_stand_alone():
    names = [one.name for one in SIGNAL_KINDS]
    assert {"hrv_rmssd_ms", "hrv_sdnn_ms"} <= set(names)
    assert len(names) == len(set(names))


def test_steps_are_those_of_the_day_before_and_sleep_that_of_the_last_night():
    steps = lay_signal(kind_of("steps"), np.array([4]), np.array([9000.0]), [0], 10)
    sleep = lay_signal(kind_of("sleep_min"), np.array([4]), np.array([450.0]), [0], 10)
    assert np.flatnonzero(np.isfinite(steps.value)).tolist() == [5]
    assert steps.value[5] == 9.0
    assert sleep.value[4] == 7.5
    assert sleep.error_sd == pytest.approx(20 / 60)


def test_readings_outside_the_record_are_let_go():
    laid = lay_signal(
        kind_of("body_weight_kg"), np.array([-3, 2, 50]), np.full(3, 80.0), [0] * 3, 10
    )
    assert np.flatnonzero(np.isfinite(laid.value)).tolist() == [2]
