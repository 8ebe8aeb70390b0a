"""What would narrow: feasible plans, and the expected interval against whole simulation."""

import numpy as np
import pytest

from pipeline.models import volume_map
from pipeline.models.narrowing import (
    YEARS,
    Outlook,
    count_years,
    expected_ratio,
    find_best_plan,
    future_pairs,
)
from pipeline.models.narrowing_counts import (
    count_pieces_to_tell,
    count_weeks_to_slope,
    expected_half_width,
)
from pipeline.models.narrowing_plans import (
    MOST_OVER,
    STEP,
    WEEKS,
    Limits,
    Plan,
    find_limits,
    list_plans,
)
from pipeline.models.volume_map import VolumePrior
from pipeline.models.weeks import WEEKS_PER_YEAR

AGE = 8.0


def make_outlook(level_se=0.004, block_noise=0.003, power=1.0, spread=4.0) -> Outlook:
    """Eight years at 10 to 14 weekly sets, and the prior itself as the posterior."""
    n_weeks = 416
    prior = VolumePrior(14.0, spread, growth_pct_year=4.0)
    scores = np.random.default_rng(0).standard_normal((1000, volume_map.N_VALUES))
    sets = 12.0 + 2.0 * np.sin(np.arange(n_weeks) / 9.0)
    return Outlook(
        draws=prior.values(np.concatenate([scores, -scores])),
        weekly_sets=sets,
        level_se=np.full(n_weeks, level_se),
        training_age_years=AGE - n_weeks / WEEKS_PER_YEAR + np.arange(n_weeks) / WEEKS_PER_YEAR,
        is_used=np.ones(n_weeks, dtype=bool),
        centre_sets=14.0,
        level_noise_factor=1.0,
        block_noise=block_noise,
        power=power,
    )


def test_expected_ratio_is_that_of_the_conjugate_rule():
    """One normal mean, seen m times: variance 1 / (1 + m / s^2) (conjugate normal; computed)."""
    rng = np.random.default_rng(1)
    half = rng.standard_normal(4000)
    quantity = np.concatenate([half, -half])
    for m, sd in ((1, 1.0), (4, 2.0), (10, 2.0)):
        signals = np.repeat(quantity[:, None], m, axis=1)
        ratio = expected_ratio(quantity, signals, sd**2 * np.eye(m))
        assert ratio == pytest.approx(np.sqrt(1.0 / (1.0 + m / sd**2)), abs=0.02)


def test_expected_ratio_agrees_with_the_linear_gaussian_rule_for_many_values():
    """var(q | y) = var(q) - cov(q, y) (cov(y, y) + R)^-1 cov(y, q), exact for normal draws."""
    rng = np.random.default_rng(3)
    half = rng.standard_normal((5000, 4))
    draws = np.concatenate([half, -half])
    seen = draws @ rng.standard_normal((4, 3))
    noise = np.array([[2.0, -0.5, 0.0], [-0.5, 2.0, -0.5], [0.0, -0.5, 2.0]])
    quantity = draws[:, 0]
    shared = quantity @ seen / quantity.size
    told = shared @ np.linalg.solve(seen.T @ seen / quantity.size + noise, shared)
    exact = np.sqrt(1.0 - told / np.var(quantity))
    assert expected_ratio(quantity, seen, noise) == pytest.approx(exact, abs=0.03)
    assert exact < 0.9


def test_what_shows_nothing_narrows_nothing():
    rng = np.random.default_rng(4)
    quantity = rng.standard_normal(1000)
    assert expected_ratio(quantity, np.zeros((1000, 2)), np.eye(2)) == pytest.approx(1.0, abs=1e-2)


def test_plans_keep_to_what_was_trained():
    outlook = make_outlook()
    limits = find_limits(outlook.weekly_sets, outlook.is_used)
    low, high = np.percentile(outlook.weekly_sets, [4, 97])
    assert (limits.low, limits.high) == pytest.approx((low, MOST_OVER * high))
    plans = list_plans(limits)
    assert len({plan.levels for plan in plans}) == len(plans) >= 8
    for plan in plans:
        weeks = np.concatenate([[limits.now], plan.weekly_sets])
        assert plan.weekly_sets.size == WEEKS
        assert weeks.min() >= min(limits.now, limits.low) - 1e-9
        assert weeks.max() <= limits.high + 1e-9
        change = weeks[1:] / weeks[:-1]
        assert change.max() <= 1.0 + STEP + 1e-9
        assert change.min() >= 1.0 / (1.0 + STEP) - 1e-9


def test_no_plan_is_a_layoff():
    sets = np.where(np.arange(60) % 3 == 0, 0.0, 2.0)
    plans = list_plans(find_limits(sets, np.ones(60, dtype=bool)))
    assert min(plan.weekly_sets.min() for plan in plans) >= 1.0


def test_a_quieter_record_is_narrowed_more_and_a_power_counts_as_noise():
    plans = list_plans(Limits(12.0, 8.0, 17.0))
    ratios = [
        find_best_plan(make_outlook(**values), plans, AGE).ratio
        for values in (
            {"block_noise": 0.001, "level_se": 0.001},
            {"block_noise": 0.01},
            {"block_noise": 0.01, "power": 0.25},
        )
    ]
    assert ratios[0] < ratios[1] < ratios[2] <= 1.0
    assert not find_best_plan(make_outlook(block_noise=0.01, power=0.25), plans, AGE).narrows


def test_more_narrowing_takes_more_years():
    outlook = make_outlook()
    some, much = count_years(outlook, AGE, 0.10), count_years(outlook, AGE, 0.40)
    assert some in YEARS
    assert much is None or much > some
    assert count_years(make_outlook(block_noise=0.05, power=0.25), AGE, 0.5) is None


def test_only_comparisons_that_add_a_block_count():
    outlook = make_outlook()
    future = future_pairs(outlook, WEEKS)
    # 416 weeks end in a block of three; its sixteen further weeks complete that one and add two.
    assert future.noise().shape == (2, 2) or future.noise().shape == (3, 3)
    plan = Plan(np.full(WEEKS, 12.0), (12.0,))
    assert future.signals(outlook.draws[:7], plan).shape == (7, future.noise().shape[0])


def test_a_slope_needs_the_weeks_that_the_error_of_a_change_says():
    weeks = count_weeks_to_slope(8.0, 52, 4.0, 156)
    longer = 52 + weeks
    error = np.sqrt((1 - np.exp(-longer / 52)) / (1 - np.exp(-1)))
    assert 8.0 * error * 52 / longer <= 4.0
    shorter = longer - 1
    error = np.sqrt((1 - np.exp(-shorter / 52)) / (1 - np.exp(-1)))
    assert 8.0 * error * 52 / shorter > 4.0
    assert count_weeks_to_slope(3.0, 52, 4.0, 156) == 0
    assert count_weeks_to_slope(9.0, 150, 4.0, 156) is None


def test_pieces_to_tell_agree_with_simulation():
    """Truth drawn about the estimate, more pieces simulated: half of the intervals leave zero."""
    estimate, half, n, reach = 0.6, 1.2, 8, 1.96
    more = count_pieces_to_tell(estimate, half, n, reach)
    assert more is not None
    rng = np.random.default_rng(2)
    sd = half / reach * np.sqrt(n)
    truth = estimate + half / reach * rng.standard_normal(200_000)
    seen = truth + sd / np.sqrt(more) * rng.standard_normal(truth.size)
    new = (n * estimate + more * seen) / (n + more)
    told = np.mean(np.abs(new) > expected_half_width(half, n, more))
    assert told == pytest.approx(0.5, abs=0.02)
    assert count_pieces_to_tell(2.0, 1.2, 8, 1.96) == 0
    assert count_pieces_to_tell(0.0, 1.0, 10, 1.96) == 85  # 9.46 times n in all; computed
