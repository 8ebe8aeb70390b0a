"""Simulated careers shared by the recovery tests.

A quick set runs with `make test`; `RECOVERY=long` in the environment asks for the long one.
"""

import os
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from pipeline.models.simulate import Career, CareerOptions, simulate_career

get_career = lru_cache(maxsize=24)(simulate_career)


def careers(n_quick: int, n_long: int, first_seed: int = 0, **options: object) -> list[Career]:
    """So many careers with the same options and consecutive seeds."""
    n_careers = n_long if os.environ.get("RECOVERY") == "long" else n_quick
    chosen = CareerOptions(**options)
    return [get_career(first_seed + offset, chosen) for offset in range(n_careers)]


def weeks_of(career: Career, *kinds: str, declared_only: bool = True) -> NDArray[np.bool_]:
    """(weeks,): true in every week touched by an event of these kinds."""
    touched = np.zeros(career.n_weeks, dtype=bool)
    for event in career.events:
        if event.kind in kinds and (event.is_declared or not declared_only):
            touched[event.start_day // 7 : event.end_day // 7 + 1] = True
    return touched
