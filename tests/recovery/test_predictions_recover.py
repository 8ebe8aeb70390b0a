"""Do kept forecasts hold when read off a later fit? Gross failures only, on two careers."""

import numpy as np

from tests.recovery.measure_predictions import bars, measure_career


def test_kept_forecasts_hold_about_as_often_as_they_say() -> None:
    """Two careers hold some 160 forecasts that go wrong together: 0.60 to 0.97 is all they tell."""
    scores = [measure_career(seed) for seed in (1000, 1001)]
    everything = [one for score in scores for one in score]
    assert len(everything) > 80
    assert 0.60 <= np.mean([one.is_inside for one in everything]) <= 0.97
    for bar in bars(scores):
        if "less that of no change" in bar.name:
            assert bar.value <= 0.3
