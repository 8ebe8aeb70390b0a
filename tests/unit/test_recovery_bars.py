"""Bars of the recovery measurements: when they are met, how far they may be by chance."""

import inspect

import numpy as np
import pytest

from tests.recovery.bars import Bar, mean_of, measure_bar, root_mean_square
from tests.recovery.run import CareerScores, collect_bars, find_modules, load


@pytest.mark.parametrize(
    ("value", "low", "high", "is_met"),
    [
        (0.9, 0.85, None, True),
        (0.8, 0.85, None, False),
        (0.5, None, 0.55, True),
        (0.6, None, 0.55, False),
        (0.9, 0.85, 0.96, True),
        (0.97, 0.85, 0.96, False),
        (float("nan"), 0.85, None, False),
        (0.9, None, None, None),
    ],
)
def test_a_bar_is_met_within_its_limits(value, low, high, is_met):
    bar = Bar("levels", "interval", value, 0.01, 200, low, high)
    assert bar.is_met is is_met
    assert ("NOT MET" in str(bar)) == (is_met is False)


def test_standard_error_of_a_mean_is_the_usual_one():
    """Standard deviation over root n: drawing careers anew must give about the same."""
    values = list(np.random.default_rng(3).normal(0.0, 2.0, 200))
    bar = measure_bar("levels", "bias", mean_of, values, high=0.4)
    assert bar.value == pytest.approx(np.mean(values))
    assert bar.se == pytest.approx(np.std(values, ddof=1) / np.sqrt(200), rel=0.15)


def test_careers_stay_together_when_drawn_anew():
    """Twenty series of one career that err alike are no twenty careers."""
    shared = np.random.default_rng(5).normal(size=100)
    careers = [np.full(20, one) for one in shared]
    bar = measure_bar("levels", "bias", lambda one: mean_of(np.concatenate(one)), careers)
    assert bar.se == pytest.approx(0.1, rel=0.3)
    assert bar.n == 100


def test_nothing_known_gives_nan():
    assert np.isnan(mean_of([float("nan")]))
    assert np.isnan(root_mean_square([]))
    assert measure_bar("levels", "bias", mean_of, [], high=0.4).is_met is False


def test_a_measurement_that_breaks_is_a_bar_not_met():
    name = "measure_levels"
    broken = CareerScores(3, {}, {name: "boom"}, {})
    bars = collect_bars([broken], [name])
    assert [bar.name for bar in bars] == ["careers that broke it"]
    assert bars[0].is_met is False


@pytest.mark.parametrize("name", find_modules())
def test_every_measurement_can_be_run_with_the_others(name):
    """A seed and its career in, a score out; scores in, bars out."""
    module = load(name)
    assert list(inspect.signature(module.measure_career).parameters) == ["seed", "career"]
    assert list(inspect.signature(module.bars).parameters) == ["scores"]


def test_the_models_of_the_method_notes_are_all_measured():
    named = {name.removeprefix("measure_") for name in find_modules()}
    assert named >= {"levels", "volume", "deload", "signals", "forecast", "support"}
