"""Simulated careers shared by the recovery tests, and how their scores are stated.

A quick set runs with `make test`; `RECOVERY=long` in the environment asks for the long one.
"""

import os
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

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


@dataclass(frozen=True)
class Score:
    """A figure over careers with its standard error; `__str__` is what tests print."""

    name: str
    value: float
    se: float
    n: int

    def __str__(self) -> str:
        return f"{self.name}: {self.value:.3f} (standard error {self.se:.3f}, {self.n} careers)"


def score_mean(name: str, per_career: ArrayLike) -> Score:
    """Mean over careers (bias, coverage, share answered) with its standard error."""
    values = np.asarray(per_career, dtype=float)
    values = values[np.isfinite(values)]
    se = values.std(ddof=1) / np.sqrt(len(values)) if len(values) > 1 else float("nan")
    return Score(name, float(values.mean()), float(se), len(values))


def score_rmse(name: str, mean_square_per_career: ArrayLike) -> Score:
    """Root of the mean square over careers; standard error by the delta method."""
    square = score_mean(name, mean_square_per_career)
    root = float(np.sqrt(square.value))
    return Score(name, root, square.se / (2 * root) if root > 0 else 0.0, square.n)
