"""The joint fit of all muscles: its algebra, what it refuses, what other lifters change."""

from dataclasses import replace

import numpy as np
import pytest

from pipeline.core.errors import Refusal
from pipeline.models.volume.answer import VolumeResponse
from pipeline.models.volume.group import GroupShift, LifterSummary, pool_lifters, summarise_muscle
from pipeline.models.volume.noise import NUGGET, NoiseScales, Whitener
from pipeline.models.volume.pool import fit_volume_pool
from pipeline.models.volume.response_curve import VolumePrior
from pipeline.models.volume.trend import fit_tolerance_trend
from pipeline.models.volume.weekly_record import SMOOTHING_WEEKS, MuscleWeeks, smooth_pairs
from pipeline.models.weeks import pair_blocks

PRIOR = VolumePrior(centre_sets=12.0, spread_sets=3.0)
NAMES = ("one", "two", "three")


def make_muscles(years=8, best=15.0, seed=0):
    """Three muscles with the same planted optimum, and the training age."""
    rng = np.random.default_rng(seed)
    n_weeks = round(52 * years)
    age = 3.0 + np.arange(n_weeks) / 52.1775
    muscles = {}
    for name in NAMES:
        sets = np.repeat(13.0 * np.exp(rng.normal(0.0, 0.4, n_weeks // 13 + 1)), 13)[:n_weeks]
        response = np.maximum(1.0 - 1.2 * ((sets - best) / best) ** 2, -1.0)
        level = np.cumsum(0.03 * 5.0 / age * response / 52.1775)
        level += 0.0005 * rng.standard_normal(n_weeks)
        muscles[name] = MuscleWeeks(
            level, np.full(n_weeks, 0.002), sets, np.zeros(n_weeks, dtype=bool)
        )
    return muscles, age


def fit(muscles, age, **others):
    return fit_volume_pool(muscles, age, priors=dict.fromkeys(muscles, PRIOR), **others).answers


def test_whitened_inner_products_are_those_of_the_dense_covariance():
    """Outside value: the covariance written out and inverted (computed)."""
    slots = [np.array([0.0, 1.0, 2.5, 4.0]), np.array([0.5, 1.5, 3.0])]
    scales = NoiseScales(np.array([0.5, 2.0]), 0.4, 0.8)
    slot = np.concatenate(slots)
    scale = np.repeat(scales.scale, [4, 3])
    muscle = np.repeat([0, 1], [4, 3])
    steps = np.arange(6)
    read = np.maximum(1.0 - np.abs(slot[:, None] - steps), 0.0)
    calendar = 0.4 ** np.abs(steps[:, None] - steps)
    dense = (muscle[:, None] == muscle) * 0.4 ** np.abs(slot[:, None] - slot)
    dense = dense + NUGGET**2 * np.eye(7) + 0.8**2 * read @ calendar @ read.T
    dense = dense * np.outer(scale, scale)
    columns = np.random.default_rng(0).normal(size=(7, 3))
    whitener = Whitener(slots, scales)
    expected = columns.T @ np.linalg.solve(dense, columns)
    np.testing.assert_allclose(whitener.gram([columns[:4], columns[4:]]), expected, rtol=1e-9)
    first = columns[:, 0]
    cost = 0.5 * (np.linalg.slogdet(dense)[1] + first @ np.linalg.solve(dense, first))
    assert whitener.cost([first[:4], first[4:]]) == pytest.approx(cost)


def test_smoothed_comparisons_are_those_of_the_penalised_least_squares_curve():
    """Outside value: (I + h^4 D'D)^-1 as a dense matrix (computed)."""
    pairs = pair_blocks(np.ones(70, dtype=bool), 7, 4)
    second = np.diff(np.eye(70), n=2, axis=0)
    smoother = np.linalg.inv(np.eye(70) + SMOOTHING_WEEKS**4 * second.T @ second)
    level = np.cumsum(np.random.default_rng(1).normal(size=70))
    smooth = smooth_pairs(pairs)
    np.testing.assert_allclose(
        smooth.difference @ level, pairs.difference @ smoother @ level, atol=1e-8
    )
    growth = np.random.default_rng(2).normal(size=70)
    np.testing.assert_allclose(
        smooth.growth @ growth, smooth.difference @ np.cumsum(growth), atol=1e-8
    )


def test_muscles_together_say_more_than_one_alone():
    muscles, age = make_muscles()
    together = fit(muscles, age)["one"]
    alone = fit({"one": muscles["one"]}, age)["one"]
    assert together.gain_over_prior(8.0) < alone.gain_over_prior(8.0)
    low, high = together.best_sets(8.0)[1:]
    assert low <= 15.0 <= high


def test_a_muscle_with_few_comparisons_or_even_sets_is_answered_from_the_others():
    muscles, age = make_muscles()
    short = muscles["two"].left_out.copy()
    short[100:] = True
    even = np.full(len(age), 12.0)
    muscles["two"] = replace(muscles["two"], left_out=short)
    muscles["three"] = replace(muscles["three"], weekly_sets=even)
    answers = fit(muscles, age)
    assert all(isinstance(answers[name], VolumeResponse) for name in NAMES)
    assert answers["two"].n_blocks < answers["one"].n_blocks
    assert answers["one"].gain_over_prior(8.0) < answers["two"].gain_over_prior(8.0) < 1.02


def test_hardly_a_year_of_a_muscle_and_two_years_of_all_are_refused():
    muscles, age = make_muscles()
    new = muscles["two"].left_out.copy()
    new[40:] = True
    answers = fit({**muscles, "two": replace(muscles["two"], left_out=new)}, age)
    assert isinstance(answers["two"], Refusal)
    assert answers["two"].has < answers["two"].needs == 8
    short, age = make_muscles(years=2)
    assert all(isinstance(answer, Refusal) for answer in fit(short, age).values())
    trend = fit_tolerance_trend(short, age, priors=dict.fromkeys(short, PRIOR))
    assert isinstance(trend, Refusal)
    assert trend.sentence().startswith("Not enough")


def test_a_trend_needs_five_years_and_no_muscle_gives_none():
    muscles, age = make_muscles(years=4)
    refused = fit_tolerance_trend(muscles, age, priors=dict.fromkeys(muscles, PRIOR))
    assert isinstance(refused, Refusal)
    assert refused.needs == 5.0
    assert isinstance(fit_tolerance_trend({}, age, priors={}), Refusal)


def test_the_same_record_gives_the_same_answers():
    muscles, age = make_muscles(years=5)
    first, second = (fit(muscles, age)["one"].best_sets(6.0) for _ in range(2))
    assert first == second


def test_a_summary_is_the_posterior_less_its_prior():
    """Normal prior N(12, 3^2) and a reading 15 with variance 4 give the posterior (computed)."""
    precision = 1 / 9 + 1 / 4
    mean = (12 / 9 + 15 / 4) / precision
    told = summarise_muscle(mean, precision**-0.5, 12.0, 3.0)
    assert told == pytest.approx((3.0, 4.0, 3.0))
    assert summarise_muscle(12.0, 3.0, 12.0, 3.0) is None


def summaries(deviation, n_lifters=12):
    rng = np.random.default_rng(3)
    return [
        LifterSummary(
            f"l{number}",
            {name: (deviation + float(rng.normal(0, 2)), 4.0, 3.0) for name in NAMES},
        )
        for number in range(n_lifters)
    ]


def test_a_group_moves_the_centre_toward_what_others_showed_without_the_lifter_himself():
    group = pool_lifters(summaries(3.0))
    moved = group.shift("one", PRIOR)
    assert 13.0 <= moved.centre_sets <= 15.5
    assert moved.centre_sets % 0.5 == 0
    odd = [*summaries(0.0), LifterSummary("me", dict.fromkeys(NAMES, (60.0, 0.1, 3.0)))]
    assert pool_lifters(odd, leave_out="me") == pool_lifters(summaries(0.0))
    assert pool_lifters(summaries(3.0, n_lifters=2)) == GroupShift(n_lifters=2)


def test_a_small_change_of_one_lifter_does_not_move_the_others():
    before = summaries(3.0)
    told = {name: (row[0] + 0.05, row[1], row[2]) for name, row in before[0].muscles.items()}
    after = [LifterSummary("l0", told), *before[1:]]
    assert pool_lifters(after) == pool_lifters(before)
    assert pool_lifters(reversed(after)) == pool_lifters(after)


def test_no_number_of_lifters_averages_away_what_all_records_err_by():
    """Prior and common error are half a spread each: half of what all agree on is believed."""
    few, many = (pool_lifters(summaries(4.0, n_lifters=n)).centre_sets[None] for n in (4, 400))
    assert few <= many == 2.0
