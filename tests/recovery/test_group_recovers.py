"""A few short careers as one folder: what the lifters tell each other must help where it can.

Gross failures only; ``python -m tests.recovery.measure_group`` holds the bars.
"""

import numpy as np
import pytest

from tests.recovery.careers import careers
from tests.recovery.measure_group import FolderScores, measure_career, score_folder


@pytest.fixture(scope="module")
def folder() -> dict[str, FolderScores]:
    some = careers(8, 20, years=6, sessions_per_week=3)
    alone = [measure_career(seed, career) for seed, career in enumerate(some)]
    return {name: score_folder(alone, name) for name in ("right", "3 too low")}


def error(values: np.ndarray) -> float:
    return float(np.sqrt(np.mean(values**2)))


def test_a_centre_that_is_wrong_for_everybody_is_mended_by_the_others(folder):
    scores = folder["3 too low"]
    assert scores.together.size == scores.alone.size > 200
    assert error(scores.together) < 0.95 * error(scores.alone)
    assert scores.together.mean() > scores.alone.mean()
    assert scores.held_together.mean() > scores.held_alone.mean() - 0.02


def test_a_right_centre_is_not_spoilt(folder):
    scores = folder["right"]
    assert error(scores.together) < 1.15 * error(scores.alone)
    assert scores.held_together.mean() > 0.7
