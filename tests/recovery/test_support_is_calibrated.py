"""The words of support on one career: gross failures only; ``measure_support`` has the bars.

Bars of the long run: firm findings have the right sign in 95 %, and hold the truth as often as
their model must; this asserts what cannot be chance on some hundred findings.
"""

import numpy as np
import pytest

from pipeline.models.simulate import CareerOptions, simulate_career
from tests.recovery.measure_support import bars, measure_career

SLOPES = ("lift_slope", "muscle_slope")


@pytest.fixture(scope="module")
def judged():
    options = CareerOptions(years=9, sessions_per_week=4, n_layoffs=6)
    return [measure_career(203, simulate_career(203, options))]


@pytest.fixture(scope="module")
def figures(judged):
    return {bar.name: bar for bar in bars(judged)}


def pooled(judged, name, *words):
    parts = [one[question] for one in judged for question in SLOPES]
    return np.concatenate([getattr(part, name)[np.isin(part.word, words)] for part in parts])


def test_firm_slopes_have_the_right_sign(judged):
    size, found = pooled(judged, "size", "firm"), pooled(judged, "found", "firm")
    clear = np.abs(size) > 0.5
    assert clear.sum() >= 15
    assert np.mean(np.sign(size[clear]) == np.sign(found[clear])) >= 0.9


def test_thin_slopes_err_more_often_and_further_than_firm_ones(figures):
    assert figures["fair less firm: median error in planted sizes"].value > 0
    assert figures["thin: right sign"].value < figures["firm: right sign"].value


def test_intervals_hold_the_truth_whatever_the_word(judged):
    for word in ("firm", "fair", "thin"):
        assert pooled(judged, "is_held", word).mean() >= 0.8


def test_a_refusal_has_no_estimate_and_an_answer_has_one(judged):
    """But for signals: one that fails the family-wise screen keeps its interval."""
    for one in judged:
        for question, part in one.items():
            if question == "signal_effect":
                continue
            refused = part.word == "not enough"
            assert np.isnan(part.found[refused]).all()
            assert np.isfinite(part.found[~refused]).all()


def test_large_effects_are_not_all_called_thin(figures):
    assert figures["firm or fair among the larger half"].value >= 0.15


def test_the_questions_of_a_whole_record_were_asked(judged):
    asked = {"lift_slope", "muscle_slope", "supported_sets", "deload_effect", "layoff_loss"}
    assert asked <= {question for one in judged for question in one}
