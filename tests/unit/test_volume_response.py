"""Weekly sets against progress: the arithmetic, the refusals, and the honesty of the answer."""

import numpy as np
import pytest

from pipeline.core.errors import Refusal
from pipeline.models.volume import response_curve
from pipeline.models.volume.hold import fit_hold
from pipeline.models.volume.placebo import shuffle_weeks
from pipeline.models.volume.pool import fit_volume_response
from pipeline.models.volume.response_curve import VolumePrior
from pipeline.models.weeks import pair_blocks
from tests.shuffled import fit_shuffled_weeks

PRIOR = VolumePrior(centre_sets=12.0, spread_sets=3.0)


def make_record(seed=0, years=10, best=15.0, noise=0.002, growth=0.03, curvature=1.2):
    """One muscle's index, sets and training age with a planted optimum; growth in log a year."""
    rng = np.random.default_rng(seed)
    n_weeks = round(52 * years)
    age = 3.0 + np.arange(n_weeks) / 52.1775
    phases = np.exp(rng.normal(0.0, 0.4, n_weeks // 13 + 1))
    sets = np.repeat(13.0 * phases, 13)[:n_weeks]
    response = np.maximum(1.0 - curvature * ((sets - best) / best) ** 2, -1.0)
    weekly = growth * 5.0 / age * response / 52.1775
    level = np.cumsum(weekly) + noise * rng.standard_normal(n_weeks)
    return level, np.full(n_weeks, max(noise, 1e-4)), sets, age


def test_growth_operator_adds_up_exactly():
    """A level is the running sum of its growth, so the two operators must agree to rounding."""
    rng = np.random.default_rng(1)
    is_used = rng.random(200) > 0.2
    growth = rng.normal(size=200)
    pairs = pair_blocks(is_used, 7, 4, longest_gap=3)
    assert pairs.n_pairs > 15
    direct = pairs.difference @ np.cumsum(growth)
    np.testing.assert_allclose(pairs.growth @ growth, direct, atol=1e-9)


def test_blocks_are_not_compared_across_a_long_gap():
    is_used = np.ones(140, dtype=bool)
    is_used[63:70] = False
    pairs = pair_blocks(is_used, 7, 4)
    assert pairs.n_pairs == 8 + 9
    assert not np.any((pairs.start_week < 63) & (pairs.end_week > 63))


def test_derivatives_agree_with_finite_differences():
    level, _, sets, age = make_record(years=5)
    pairs = pair_blocks(np.ones(len(level), dtype=bool), 7, 4)
    rng = np.random.default_rng(3)
    design = response_curve.VolumeDesign(
        change=pairs.difference @ level,
        growth=pairs.growth,
        sets=sets,
        age=age,
        energy=rng.integers(-1, 2, len(sets)).astype(float),
        recent=pairs.difference @ sets,
        weight=rng.normal(size=pairs.n_pairs),
    )
    values = PRIOR.values(rng.normal(0.0, 0.5, response_curve.N_VALUES))
    _, slopes = response_curve.predict_change(design, values)
    for column in range(response_curve.N_VALUES):
        step = np.zeros(response_curve.N_VALUES)
        step[column] = 1e-6
        up, _ = response_curve.predict_change(design, values + step)
        down, _ = response_curve.predict_change(design, values - step)
        np.testing.assert_allclose(slopes[:, column], (up - down) / 2e-6, rtol=1e-4, atol=1e-8)


def test_clear_optimum_is_found_and_lies_inside_its_interval():
    level, se, sets, age = make_record(best=15.0, noise=0.0005)
    fitted = fit_volume_response(level, se, sets, age, prior=PRIOR)
    _, low, high = fitted.best_sets(8.0)
    assert low <= 15.0 <= high
    assert fitted.gain_over_prior(8.0) < 0.7
    plain = fit_volume_response(level, se, sets, age, prior=PRIOR, power=1.0)
    assert abs(plain.best_sets(8.0)[0] - 15.0) < 1.0


def test_a_record_that_says_nothing_gives_back_the_prior():
    rng = np.random.default_rng(2)
    level, se, sets, age = make_record()
    noisy = level + 0.08 * rng.standard_normal(len(level))
    fitted = fit_volume_response(noisy, se + 0.08, sets, age, prior=PRIOR)
    estimate, low, high = fitted.best_sets(5.0)
    before, prior_low, prior_high = fitted.prior_best_sets(5.0)
    assert abs(estimate - before) < 0.5
    assert fitted.gain_over_prior(5.0) > 0.95
    assert (high - low) > 0.9 * (prior_high - prior_low)
    # 1.645 standard deviations of the prior to either side
    assert prior_high - prior_low == pytest.approx(2 * 1.645 * 3.0, rel=0.05)


def test_two_years_are_refused_with_value_limit_and_remedy():
    level, se, sets, age = make_record(years=2)
    refusal = fit_volume_response(level, se, sets, age, prior=PRIOR)
    assert isinstance(refusal, Refusal)
    assert refusal.has < refusal.needs == 20
    assert "comparisons of seven-week blocks" in refusal.sentence()
    assert isinstance(fit_hold(level, se, sets, age), Refusal)


def test_sets_that_never_changed_are_refused():
    level, se, sets, age = make_record()
    refusal = fit_volume_response(level, se, np.full(len(sets), 12.0), age, prior=PRIOR)
    assert isinstance(refusal, Refusal)
    assert refusal.has == 0
    assert "weekly sets between" in refusal.of_what


def test_unlogged_weeks_and_weeks_left_out_are_not_read():
    """Nonsense in the level of weeks that may not be read must not change the answer at all."""
    level, se, sets, age = make_record()
    left_out = np.zeros(len(level), dtype=bool)
    left_out[100:112] = True
    sets[200:210] = np.nan
    spoilt = level.copy()
    spoilt[100:112] += 0.5
    spoilt[200:210] -= 0.5
    plain = fit_volume_response(level, se, sets, age, prior=PRIOR, left_out=left_out)
    after = fit_volume_response(spoilt, se, sets, age, prior=PRIOR, left_out=left_out)
    assert plain.best_sets(8.0) == after.best_sets(8.0)


def test_dieting_is_separated_only_with_body_weight_or_declared_phases():
    level, se, sets, age = make_record()
    weight = np.full(len(level), 80.0)
    sparse = np.where(np.arange(len(level)) % 10 == 0, weight, np.nan)
    without = fit_volume_response(level, se, sets, age, prior=PRIOR)
    with_weight = fit_volume_response(level, se, sets, age, prior=PRIOR, body_weight_kg=weight)
    too_few = fit_volume_response(level, se, sets, age, prior=PRIOR, body_weight_kg=sparse)
    told = fit_volume_response(level, se, sets, age, prior=PRIOR, energy=np.zeros(len(level)))
    kinds = [fit.is_separated_from_dieting for fit in (without, with_weight, too_few, told)]
    assert kinds == [False, True, False, True]


def test_body_weight_takes_the_progress_that_dieting_made():
    """Sets and body weight move together; without the weight the optimum follows the diet."""
    level, se, sets, age = make_record(best=10.0, noise=0.0005, years=12)
    rng = np.random.default_rng(4)
    diet = np.repeat(rng.integers(-1, 2, len(level) // 16 + 1), 16)[: len(level)]
    weight = 80.0 * np.exp(np.cumsum(diet) * 0.002)
    sets = sets * np.where(diet > 0, 1.3, np.where(diet < 0, 0.75, 1.0))
    response = 1.0 - 1.2 * ((sets - 10.0) / 10.0) ** 2
    weekly = 0.03 * 5.0 / age * np.maximum(response, -1.0) / 52.1775 + 0.0006 * diet
    level = np.cumsum(weekly) + 0.0005 * rng.standard_normal(len(level))
    without = fit_volume_response(level, se, sets, age, prior=PRIOR).best_sets(8.0)[0]
    fitted = fit_volume_response(level, se, sets, age, prior=PRIOR, body_weight_kg=weight)
    assert abs(fitted.best_sets(8.0)[0] - 10.0) < 0.5 < without - 10.0


def test_curve_peaks_at_the_best_sets_and_its_band_holds_it():
    level, se, sets, age = make_record(noise=0.0005)
    fitted = fit_volume_response(level, se, sets, age, prior=PRIOR)
    grid = np.arange(2.0, 30.0, 0.5)
    mean, low, high = fitted.curve(8.0, grid)
    assert np.all((low <= mean) & (mean <= high))
    assert abs(grid[np.argmax(mean)] - fitted.best_sets(8.0)[0]) < 1.5
    supported = fitted.supported_range(8.0)
    assert supported.low < fitted.best_sets(8.0)[0] < supported.high
    assert supported.low_interval[0] <= supported.low <= supported.low_interval[1]
    assert supported.high_interval[0] <= supported.high <= supported.high_interval[1]


def test_range_is_open_where_more_was_never_tried():
    level, se, sets, age = make_record(best=24.0, noise=0.0005)
    wide = VolumePrior(centre_sets=22.0, spread_sets=4.0)
    few = np.minimum(sets, 16.0)
    fitted = fit_volume_response(level, se, few, age, prior=wide)
    assert fitted.inside_high <= 16.0
    assert fitted.supported_range(8.0).is_open


def test_the_same_seed_gives_the_same_answer():
    level, se, sets, age = make_record()
    one = fit_volume_response(level, se, sets, age, prior=PRIOR, seed=5)
    two = fit_volume_response(level, se, sets, age, prior=PRIOR, seed=5)
    assert one.best_sets(8.0) == two.best_sets(8.0)


def test_shuffled_weeks_keep_every_week_and_find_nothing():
    level, se, sets, age = make_record(best=15.0, noise=0.01)
    sets[50:60] = np.nan
    shuffled = shuffle_weeks(sets, np.random.default_rng(0))
    np.testing.assert_array_equal(np.isnan(shuffled), np.isnan(sets))
    np.testing.assert_allclose(np.sort(shuffled), np.sort(sets))
    shifts, share_found = fit_shuffled_weeks(
        level, se, sets, age, prior=PRIOR, age=8.0, n_shuffles=20
    )
    assert share_found == 0.0
    assert np.abs(shifts).max() < 0.7 * PRIOR.spread_sets


def test_least_that_held_is_the_lowest_group_that_kept_the_index():
    """Below 8 sets the planted muscle loses 10 % a year, above it gains 2 %."""
    rng = np.random.default_rng(6)
    n_weeks = 520
    sets = np.repeat(rng.choice([4.0, 10.0, 16.0], n_weeks // 26 + 1), 26)[:n_weeks]
    weekly = np.where(sets < 8.0, -0.10, 0.02) / 52.1775
    level = np.cumsum(weekly) + 0.004 * rng.standard_normal(n_weeks)
    age = 3.0 + np.arange(n_weeks) / 52.1775
    held = fit_hold(level, np.full(n_weeks, 0.004), sets, age)
    assert 8.0 < held.sets <= 12.0
    assert held.low_pct_year > -2.0
    assert not held.is_lowest_tried
    lost = fit_hold(np.cumsum(np.full(n_weeks, -0.1 / 52)), np.full(n_weeks, 0.004), sets, age)
    assert isinstance(lost, Refusal)


def test_the_first_day_of_training_has_a_finite_growth():
    values = np.array([12.0, 0.0, 1.0, 0.03, 1.0, 0.0, 0.0, 0.0])
    at_none, at_least = (
        response_curve.response_at(values, age, 12.0) for age in (0.0, response_curve.LEAST_AGE)
    )
    assert np.isfinite(at_none)
    assert at_none == at_least > 0
