"""One career with failure sets that do nothing, and the same with an effect planted.

``python -m tests.recovery.measure_effort`` holds many careers to the bars.
"""

import pytest

from pipeline.models.simulate import CareerOptions, simulate_career
from tests.recovery.measure_effort import PLANTED, EffectScore, score_effect

SEED = 3200


@pytest.fixture(scope="module")
def scores() -> tuple[EffectScore, EffectScore]:
    career = simulate_career(SEED, CareerOptions(years=6, with_nights=False))
    none, planted = (score_effect(career, SEED, effect) for effect in (0.0, PLANTED))
    assert none is not None
    assert planted is not None
    return none, planted


def test_nothing_planted_is_not_called(scores):
    assert scores[0].called == 0


def test_a_planted_effect_moves_the_estimate_by_most_of_it(scores):
    none, planted = scores
    moved = (planted.error + PLANTED) - none.error
    assert 0.6 * PLANTED <= moved <= 1.2 * PLANTED
    assert planted.called != -1
