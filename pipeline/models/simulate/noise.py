"""Slow noise: what wanders around a mean for weeks or months."""

import numpy as np
from numpy.random import Generator

from pipeline.models.arrays import Floats


def draw_slow(rng: Generator, rows: int, steps: int, keep: float) -> Floats:
    """First-order noise with unit standard deviation, stationary, (rows, steps).

    `keep` is the share carried from one step to the next.
    """
    kicks = rng.normal(0, np.sqrt(1 - keep**2), (steps, rows))
    noise, now = np.empty((steps, rows)), rng.normal(0, 1, rows)
    for step, kick in enumerate(kicks):
        noise[step] = now
        now = keep * now + kick
    return noise.T


def draw_series(rng: Generator, steps: int, keep: float) -> Floats:
    """One row of `draw_slow`, (steps,)."""
    return draw_slow(rng, 1, steps, keep)[0]
