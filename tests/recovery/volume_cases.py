"""Weekly sets against progress on simulated careers: the record's inputs and the scores.

Run ``python -m tests.recovery.measure_volume 20`` for the table; ``test_volume_recovers`` holds a
few careers to loose bars.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from pipeline.core.errors import Refusal
from pipeline.models.simulate import (
    MUSCLE_SD_SETS,
    POPULATION_BEST_SETS,
    SHIFT_SD_SETS,
    Career,
)
from pipeline.models.volume.answer import VolumeResponse
from pipeline.models.volume.pool import fit_volume_pool, fit_volume_response
from pipeline.models.volume.response_curve import VolumePrior
from pipeline.models.volume.weekly_record import MuscleWeeks
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
class VolumeScores:
    """Answers of one career, an element each: error of estimate and prior (sets), interval held,
    width of the interval, and width over the prior's, at a training age."""

    age: np.ndarray
    error: np.ndarray
    prior_error: np.ndarray
    is_held: np.ndarray
    width: np.ndarray
    gain: np.ndarray
    n_muscles: int


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


def pool_cases(career: Career) -> dict[str, VolumeCase]:
    """The muscles of a career that have an index."""
    cases = {muscle: make_case(career, muscle) for muscle in career.muscles}
    return {muscle: case for muscle, case in cases.items() if not isinstance(case, Refusal)}


def pool_arguments(cases: Mapping[str, VolumeCase]) -> tuple[dict, np.ndarray, dict]:
    """(muscles, training age, what the lifter's muscles share), as ``fit_volume_pool`` asks."""
    any_case = next(iter(cases.values()))
    muscles = {
        name: MuscleWeeks(one.level_log, one.level_se, one.weekly_sets, one.left_out)
        for name, one in cases.items()
    }
    shared = {"body_weight_kg": any_case.body_weight_kg, "energy": any_case.energy}
    return muscles, any_case.training_age_years, shared


def score_pool(
    career: Career, cases: Mapping[str, VolumeCase], priors: Mapping[str, VolumePrior]
) -> VolumeScores:
    """Every muscle that is answered, at several training ages."""
    muscles, ages, shared = pool_arguments(cases)
    answers = fit_volume_pool(muscles, ages, priors=priors, **shared).answers
    rows, n_muscles = [], 0
    for muscle, fitted in answers.items():
        if isinstance(fitted, Refusal):
            continue
        n_muscles += 1
        for week in (round(share * (career.n_weeks - 1)) for share in ASKED_AT):
            true = float(career.truth.best_sets[career.muscles.index(muscle), week])
            rows.append(_score(fitted, float(ages[week]), true))
    return VolumeScores(*np.array(rows, dtype=float).reshape(-1, 6).T, n_muscles)


def _score(fitted: VolumeResponse, age: float, true: float) -> tuple[float, ...]:
    estimate, low, high = fitted.best_sets(age)
    before = fitted.prior_best_sets(age)[0]
    held, gain = float(low <= true <= high), fitted.gain_over_prior(age)
    return age, estimate - true, before - true, held, high - low, gain


def _weekly_weight(career: Career) -> np.ndarray:
    known = np.isfinite(career.nights.body_weight_kg)
    week, weight = career.nights.day[known] // 7, career.nights.body_weight_kg[known]
    count = np.bincount(week, minlength=career.n_weeks)[: career.n_weeks]
    total = np.bincount(week, weights=weight, minlength=career.n_weeks)[: career.n_weeks]
    return np.where(count > 0, total / np.maximum(count, 1), np.nan)
