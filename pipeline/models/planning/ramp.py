"""From the weekly sets of now to those proposed, week by week; the last week eases off.

A muscle moves by at most the share ``step`` of its sets a week, and by at least one set, so that a
few sets are not climbed for months. The easing week holds ``EASING`` of the sets: common practice
halves them, no published source.
"""

import numpy as np

from pipeline.models.arrays import Floats

EASING = 0.5


def ramp_weeks(now: float, target: float, n_weeks: int, step: float) -> Floats:
    """(n_weeks,) weekly sets of one muscle, from ``now`` (which is the week before) to ``target``.

    n_weeks : 2 or more; the last one eases off.
    """
    weeks = []
    for _ in range(n_weeks - 1):
        if target >= now:
            now = min(now + max(step * now, 1.0), target)
        else:
            now = max(now - max(step * now, 1.0), target)
        weeks.append(now)
    return np.array([*weeks, EASING * now])


def highest_reachable(now: float, n_weeks: int, step: float) -> float:
    """Weekly sets that the last week before the easing week can have reached by its half.

    Half the phase to climb, half of it to train there.
    """
    climbing = max((n_weeks - 1) // 2, 1)
    return float(ramp_weeks(now, np.inf, climbing + 1, step)[-2])
