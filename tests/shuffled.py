"""What the response to weekly sets finds once the sets are shuffled: nothing should be found."""

from typing import Any

import numpy as np

from pipeline.models.volume.answer import VolumeResponse
from pipeline.models.volume.placebo import shuffle_weeks
from pipeline.models.volume.pool import fit_volume_response
from pipeline.models.volume.response_curve import VolumePrior


def fit_shuffled_weeks(
    level_log: np.ndarray,
    level_se: np.ndarray,
    weekly_sets: np.ndarray,
    training_age_years: np.ndarray,
    *,
    prior: VolumePrior,
    age: float,
    n_shuffles: int,
    **others: Any,
) -> tuple[np.ndarray, float]:
    """Best sets less the prior's in each shuffle, and the share whose interval leaves it out.

    Shifts (n_shuffles,) in sets/week, nan where refused. A record in which sets do not matter looks
    flat, and a flat record puts the best sets in the middle of what was trained: the shifts need
    not centre on 0. ``age`` in years; ``others`` are further keywords of ``fit_volume_response``.
    """
    rng = np.random.default_rng(0)
    shifts, found = np.full(n_shuffles, np.nan), 0
    for number in range(n_shuffles):
        shuffled = shuffle_weeks(weekly_sets, rng)
        fitted = fit_volume_response(
            level_log, level_se, shuffled, training_age_years, prior=prior, **others
        )
        if isinstance(fitted, VolumeResponse):
            estimate, low, high = fitted.best_sets(age)
            centre = fitted.prior_best_sets(age)[0]
            shifts[number] = estimate - centre
            found += not low <= centre <= high
    return shifts, found / n_shuffles
