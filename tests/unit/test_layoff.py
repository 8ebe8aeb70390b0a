"""Layoffs: which gaps were time off, what was lost, and when it was back."""

import numpy as np
import pytest

from pipeline.core.errors import Refusal
from pipeline.models.pauses.layoff import Layoff, LossByLength, find_layoffs, fit_layoffs
from pipeline.models.pauses.layoff_noise import fit_noise
from pipeline.models.pauses.layoff_regain import RegainByLength


def make_weeks(seed, layoffs, loss_per_week=0.006, tau=4.0, n_weeks=300, noise=0.008):
    """Weekly strength that falls by ``loss_per_week`` off and comes back with time ``tau``."""
    rng = np.random.default_rng(seed)
    strength = noise * rng.standard_normal(n_weeks)
    for layoff in layoffs:
        back = np.arange(n_weeks - layoff.end_week - 1)
        loss = loss_per_week * layoff.weeks_off
        strength[layoff.end_week + 1 :] -= loss * np.exp(-(back + 0.5) / tau)
        strength[layoff.start_week : layoff.end_week + 1] = np.nan
    return strength, np.where(np.isfinite(strength), 1.0, 0.0)


def test_known_time_off_is_a_layoff_and_an_unlogged_gap_is_not():
    has_sessions = np.ones(60, dtype=bool)
    has_sessions[10:14] = has_sessions[30:33] = has_sessions[45] = has_sessions[57:] = False
    unlogged = np.zeros(60, dtype=bool)
    unlogged[32] = True
    assert find_layoffs(has_sessions, unlogged) == (Layoff(10, 13),)
    assert Layoff(10, 13).weeks_off == 4
    assert len(find_layoffs(has_sessions, np.zeros(60, dtype=bool), least_weeks=1)) == 3


def test_planted_loss_lies_in_its_interval():
    layoffs = (Layoff(60, 69), Layoff(160, 165), Layoff(230, 233))
    errors, held = [], []
    for seed in range(12):
        fitted = fit_layoffs(*make_weeks(seed, layoffs), layoffs)
        for layoff, outcome in zip(layoffs, fitted.outcomes, strict=True):
            back = np.mean(np.exp(-(np.arange(2) + 0.5) / 4.0))
            true = -0.6 * layoff.weeks_off * back
            errors.append(outcome.loss_pct - true)
            held.append(outcome.low_pct <= true <= outcome.high_pct)
    assert abs(np.mean(errors)) < 0.3
    assert np.mean(held) >= 0.9


def test_weeks_to_regain_are_found_and_bounded():
    """90 % of a loss with time 4 is back after 4 ln 10 = 9.2 weeks (computed)."""
    layoffs = (Layoff(60, 73),)
    found = []
    for seed in range(10):
        outcome = fit_layoffs(*make_weeks(seed, layoffs, noise=0.005), layoffs).outcomes[0]
        assert outcome.regain_low <= outcome.weeks_to_regain <= outcome.regain_high
        found.append(outcome.regain_low <= 4.0 * np.log(10.0) <= outcome.regain_high)
    assert np.mean(found) >= 0.8


def test_sets_that_are_always_alike_make_no_loss_exact():
    """Where all weeks are alike the scatter is 0, yet no loss is known without error."""
    layoffs = (Layoff(60, 69), Layoff(120, 125), Layoff(160, 163))
    fitted = fit_layoffs(*make_weeks(0, layoffs, loss_per_week=0.0, noise=0.0), layoffs)
    assert all(one.high_pct - one.low_pct > 1.0 for one in fitted.outcomes)
    assert np.isfinite(fitted.by_length.pct_per_week)
    assert fitted.by_length.low < 0.0 < fitted.by_length.high


def test_no_loss_means_nothing_to_regain():
    layoffs = (Layoff(60, 62),)
    outcome = fit_layoffs(*make_weeks(1, layoffs, loss_per_week=0.0), layoffs).outcomes[0]
    assert outcome.low_pct < 0.0 < outcome.high_pct
    assert outcome.weeks_to_regain is None


def test_regain_not_seen_to_its_end_is_open():
    """Another layoff four weeks later hides the rest of a slow return."""
    layoffs = (Layoff(60, 73), Layoff(78, 83))
    strength, weights = make_weeks(2, layoffs[:1], tau=15.0)
    strength[78:84] = np.nan
    outcome = fit_layoffs(strength, weights, layoffs).outcomes[0]
    assert outcome.regain_high == float("inf")


def test_loss_against_length_needs_three():
    three = (Layoff(60, 69), Layoff(160, 165), Layoff(230, 233))
    two = fit_layoffs(*make_weeks(3, three[:2]), three[:2])
    assert isinstance(two.by_length, Refusal)
    assert (two.by_length.has, two.by_length.needs) == (2, 3)
    law = fit_layoffs(*make_weeks(3, three), three).by_length
    assert isinstance(law, LossByLength)
    assert law.low < -0.6 * np.exp(-0.25) < law.high
    assert law.longest_weeks == 10


def test_nothing_logged_around_it_is_refused():
    layoffs = (Layoff(60, 69),)
    strength, weights = make_weeks(4, layoffs)
    strength[50:85] = np.nan
    refusal = fit_layoffs(strength, weights, layoffs)
    assert isinstance(refusal, Refusal)
    assert "recorded reps in reserve" in refusal.sentence()


def test_noise_of_a_week_and_drift_are_told_apart():
    rng = np.random.default_rng(5)
    weights = np.tile([1.0, 4.0], 300)
    white = 0.01 * rng.standard_normal(600) / np.sqrt(weights)
    steady = fit_noise(white, weights)
    assert steady.week == pytest.approx(0.01, rel=0.15)
    assert steady.drift < 0.0015
    moving = fit_noise(white + np.cumsum(0.003 * rng.standard_normal(600)), weights)
    assert moving.week == pytest.approx(0.0103, rel=0.15)
    assert moving.drift == pytest.approx(0.003, rel=0.3)


def test_a_drift_widens_the_interval_of_a_long_layoff_more():
    rng = np.random.default_rng(6)
    strength, weights = make_weeks(6, (), loss_per_week=0.0)
    strength = strength + np.cumsum(0.004 * rng.standard_normal(300))
    widths = []
    for last in (62, 75):
        gone = strength.copy()
        gone[60 : last + 1] = np.nan
        (one,) = fit_layoffs(gone, weights, (Layoff(60, last),)).outcomes
        widths.append(one.high_pct - one.low_pct)
    assert widths[1] > 1.3 * widths[0]


def make_ramps(seed, layoffs, share, noise=0.006):
    """A loss of 0.7 % a week off that comes back along a straight line, 90 % of it after ``share``
    of the weeks off."""
    rng = np.random.default_rng(seed)
    strength = noise * rng.standard_normal(300)
    for layoff in layoffs:
        back = np.arange(300 - layoff.end_week - 1) + 0.5
        left = np.maximum(1.0 - 0.9 * back / (share * layoff.weeks_off), 0.0)
        strength[layoff.end_week + 1 :] -= 0.007 * layoff.weeks_off * left
        strength[layoff.start_week : layoff.end_week + 1] = np.nan
    return strength, np.where(np.isfinite(strength), 1.0, 0.0)


@pytest.mark.parametrize("share", [0.3, 0.5, 1.0])
def test_weeks_to_regain_for_each_week_off_come_back(share):
    layoffs = (Layoff(60, 69), Layoff(120, 127), Layoff(200, 213))
    errors, held = [], []
    for seed in range(20):
        rule = fit_layoffs(*make_ramps(seed, layoffs, share), layoffs).regain
        assert isinstance(rule, RegainByLength)
        errors.append(rule.weeks_per_week / share - 1.0)
        held.append(rule.low <= share <= rule.high)
    print(f"share {share}: mean error {np.mean(errors):.2f}, interval holds {np.mean(held):.2f}")
    assert abs(np.mean(errors)) < 0.2
    assert np.mean(held) >= 0.9


def test_one_return_makes_no_rule():
    layoffs = (Layoff(60, 69), Layoff(200, 201))
    refusal = fit_layoffs(*make_ramps(1, layoffs, 0.5), layoffs).regain
    assert isinstance(refusal, Refusal)
    assert (refusal.has, refusal.needs) == (1, 2)


def test_without_a_clear_loss_there_is_no_return():
    layoffs = (Layoff(60, 69), Layoff(120, 127))
    strength, weights = make_weeks(9, layoffs, loss_per_week=0.0)
    refusal = fit_layoffs(strength, weights, layoffs).regain
    assert isinstance(refusal, Refusal)
    assert (refusal.has, refusal.needs) == (0, 1)
    assert refusal.of_what.endswith("with a loss beyond the noise")
