"""How many repetitions a load allows, with a spread between people and lifts.

The simulator's own curve: `log(maximum / load) = ease * (repetitions - 1) ** 0.85`. It passes near
the bench anchors 4 at 90 %, 8.8 at 80 %, 14.1 at 70 % and, with a smaller ease, the leg press
anchors 13.1 at 80 % and 19 at 70 % (second-hand). The spread gives about the published between-
person SD of 2.5 repetitions at 80 % (second-hand). It is on purpose none of the usual equations.
"""

import numpy as np
from numpy.random import Generator

from pipeline.models.arrays import Floats

from .catalogue import Lift
from .noise import draw_series, draw_slow

_POWER = 0.85
_EASE, _EASE_LEGS, _EASE_ISOLATION = 0.0415, 0.030, 0.038
_PERSON_SD, _LIFT_SD = 0.18, 0.12
_WANDER_SD, _SHARED_WANDER_SD, _KEEP = 0.03, 0.01, 0.97


def draw_ease(rng: Generator, lifts: tuple[Lift, ...], n_weeks: int) -> Floats:
    """Loss of log load per repetition to the power, (lifts, weeks).

    It wanders over months: a person's curve is only moderately stable (Mayhew 2008, read: 0.6 +/-
    6.1 repetitions' change over 12 weeks, r = 0.66, measurement included).
    """
    ease = np.array([_typical_ease(lift) for lift in lifts])
    ease = ease * np.exp(rng.normal(0, _PERSON_SD) + rng.normal(0, _LIFT_SD, len(lifts)))
    own = _WANDER_SD * draw_slow(rng, len(lifts), n_weeks, _KEEP)
    shared = _SHARED_WANDER_SD * draw_series(rng, n_weeks, _KEEP)
    return ease[:, None] * np.exp(own + shared)


def repetitions_at(log_gap: Floats, ease: Floats) -> Floats:
    """Repetitions to failure at `log(maximum / load)`; 0 where the load exceeds the maximum."""
    allowed = 1.0 + (np.maximum(log_gap, 0.0) / ease) ** (1 / _POWER)
    return np.where(log_gap < 0, 0.0, allowed)


def log_gap_for(repetitions: Floats, ease: Floats) -> Floats:
    """`log(maximum / load)` of the heaviest load that allows so many repetitions."""
    return ease * np.maximum(repetitions - 1.0, 0.0) ** _POWER


def _typical_ease(lift: Lift) -> float:
    on_machine = lift.exercise.equipment == "machine"
    if lift.family == "legs" and on_machine:
        return _EASE_LEGS
    return _EASE if lift.exercise.is_compound else _EASE_ISOLATION
