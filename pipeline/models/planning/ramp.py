"""From the weekly sets of now to those proposed, week by week; the last week eases off.

A muscle moves by at most the share ``step`` of its sets a week, and by at least one set, so that a
few sets are not climbed for months. The easing week holds ``EASING`` of the sets: common practice
halves them, no published source.
"""

import numpy as np

from pipeline.models.arrays import Floats
from pipeline.models.narrowing.plans import ramp_sets

EASING = 0.5


def ramp_weeks(now: float, target: float, n_weeks: int, step: float) -> Floats:
    """(n_weeks,) weekly sets of one muscle, from ``now`` (which is the week before) to ``target``.

    n_weeks : 2 or more; the last one eases off.
    """
    weeks = np.arange(1, n_weeks)
    steady = ramp_sets(max(now, 1.0), target, n_weeks - 1, step)
    if target >= now:
        by_set = np.minimum(now + weeks, target)
        building = np.maximum(np.minimum(steady, target), by_set)
    else:
        by_set = np.maximum(now - weeks, target)
        building = np.minimum(np.maximum(steady, target), by_set)
    return np.append(building, EASING * building[-1])


def highest_reachable(now: float, n_weeks: int, step: float) -> float:
    """Weekly sets that the last week before the easing week can have reached by its half.

    Half the phase to climb, half of it to train there.
    """
    climbing = max((n_weeks - 1) // 2, 1)
    return float(max(max(now, 1.0) * (1.0 + step) ** climbing, now + climbing))
