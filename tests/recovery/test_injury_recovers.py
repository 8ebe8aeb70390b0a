"""The index through the injuries of one short career: only gross failures are caught.

``python -m tests.recovery.measure_injury`` holds many careers to the bars.
"""

import numpy as np
import pytest

from pipeline.models.simulate import CareerOptions, simulate_career
from tests.recovery.measure_injury import CourseScore, score_career

SEED = 2101


@pytest.fixture(scope="module")
def courses() -> list[CourseScore]:
    options = CareerOptions(years=6, n_injuries=4, with_nights=False)
    return score_career(simulate_career(SEED, options)).courses


def test_the_index_stays_near_the_truth(courses):
    assert len(courses) >= 6
    errors = [one.mean_error for one in courses]
    assert np.median(errors) <= 3.0
    assert max(errors) <= 8.0


def test_the_change_is_answered_and_its_interval_mostly_holds(courses):
    held = [one.is_held for one in courses if one.is_held is not None]
    assert len(held) >= 0.8 * len(courses)
    assert np.mean(held) >= 0.75
