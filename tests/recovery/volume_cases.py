"""Weekly sets against progress on simulated careers: the record's inputs and the scores.

Run ``python -m tests.recovery.measure_volume 20`` for the table; ``test_volume_recovers`` holds a
few careers to loose bars.
"""

from dataclasses import dataclass

import numpy as np

from pipeline.core.errors import Refusal
from pipeline.models.simulate import (
    MUSCLE_SD_SETS,
    POPULATION_BEST_SETS,
    SHIFT_SD_SETS,
    Career,
)
from pipeline.models.volume_map import VolumePrior
from pipeline.models.volume_pool import fit_volume_response
from pipeline.models.volume_response import VolumeResponse
from pipeline.models.weeks import mask_after
from tests.recovery.careers import weeks_of
from tests.recovery.measure_levels import fit_muscle

# Where in a career the best sets are asked for, as a share of its length.
ASKED_AT = (0.25, 0.5, 0.75, 1.0)


@dataclass(frozen=True)
class VolumeCase:
    """Weekly arrays of one muscle, as ``fit_volume_response`` takes them."""

    level_log: np.ndarray
    level_se: np.ndarray
    weekly_sets: np.ndarray
    training_age_years: np.ndarray
    left_out: np.ndarray
    body_weight_kg: np.ndarray
    energy: np.ndarray

    def fit(self, prior: VolumePrior, **others) -> VolumeResponse | Refusal:
        """The response under a prior."""
        return fit_volume_response(
            self.level_log,
            self.level_se,
            self.weekly_sets,
            self.training_age_years,
            prior=prior,
            left_out=self.left_out,
            body_weight_kg=self.body_weight_kg,
            energy=self.energy,
            **others,
        )


@dataclass(frozen=True)
class VolumeScore:
    """One answer: error of estimate and prior (sets), interval, width over the prior's."""

    muscle: int
    age: float
    error: float
    prior_error: float
    is_held: bool
    gain: float
    width: float


def prior_of(muscle: str, off_by: float = 0.0) -> VolumePrior:
    """The prior centred on the simulated population, or wrong by ``off_by`` sets."""
    spread = float(np.hypot(SHIFT_SD_SETS, MUSCLE_SD_SETS))
    return VolumePrior(POPULATION_BEST_SETS[muscle] + off_by, spread)


def count_weekly_sets(career: Career, muscle: str) -> np.ndarray:
    """(n_weeks,) fractional working sets, a drop cluster one set; nan in unlogged weeks."""
    direct = np.array([muscle in one.direct for one in career.exercises])
    helping = np.array([muscle in one.indirect for one in career.exercises])
    is_counted = ~career.sets.is_warmup & (career.sets.segment_no == 1)
    week, lift = career.sets.week[is_counted], career.sets.exercise[is_counted]
    share = np.where(direct, 1.0, 0.5 * helping)[lift]
    count = np.bincount(week, weights=share, minlength=career.n_weeks)
    return np.where(career.truth.week_status == "unlogged", np.nan, count)


def make_case(career: Career, muscle: str) -> VolumeCase | Refusal:
    """The inputs of one muscle; the index is fitted from the sets, as in a refresh."""
    fitted = fit_muscle(career, career.muscles.index(muscle))
    if isinstance(fitted, Refusal):
        return fitted
    away = weeks_of(career, "layoff", "injury")
    surplus = weeks_of(career, "surplus").astype(float)
    return VolumeCase(
        level_log=fitted.level_log,
        level_se=fitted.se,
        weekly_sets=count_weekly_sets(career, muscle),
        training_age_years=career.training_age_at_start + np.arange(career.n_weeks) * 7 / 365.25,
        left_out=weeks_of(career, "deload") | mask_after(away),
        body_weight_kg=_weekly_weight(career),
        energy=surplus - weeks_of(career, "deficit"),
    )


def score_career(
    career: Career, cases: dict[str, VolumeCase | Refusal], off_by: float = 0.0
) -> list[VolumeScore]:
    """Scores of every muscle that is answered, at several training ages."""
    scores = []
    for muscle, case in cases.items():
        fitted = None if isinstance(case, Refusal) else case.fit(prior_of(muscle, off_by))
        if not isinstance(fitted, VolumeResponse):
            continue
        row = career.muscles.index(muscle)
        for share in ASKED_AT:
            week = round(share * (career.n_weeks - 1))
            age, true = float(case.training_age_years[week]), career.truth.best_sets[row, week]
            estimate, low, high = fitted.best_sets(age)
            before = fitted.prior_best_sets(age)[0]
            is_held, gain = bool(low <= true <= high), fitted.gain_over_prior(age)
            scores.append(
                VolumeScore(row, age, estimate - true, before - true, is_held, gain, high - low)
            )
    return scores


def _weekly_weight(career: Career) -> np.ndarray:
    known = np.isfinite(career.nights.body_weight_kg)
    week, weight = career.nights.day[known] // 7, career.nights.body_weight_kg[known]
    count = np.bincount(week, minlength=career.n_weeks)[: career.n_weeks]
    total = np.bincount(week, weights=weight, minlength=career.n_weeks)[: career.n_weeks]
    return np.where(count > 0, total / np.maximum(count, 1), np.nan)
