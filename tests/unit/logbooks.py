"""Small invented logbooks of one muscle for the unit tests of the strength models."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pipeline.models.strength.rep_curve import log_factor


@dataclass(frozen=True)
class Logbook:
    """Set arrays (m,) in the order performed."""

    week: NDArray[np.int64]
    session: NDArray[np.int64]
    exercise: NDArray[np.int64]
    load_kg: NDArray[np.float64]
    reps: NDArray[np.float64]
    rir: NDArray[np.float64]

    @property
    def lift(self) -> tuple[NDArray, NDArray, NDArray, NDArray]:
        """What ``fit_lift_level`` takes."""
        return self.week, self.load_kg, self.reps, self.rir

    @property
    def muscle(self) -> tuple[NDArray, NDArray, NDArray, NDArray, NDArray]:
        """What ``fit_muscle_index`` takes."""
        return self.week, self.exercise, self.load_kg, self.reps, self.rir


def write_logbook(
    level_log: ArrayLike,
    exercises: list[tuple[float, range]],
    seed: int = 0,
    noise: float = 0.02,
    slope: float = 1.0,
) -> Logbook:
    """Two sessions a week of three sets of each exercise.

    ``level_log`` (n_weeks,) is the log maximum of an exercise with distance 0; ``exercises`` are
    (log distance, weeks trained). Loads fit the level, the plan of the day and its form.
    """
    rng, level = np.random.default_rng(seed), np.asarray(level_log, dtype=float)
    rows = []
    for session in range(2 * level.size):
        week = session // 2
        for number, (distance, weeks) in enumerate(exercises):
            if week not in weeks:
                continue
            reps, form = int(rng.integers(4, 10)), rng.normal(0.0, noise)
            top = level[week] + distance + form - slope * float(log_factor(reps + 2))
            rows += [
                (week, session, number, np.exp(top + rng.normal(0.0, noise / 2)), reps, 2.0)
                for _ in range(3)
            ]
    week, session, exercise, load, reps, rir = np.array(rows).T
    return Logbook(
        week.astype(np.int64), session.astype(np.int64), exercise.astype(np.int64), load, reps, rir
    )
