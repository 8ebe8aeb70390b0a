"""Does the forecast hold up? Gross failures only, on a few careers and on invented competitors.

Bars are those of METHODS f, loosened only where a few careers cannot test them, which is said
beside them; ``python -m tests.recovery.measure_forecast`` prints all figures.
"""

import numpy as np
import pytest

from tests.recovery.bars import Bar
from tests.recovery.competitors import POPULATIONS
from tests.recovery.measure_forecast import (
    bars_of_careers,
    competitor_bars,
    measure_career,
)


def by_name(bars: list[Bar], part: str) -> Bar:
    (found,) = [bar for bar in bars if part in bar.name]
    return found


@pytest.mark.parametrize("name", sorted(POPULATIONS))
def test_people_never_seen(name: str) -> None:
    """1,500 people kept apart: two standard errors of their own are allowed beyond each bar."""
    found = competitor_bars(name, POPULATIONS[name], n=3000)
    share = by_name(found, "share of that of the last total")
    assert share.high is not None
    assert share.value <= share.high + 2 * share.se
    mean = by_name(found, "mean error, kg")
    assert abs(mean.value) <= 3.0 + 2 * mean.se
    holds = by_name(found, "80 % interval holds")
    assert 0.77 - 2 * holds.se <= holds.value <= 0.83 + 2 * holds.se


def test_careers_a_year_on() -> None:
    """Three careers: the forecast may not be far worse than no change, its interval not empty."""
    scores = [measure_career(seed) for seed in range(1000, 1003)]
    assert all(score for _, score in scores)
    found = bars_of_careers(scores)
    for bar in found:
        if "less no change" in bar.name:
            assert bar.value <= 0.5
        if "interval holds" in bar.name:
            assert bar.value >= 0.6
    assert np.isfinite([bar.value for bar in found]).all()
