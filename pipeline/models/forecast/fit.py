"""Fitting the drift of a group: least absolute error, drawn toward a prior, by people held out.

Absolute error makes the forecast a median, which a few bad days do not move; one shift then takes
out its mean error, since a bad day lies further below a level than a good one above it.
"""

from dataclasses import dataclass

import numpy as np

from pipeline.models.arrays import Bools, Floats, Ints
from pipeline.models.forecast.steps import Steps, weigh_people

FOLDS = 5
ROUNDS = 30  # of reweighted least squares
LEAST_ERROR = 2e-3  # log; smaller errors weigh no more than this one
# How strongly coefficients are drawn toward the prior, in people; the first is the prior itself.
STRENGTHS = (1e9, 1e3, 100.0, 10.0, 1.0)
SCALE_STRENGTH = 20.0  # people's worth of "no different from the published scatter"
# Usual size of each feature: the pull is on coefficient x size, alike for all.
SIZES = np.array([0.4, 0.7, 0.2, 0.04, 0.05, 0.05, 0.05])


@dataclass(frozen=True)
class DriftFit:
    """Coefficients of ``FEATURES``, the pull chosen and the absolute errors it was chosen by.

    predicted : (m,) log change of every step by a fit that had not seen the person.
    error, error_of_last : mean absolute errors over people kept apart, of the drift and of "no
    change", in units of the values.
    """

    coefficients: Floats
    strength: float
    predicted: Floats
    error: float
    error_of_last: float


def fit_drift_coefficients(steps: Steps, priors: tuple[Floats, ...]) -> DriftFit:
    """Choose prior and pull by cross-validation over people, then fit all.

    priors : coefficient vectors to be drawn toward (published drift, no drift).
    """
    fold = _fold_people(steps.person)
    tried = [
        (prior, strength, _predict_apart(steps, fold, prior, strength))
        for strength in STRENGTHS
        for prior in priors
    ]
    errors = np.array([_errors_of_people(steps, predicted) for _, _, predicted in tried])
    chosen = _choose(errors)
    prior, strength, predicted = tried[chosen]
    everyone = np.ones(steps.person.size, dtype=bool)
    return DriftFit(
        coefficients=_fit_absolute(steps, everyone, prior, strength),
        strength=strength,
        predicted=predicted,
        error=float(errors[chosen].mean()),
        error_of_last=float(_errors_of_people(steps, np.zeros(predicted.size)).mean()),
    )


def _choose(errors: Floats) -> int:
    """The first of the rows (hardest pull first) within one standard error of the best.

    Paired over people (one-standard-error rule, common practice): a small group
    stays with the published drift unless it surely knows better.
    """
    beyond = errors - errors[np.argmin(errors.mean(axis=1))]
    se = beyond.std(axis=1) / np.sqrt(errors.shape[1])
    return int(np.argmax(beyond.mean(axis=1) <= se))


def _fold_people(person: Ints) -> Ints:
    """A fixed fold for every person: no chance enters the fit."""
    return np.unique(person, return_inverse=True)[1] % FOLDS


def _errors_of_people(steps: Steps, predicted: Floats) -> Floats:
    """(n_people,) mean absolute error of each, in units of the values."""
    off = np.abs(steps.anchor * np.exp(predicted) - steps.target)
    number = np.unique(steps.person, return_inverse=True)[1]
    return np.bincount(number, weights=off) / np.bincount(number)


def _predict_apart(steps: Steps, fold: Ints, prior: Floats, strength: float) -> Floats:
    predicted = np.zeros(fold.size)
    for apart in range(FOLDS):
        is_apart = fold == apart
        fitted = _fit_absolute(steps, ~is_apart, prior, strength)
        predicted[is_apart] = steps.features[is_apart] @ fitted
    return predicted


def _fit_absolute(steps: Steps, used: Bools, prior: Floats, strength: float) -> Floats:
    """Least absolute error in values by iteratively reweighted least squares, with a quadratic
    pull toward ``prior``."""
    x, y = steps.features[used], np.log(steps.target[used] / steps.anchor[used])
    if not y.size:
        return prior
    weights = weigh_people(steps.person[used]) * steps.anchor[used]
    weights = weights * (weights.size / weights.sum())
    people = np.unique(steps.person[used]).size
    usual = max(float(np.median(np.abs(y))), LEAST_ERROR)
    pull = strength * y.size / people * SIZES**2 / usual
    found = prior
    for _ in range(ROUNDS):
        w = weights / np.maximum(np.abs(y - x @ found), LEAST_ERROR)
        left = (x * w[:, None]).T @ x + np.diag(pull)
        found = np.linalg.solve(left, x.T @ (w * y) + pull * prior)
    return found


def fit_shift(steps: Steps, predicted: Floats, used: Bools) -> float:
    """Log shift that takes the mean error out, drawn to zero by its own uncertainty.

    Positive-part shrinkage: a shift no larger than its standard
    error is none.
    """
    made = steps.anchor[used] * np.exp(predicted[used])
    error = (steps.target[used] - made) / made.mean()
    mean, se = float(error.mean()), float(error.std() / np.sqrt(max(error.size, 1)))
    return float(np.log1p(mean * max(0.0, 1.0 - (se / mean) ** 2))) if mean else 0.0


def fit_scale(steps: Steps, residual: Floats, base: Floats) -> Floats:
    """(4,) coefficients of log scatter on [1, traits] beyond ``base`` (multiplicative).

    Least squares on log absolute residuals, drawn to zero by ``SCALE_STRENGTH`` people.
    """
    x = np.column_stack([np.ones(residual.size), steps.traits])
    # The mean log of an absolute standard normal value is -0.635 (computed).
    y = np.log(np.maximum(np.abs(residual), LEAST_ERROR) / base) + 0.635
    weights = weigh_people(steps.person)
    size = np.array([1.0, 0.5, 0.5, 0.5])
    left = (x * weights[:, None]).T @ x + np.diag(SCALE_STRENGTH * size**2)
    return np.asarray(np.linalg.solve(left, x.T @ (weights * y)), np.float64)
