"""Expected progress at weekly sets, as a programme can use it: averaged over the draws, concave.

What a programme seeks is the mean less ``SHORTFALL_COST`` times the expected shortfall: what a draw
lies more than ``TOLERATED`` under its own progress at the muscle's reference sets. So a muscle is
moved off its reference only as far as hardly any draw loses clearly by it; where the record tells
little, that is not far. By the mean alone 14 of 100 simulated lifters (seeds 300 to 399,
``python -m tests.recovery.measure_planning 100 300`` with ``SHORTFALL_COST`` set to each) fell
behind the published average by over a tenth, with a cost of 8, 12 and 20 one or two of them, for a
quarter of the gain over it: chosen there. Each shortfall is convex where its draw is concave.

The mean over draws of concave responses is concave as far as none has reached its floor; past that
it may bend up again. The least concave curve above it (its upper hull) stands in for it there: an
optimum never lies on such a bend within what was trained. Own derivation.
"""

import numpy as np

from pipeline.models.arrays import Floats
from pipeline.models.planning.inputs import PlanMuscle

TAIL = 5.0  # of the draws, on either side of a 90 % interval
SHORTFALL_COST = 10.0
TOLERATED = 0.10  # of the progress at the reference sets


def expect_progress(muscle: PlanMuscle, sets: float) -> float:
    """Mean progress at ``sets`` weekly sets, % a month."""
    return float(np.interp(sets, muscle.sets_grid, muscle.progress.mean(axis=0)))


def draw_progress(muscle: PlanMuscle, sets: float) -> Floats:
    """(n_draws,) progress at ``sets`` weekly sets, % a month; straight between grid points."""
    grid = muscle.sets_grid
    right = int(np.clip(np.searchsorted(grid, sets), 1, grid.size - 1))
    part = np.clip((sets - grid[right - 1]) / (grid[right] - grid[right - 1]), 0.0, 1.0)
    return (1.0 - part) * muscle.progress[:, right - 1] + part * muscle.progress[:, right]


def interval_of(draws: Floats) -> tuple[float, float]:
    """Ends of the 90 % interval of (n,) draws, in their own unit."""
    low, high = np.percentile(draws, [TAIL, 100.0 - TAIL])
    return float(low), float(high)


def careful_progress(muscle: PlanMuscle) -> Floats:
    """(n_grid,) what a programme seeks: mean progress less what falls short, % a month."""
    mean = muscle.progress.mean(axis=0)
    if muscle.reference is None:
        return mean
    other = draw_progress(muscle, muscle.reference)
    least = (other - TOLERATED * np.abs(other))[:, None]
    short = np.maximum(least - muscle.progress, 0.0)
    return mean - SHORTFALL_COST * short.mean(axis=0)


def concave_knots(muscle: PlanMuscle, step: float = 2.0) -> tuple[Floats, Floats]:
    """(sets, value) between which what is sought of the muscle runs straight, concave.

    step : sets between the points that are joined, between 0 and the most that may be asked for.
    """
    last = max(muscle.most, muscle.least, muscle.floor, muscle.now, step)
    points = np.append(np.arange(0.0, last, step), last)
    height = np.interp(points, muscle.sets_grid, careful_progress(muscle))
    hull = [0]
    for place in range(1, points.size):
        while len(hull) > 1 and _bends_up(points, height, hull[-2], hull[-1], place):
            hull.pop()
        hull.append(place)
    return points[hull], height[hull]


def _bends_up(x: Floats, y: Floats, first: int, middle: int, last: int) -> bool:
    """Whether the middle point lies on or below the line between the other two."""
    rise = (y[last] - y[first]) * (x[middle] - x[first])
    return bool((y[middle] - y[first]) * (x[last] - x[first]) <= rise)
