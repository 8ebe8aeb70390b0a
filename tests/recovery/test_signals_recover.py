"""A few simulated careers: a planted sleep effect comes back, nothing else stands.

``measure_signals`` prints the bars over many careers; these bounds fail on gross errors only.
"""

from functools import cache

import numpy as np
import pytest

from pipeline.models.signals.effect import SignalEffect, fit_fake_nights, fit_signal_effect
from pipeline.models.simulate import CareerOptions
from tests.recovery.careers import get_career
from tests.recovery.measure_signals import (
    CASES,
    MODEL,
    SignalScores,
    bars,
    bouts_of,
    measure_career,
    score_sleep,
    signals_of,
)

SEEDS = range(80, 84)


@cache
def scored() -> list[SignalScores]:
    """Each seed as drawn, with nothing planted, with stress only, with a sleep effect only."""
    return [measure_career(seed) for seed in SEEDS]


def test_a_planted_sleep_effect_comes_back():
    effects = [score.effect for score in scored()]
    error = np.array([one.error for one in effects])
    print(f"RMSE {np.sqrt(np.mean(error**2)):.2f} points an hour, bias {error.mean():.2f}")
    assert all(one.is_answered for one in effects)
    assert np.sqrt(np.mean(error**2)) < 0.4
    assert abs(error.mean()) < 0.25
    assert sum(one.is_called for one in effects) >= 3
    assert np.mean([one.is_held_90 for one in effects]) >= 0.5


@pytest.mark.parametrize("case", ["nothing", "stress"])
def test_where_no_signal_has_an_effect_hardly_any_stands(case):
    hits = [getattr(score, case).hits for score in scored()]
    assert sum(bool(one) for one in hits) <= 2


def test_sets_without_recorded_reserve_show_less():
    shown = [one.effect for one in scored() if np.isfinite(one.effect.unrecorded)]
    assert len(shown) >= 2
    assert np.mean([one.unrecorded for one in shown]) < np.mean([one.planted for one in shown])


def test_every_bar_is_named_and_has_its_limit():
    made = bars(scored())
    assert {bar.model for bar in made} == {MODEL}
    assert sum(bar.is_met is not None for bar in made) == 10
    assert len({bar.name for bar in made}) == len(made)


def test_nights_moved_by_months_show_nothing():
    career = get_career(80, CASES["effect"])
    bouts, sleep = bouts_of(career), signals_of(career)["sleep_min"]
    effect = fit_signal_effect(bouts, sleep)
    assert isinstance(effect, SignalEffect)
    fakes = fit_fake_nights(bouts, sleep, n_fakes=20)
    assert np.mean(np.abs(fakes) >= effect.effect_pct) <= 0.05


def test_a_career_without_nights_is_not_scored_as_data():
    career = get_career(80, CareerOptions(with_nights=False, years=3.0))
    score = score_sleep(career)
    assert not score.has_data
    assert not score.is_answered
    assert score.hits == ()
