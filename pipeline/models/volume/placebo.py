"""Placebo for the response to weekly sets: the same record with its sets shuffled."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from pipeline.models.volume.answer import VolumeResponse
from pipeline.models.volume.pool import fit_volume_response
from pipeline.models.volume.response_curve import VolumePrior
from pipeline.models.weeks import Floats

PIECE_WEEKS = 13


@dataclass(frozen=True)
class VolumePlacebo:
    """What shuffled records gave.

    Attributes
    ----------
    shifts : (n_shuffles,) best sets less the prior's, sets/week; nan where refused.
    share_found : share of shuffles whose 90 % interval left out the prior's centre: false finds.
    """

    shifts: Floats
    share_found: float


def fit_shuffled_weeks(
    level_log: Floats,
    level_se: Floats,
    weekly_sets: Floats,
    training_age_years: Floats,
    *,
    prior: VolumePrior,
    age: float,
    n_shuffles: int = 20,
    seed: int = 0,
    **others: Any,
) -> VolumePlacebo:
    """Best sets found after the weekly sets were shuffled: nothing should be found.

    The weekly sets are cut into pieces of 13 weeks, which change places; all else stays. A record
    in which sets do not matter looks flat, and a flat record puts the best sets in the middle of
    what was trained: the shifts need not centre on 0. A shift of the real record that is no
    larger than these is not the record's.

    Parameters
    ----------
    As ``fit_volume_response`` (``others`` are its remaining keywords); ``age`` in years.
    """
    rng = np.random.default_rng(seed)
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
    return VolumePlacebo(shifts, found / max(n_shuffles, 1))


def shuffle_weeks(
    values: Floats, rng: np.random.Generator, piece_weeks: int = PIECE_WEEKS
) -> Floats:
    """Pieces of ``piece_weeks`` weeks in random order; nan weeks stay where they are."""
    values = np.array(values, dtype=np.float64)
    known = np.flatnonzero(np.isfinite(values))
    pieces = np.split(values[known], np.arange(piece_weeks, known.size, piece_weeks))
    order = rng.permutation(len(pieces))
    values[known] = np.concatenate([pieces[k] for k in order])
    return values
