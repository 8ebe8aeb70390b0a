"""What would narrow: feasible plans, and the expected interval against whole simulation."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from pipeline.models.narrowing.blocks import (
    LEAST_NARROWING,
    YEARS,
    BlockSearch,
    Outlook,
    count_years,
    lay_usual,
    outlook_of,
    ratios_after,
    weighed_ratio,
)
from pipeline.models.narrowing.counts import (
    count_pieces_to_tell,
    count_weeks_to_slope,
    narrow_by_pieces,
)
from pipeline.models.narrowing.future import future_pairs
from pipeline.models.narrowing.plans import (
    MOST_OVER,
    STEP,
    WEEKS,
    Plan,
    find_limits,
    list_plans,
)
from pipeline.models.volume.pool import fit_volume_pool
from pipeline.models.volume.response_curve import VolumePrior
from pipeline.models.volume.weekly_record import MuscleWeeks
from pipeline.models.weeks import WEEKS_PER_YEAR

N_WEEKS = 416
MUSCLES = ("chest", "lats", "quads")
AGE = np.arange(N_WEEKS) / WEEKS_PER_YEAR


@cache
def make_outlook(noise: float = 0.004, shrunk: float = 1.0, power: float = 0.25) -> Outlook:
    """Eight years of three muscles with a planted best of 15 sets, fitted together.

    noise : of the weekly index, log. shrunk : factor on the posterior's covariance.
    """
    rng = np.random.default_rng(7)
    age = 1.0 + AGE
    weeks = {}
    for number, name in enumerate(MUSCLES):
        sets = 12.0 + 4.0 * np.sin(np.arange(N_WEEKS) / (9.0 + number))
        shape = 1.0 - 0.8 * ((sets - 15.0) / 15.0) ** 2
        level = np.cumsum(0.04 * 5.0 / age * shape / WEEKS_PER_YEAR)
        level += noise * rng.standard_normal(N_WEEKS)
        se = np.full(N_WEEKS, noise)
        weeks[name] = MuscleWeeks(level, se, sets, np.zeros(N_WEEKS, dtype=bool))
    priors = dict.fromkeys(MUSCLES, VolumePrior(14.0, 4.0))
    outlook = outlook_of(fit_volume_pool(weeks, age, priors=priors, power=power), weeks, age, power)
    assert outlook is not None
    found = replace(outlook.found, covariance=shrunk * outlook.found.covariance)
    return replace(outlook, found=found)


def best_of(outlook: Outlook, muscle: str = "chest"):
    plans = list_plans(find_limits(outlook.weekly_sets[muscle], outlook.is_used[muscle]))
    return BlockSearch(outlook, WEEKS).find_best(muscle, plans)


def test_expected_ratio_is_that_of_the_conjugate_rule():
    """One normal mean, seen m times: variance 1 / (1 + m / s^2) (conjugate normal; computed)."""
    rng = np.random.default_rng(1)
    half = rng.standard_normal(4000)
    quantity = np.concatenate([half, -half])
    for m, sd in ((1, 1.0), (4, 2.0), (10, 2.0)):
        shown = np.repeat(quantity[:, None], m, axis=1) / sd
        ratio = weighed_ratio(quantity, shown)
        assert ratio == pytest.approx(np.sqrt(1.0 / (1.0 + m / sd**2)), abs=0.02)


def test_expected_ratio_agrees_with_the_linear_gaussian_rule_for_many_values():
    """var(q | y) = var(q) - cov(q, y) (cov(y, y) + I)^-1 cov(y, q), exact for normal draws."""
    rng = np.random.default_rng(3)
    half = rng.standard_normal((5000, 4))
    draws = np.concatenate([half, -half])
    seen = draws @ rng.standard_normal((4, 3)) / 1.4
    quantity = draws[:, 0]
    shared = quantity @ seen / quantity.size
    told = shared @ np.linalg.solve(seen.T @ seen / quantity.size + np.eye(3), shared)
    exact = np.sqrt(1.0 - told / np.var(quantity))
    assert weighed_ratio(quantity, seen) == pytest.approx(exact, abs=0.03)
    assert exact < 0.9


def test_what_shows_nothing_narrows_nothing():
    rng = np.random.default_rng(4)
    quantity = rng.standard_normal(1000)
    assert weighed_ratio(quantity, np.zeros((1000, 2))) == pytest.approx(1.0, abs=1e-2)


@pytest.mark.parametrize("muscle", MUSCLES)
def test_added_curvature_agrees_with_simulation_where_the_posterior_is_narrow(muscle):
    """Over a narrow posterior all curves are straight, so the two must give the same width."""
    wide = make_outlook(noise=0.0003, power=1.0)
    narrow = make_outlook(noise=0.0003, shrunk=0.005, power=1.0)
    # Comparisons 200 times as telling: as much is learnt as by the usual ones from all of it.
    telling = replace(narrow, power=narrow.power / 0.005)
    laid = [lay_usual(telling, name, 2 * WEEKS) for name in telling.joint]
    added = ratios_after(telling, laid, 2 * WEEKS)[muscle]
    simulated = BlockSearch(telling, 2 * WEEKS).ratio(muscle, {})
    assert simulated == pytest.approx(added, abs=0.03)
    assert added < 0.995
    same = [lay_usual(wide, name, 2 * WEEKS) for name in wide.joint]
    assert ratios_after(wide, same, 2 * WEEKS)[muscle] == pytest.approx(added, abs=1e-6)


def test_plans_keep_to_what_was_trained():
    outlook = make_outlook()
    limits = find_limits(outlook.weekly_sets["chest"], outlook.is_used["chest"])
    low, high = np.percentile(outlook.weekly_sets["chest"], [4, 97])
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


def test_a_quieter_record_is_narrowed_more():
    quiet, loud = make_outlook(noise=0.0005, power=1.0), make_outlook(noise=0.03)
    assert best_of(quiet).ratio < best_of(loud).ratio <= 1.01
    assert best_of(quiet).narrows == (best_of(quiet).ratio <= 1.0 - LEAST_NARROWING)
    assert not best_of(loud).narrows


def test_more_narrowing_takes_more_years():
    outlook = make_outlook(noise=0.0003, power=1.0)
    some, much = count_years(outlook, 0.05), count_years(outlook, 0.30)
    for name in MUSCLES:
        assert some[name] in YEARS
        assert much[name] is None or much[name] > some[name]
    assert set(count_years(make_outlook(noise=0.05), 0.6).values()) == {None}


def test_only_comparisons_that_add_a_block_count():
    used = np.ones(N_WEEKS, dtype=bool)
    # 416 weeks end in a block of three, too few to compare: that completed, and two more.
    future = future_pairs(used, np.ones(WEEKS, dtype=bool))
    assert future.pairs.n_pairs == 3
    assert future.ends_within(7) == 1
    whole = future_pairs(np.ones(420, dtype=bool), np.ones(14, dtype=bool))
    assert whole.pairs.n_pairs == 2
    assert future_pairs(used, np.zeros(WEEKS, dtype=bool)).pairs.n_pairs == 0


def test_a_level_that_grows_evenly_shows_its_growth():
    """A smoothed straight line is itself: a difference of blocks a week apart is seven weeks'."""
    future = future_pairs(np.ones(210, dtype=bool), np.ones(14, dtype=bool))
    weekly = np.full(future.pairs.growth.shape[1], 0.001)
    np.testing.assert_allclose(future.pairs.growth @ weekly, 0.007, rtol=0.02)


def test_the_same_question_has_the_same_answer():
    outlook = make_outlook()
    plan = Plan(np.full(WEEKS, 12.0), (12.0,))
    used = np.ones(WEEKS, dtype=bool)
    answers = {BlockSearch(outlook, WEEKS).ratio("lats", {"lats": (plan, used)}) for _ in range(2)}
    assert len(answers) == 1


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
    told = np.mean(np.abs(new) > narrow_by_pieces(half, n, more))
    assert told == pytest.approx(0.5, abs=0.02)
    assert count_pieces_to_tell(2.0, 1.2, 8, 1.96) == 0
    assert count_pieces_to_tell(0.0, 1.0, 10, 1.96) == 85  # 9.46 times n in all; computed
