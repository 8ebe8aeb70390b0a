"""One run of the solver: HiGHS through ``scipy.optimize.milp``, to a gap or until a time limit."""

from dataclasses import dataclass

import numpy as np
from scipy.optimize import Bounds, milp

from pipeline.models.arrays import Bools, Floats
from pipeline.models.planning.rows import Rows

TIME_IS_OVER = 1
LONGER = 4.0


@dataclass(frozen=True)
class Solved:
    """The unknowns (n,), and the share by which the best possible may still be better."""

    x: Floats
    gap: float


def solve_rows(
    rows: Rows,
    cost: Floats,
    low: Floats,
    high: Floats,
    is_whole: Bools,
    *,
    gap: float,
    seconds: float,
) -> Solved | None:
    """The least ``cost . x`` within the rows; None when there is none.

    ``cost``, ``low``, ``high`` and ``is_whole`` are (n,), one for each unknown; ``gap`` is a share
    of the best value, ``seconds`` the time allowed.

    The search ends at the gap, or after ``seconds`` with the best found so far; while nothing is
    found it goes on, ``LONGER`` times as long each time: too little time is no conflict.
    """
    while True:
        found = milp(
            cost,
            integrality=is_whole.astype(np.int64),
            bounds=Bounds(low, high),
            constraints=rows.constraint(),
            options={"time_limit": seconds, "mip_rel_gap": gap},
        )
        if found.x is not None:
            return Solved(np.asarray(found.x), float(max(found.mip_gap or 0.0, 0.0)))
        if found.status != TIME_IS_OVER:
            return None
        seconds *= LONGER
