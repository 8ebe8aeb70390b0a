"""All muscles of one lifter in one fit: shared and own parts of the response, and the climb.

For each muscle m the response is that of ``response_curve`` with (own derivation, after METHODS c)

    v*_m(age) = centre_m + spread_m (sqrt(w) shift + sqrt(1 - w) own_m) + trend (age - 5),
    growth_m = growth exp(OWN_GROWTH own growth_m),

shift, trend, curvature, growth, exponent, fatigue, weight and energy shared by all muscles; every
letter a unit-normal score under the prior. So the published spread of a muscle stays what it is,
and the share w = ``SHARED`` of its variance is what all muscles of a person have in common. An
assumption: half and half.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pipeline.models.arrays import Floats
from pipeline.models.volume.noise import NoiseScales, Whitener, fit_noise
from pipeline.models.volume.response_curve import (
    GROWTH,
    N_VALUES,
    SETS,
    VolumeDesign,
    VolumePrior,
    predict_change,
)

SHARED = 0.5
# Log spread of a muscle's own growth about what all have in common: two muscles of three grow
# within about a third either way. An assumption.
OWN_GROWTH = 0.3
# Noise, then scores, twice: the first noise is read off the prior's centre, the second off scores
# that know the record. Not always settled: on some simulated careers further turns move the scores
# by more than their error. The recovery figures are those of two turns.
TURNS = 2
# Newton steps of one climb: ten were the most on a few simulated careers. (Both seen by us, seeds
# not recorded.) It ends where a step gains less than ``STILL`` in log posterior, which is 0.014
# standard errors of what it moves.
MOST_STEPS = 12
STILL = 1e-4


@dataclass(frozen=True)
class JointMuscle:
    """One muscle in the joint fit: its differences, their dates in seven-week slots, its prior."""

    design: VolumeDesign
    slot: Floats
    prior: VolumePrior


@dataclass(frozen=True)
class JointMap:
    """Most probable scores (N_VALUES + 2 n_muscles,), their Laplace covariance, the noise."""

    scores: Floats
    covariance: Floats
    noise: NoiseScales


def own_scores(scores: Floats, number: int) -> Floats:
    """Scores (..., N_VALUES) of muscle ``number`` as its prior takes them, growth still shared."""
    out = np.array(scores[..., :N_VALUES])
    own = scores[..., N_VALUES + number]
    out[..., SETS] = np.sqrt(SHARED) * out[..., SETS] + np.sqrt(1.0 - SHARED) * own
    return out


def values_of(prior: VolumePrior, scores: Floats, number: int, n_muscles: int) -> Floats:
    """Parameter values (..., N_VALUES) of muscle ``number`` from joint scores."""
    out = prior.values(own_scores(scores, number))
    out[..., GROWTH] *= np.exp(OWN_GROWTH * scores[..., N_VALUES + n_muscles + number])
    return out


def linearise_all(
    muscles: Sequence[JointMuscle], scores: Floats
) -> tuple[list[Floats], list[Floats]]:
    """Residuals (n_pairs,) at ``scores`` and derivatives (n_pairs, n_scores) of what is expected,
    of each muscle."""
    residuals, slopes = [], []
    for number, muscle in enumerate(muscles):
        values = values_of(muscle.prior, scores, number, len(muscles))
        expected, by_value = predict_change(muscle.design, values)
        residuals.append(muscle.design.change - expected)
        slopes.append(_by_score(muscle, by_value, values, number, len(muscles)))
    return residuals, slopes


def _by_score(
    muscle: JointMuscle, by_value: Floats, values: Floats, number: int, n_muscles: int
) -> Floats:
    out = np.zeros((by_value.shape[0], N_VALUES + 2 * n_muscles))
    out[:, :N_VALUES] = by_value * muscle.prior.slopes(values)
    out[:, N_VALUES + number] = np.sqrt(1.0 - SHARED) * out[:, SETS]
    out[:, SETS] *= np.sqrt(SHARED)
    own_growth = by_value[:, GROWTH] * values[GROWTH] * OWN_GROWTH
    out[:, N_VALUES + n_muscles + number] = own_growth
    return out


def find_joint_map(muscles: Sequence[JointMuscle], power: float) -> JointMap:
    """Most probable scores and noise by turns, from the prior's centre; then Laplace."""
    scores = np.zeros(N_VALUES + 2 * len(muscles))
    slots = [muscle.slot for muscle in muscles]
    for _ in range(TURNS):
        noise = fit_noise(slots, linearise_all(muscles, scores)[0])
        scores, curvature = _climb(muscles, Whitener(slots, noise), scores, power)
    return JointMap(scores, np.linalg.inv(curvature).astype(np.float64), noise)


def _climb(
    muscles: Sequence[JointMuscle], whitener: Whitener, scores: Floats, power: float
) -> tuple[Floats, Floats]:
    """Gauss-Newton with step halving; returns scores and curvature of the log posterior."""
    value, gradient, curvature = _posterior(muscles, whitener, scores, power)
    for _ in range(MOST_STEPS):
        step = np.linalg.solve(curvature, -gradient)
        size = 1.0
        while size > 1e-3:
            trial = _posterior(muscles, whitener, scores + size * step, power)
            if trial[0] <= value:
                break
            size *= 0.5
        else:
            break
        scores, moved = scores + size * step, value - trial[0]
        value, gradient, curvature = trial
        if moved < STILL:
            break
    return scores, curvature


def _posterior(
    muscles: Sequence[JointMuscle], whitener: Whitener, scores: Floats, power: float
) -> tuple[float, Floats, Floats]:
    """Minus log posterior, its gradient and Gauss-Newton curvature at ``scores``."""
    residuals, slopes = linearise_all(muscles, scores)
    columns = [np.column_stack(pair) for pair in zip(residuals, slopes, strict=True)]
    inner = power * whitener.gram(columns)
    value = 0.5 * (inner[0, 0] + scores @ scores)
    return float(value), scores - inner[0, 1:], inner[1:, 1:] + np.eye(scores.size)
