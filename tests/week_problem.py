"""A week's problem at random, as large as asked for: invented muscles and lifts."""

import numpy as np

from pipeline.models.planning.inputs import (
    PULL,
    PUSH,
    PlanLift,
    PlanLimits,
    PlanMuscle,
    WeekProblem,
)

GRID = np.arange(0.0, 41.0)
N_DRAWS = 200
REFERENCE = 10.0  # sets of the published average, cut to what is trained


def draw_problem(seed: int, n_muscles: int, n_lifts: int, sessions: int) -> WeekProblem:
    """Every muscle has a lift of its own; four lifts of ten train others indirectly."""
    rng = np.random.default_rng(seed)
    muscles = tuple(_draw_muscle(rng, f"m{number}") for number in range(n_muscles))
    lifts = tuple(_draw_lift(rng, number, n_muscles, sessions) for number in range(n_lifts))
    limits = PlanLimits(sessions, 7.0 * n_muscles, 110.0, change_cost=0.01)
    return WeekProblem(muscles, lifts, limits)


def _draw_muscle(rng: np.random.Generator, name: str) -> PlanMuscle:
    best = rng.normal(14.0, 3.5, N_DRAWS).clip(3.0)[:, None]
    size = 0.15 * rng.lognormal(0.0, 0.3)
    progress = size * np.maximum(1.0 - 0.9 * ((GRID - best) / best) ** 2, -1.0)
    now = float(rng.uniform(5.0, 18.0))
    most = min(1.5 * now + 3.0, 30.0)
    return PlanMuscle(name, GRID, progress, now, now / 3, most, reference=REFERENCE)


def _draw_lift(rng: np.random.Generator, number: int, n_muscles: int, sessions: int) -> PlanLift:
    shares = {f"m{number if number < n_muscles else rng.integers(n_muscles)}": 1.0}
    if rng.random() < 0.4:
        for other in rng.integers(0, n_muscles, 2):
            shares.setdefault(f"m{other}", 0.5)
    is_used = rng.random() < 0.55
    return PlanLift(
        f"l{number}",
        shares,
        float(rng.choice([2.5, 3.5])),
        4.0 if is_used else 0.0,
        (int(rng.integers(sessions)),) if is_used else (),
        str(rng.choice([PUSH, PULL, "", ""])),
    )
