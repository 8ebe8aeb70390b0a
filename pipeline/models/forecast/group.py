"""What other people teach about a step ahead: drift and scatter of a group, or the published.

The model, its sources and its assumptions are told in ``predict``.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pipeline.core.errors import Refusal
from pipeline.models.arrays import Floats
from pipeline.models.forecast.fit import fit_drift_coefficients, fit_scale, fit_shift
from pipeline.models.forecast.steps import FEATURES, History, list_steps, weigh_people

MIN_PEOPLE = 10  # a drift of fewer is no group's; common practice, no published source
# From so many on, errors are taken from each person's last step alone, the one a forecast makes.
PEOPLE_FOR_LAST_STEPS = 100
LAW_BY_TRAINING_AGE = 0.40 / np.log(52.0)  # log per e-fold of training age
LAW_BY_COMPETING = 0.10 / np.log(10.0)  # log per e-fold of years since the first competition
RETEST_CV = 0.042  # one test of a maximum (Grgic et al. 2020, read: median of 32 studies)
# Scatter of a person's own course, log per root year: an assumption, used until a group tells.
WANDER = 0.025
DIGITS = 3
PROBABILITIES = np.array([0.005, 0.025, 0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95, 0.975, 0.995])


@dataclass(frozen=True)
class GroupDrift:
    """What other people teach about the step ahead.

    coefficients : of ``FEATURES``. shift : log, takes the mean error out. centre : log level at
    which ``level`` is zero. scale : log scatter on [1, traits] beyond the published.
    quantiles : of errors divided by that scatter, at ``PROBABILITIES``.
    n_people, n_steps : behind it; 0 for the published drift. strength : pull toward the prior, in
    people. error, error_of_last : mean absolute error on people kept apart, of this drift and of
    "no change", in the unit of the values; nan for the published drift.
    """

    coefficients: tuple[float, ...]
    shift: float
    centre: float
    scale: tuple[float, ...]
    quantiles: tuple[float, ...]
    n_people: int
    n_steps: int
    strength: float
    error: float
    error_of_last: float

    @property
    def is_published(self) -> bool:
        """No group: published drift and scatter."""
        return self.n_people == 0

    def rounded(self) -> "GroupDrift":
        """With ``DIGITS`` significant digits: one person's new value then changes no other's
        forecast unless it moves the group."""
        return replace(
            self,
            coefficients=_round(self.coefficients),
            scale=_round(self.scale),
            quantiles=_round(self.quantiles),
            shift=_round((self.shift,))[0],
            centre=_round((self.centre,))[0],
        )


def published_drift(is_training_age_known: bool) -> GroupDrift:
    """The published drift and scatter: no person of any group behind it."""
    from scipy.special import ndtri

    law = LAW_BY_TRAINING_AGE if is_training_age_known else LAW_BY_COMPETING
    return GroupDrift(
        coefficients=(float(law), *([0.0] * (len(FEATURES) - 1))),
        shift=0.0,
        centre=0.0,
        scale=(0.0, 0.0, 0.0, 0.0),
        quantiles=tuple(float(q) for q in ndtri(PROBABILITIES)),
        n_people=0,
        n_steps=0,
        strength=float("inf"),
        error=float("nan"),
        error_of_last=float("nan"),
    )


def fit_drift(
    people: Sequence[History],
    years_ahead: float | None = None,
    owner: Sequence[object] | None = None,
) -> GroupDrift | Refusal:
    """Learn drift and scatter from other people.

    Parameters
    ----------
    people : their histories, all of one kind of measure; those with one value teach nothing.
    years_ahead : step to learn; None takes the step from each value to the next (competitions).
    owner : whose each history is, where one person has several (lifts, muscles).

    Returns
    -------
    GroupDrift, or Refusal under ``MIN_PEOPLE`` people with a step.
    """
    steps = list_steps(people, years_ahead, owner)
    n_people = int(np.unique(steps.person).size)
    if n_people < MIN_PEOPLE:
        return Refusal(n_people, MIN_PEOPLE, "people with a step", "use the published drift")
    is_told = all(person.training_age_years is not None for person in people)
    published = np.array(published_drift(is_told).coefficients)
    fit = fit_drift_coefficients(steps, (published, np.zeros(len(FEATURES))))
    # Of fitted levels always from all steps: both ends of the last one lie at the end of the same
    # smoother, so that it moves too little.
    is_judged = steps.is_last | (n_people < PEOPLE_FOR_LAST_STEPS) | ~np.isnan(steps.noise)
    shift = fit_shift(steps, fit.predicted, is_judged)
    residual = _unsmooth(np.log(steps.target / steps.anchor) - fit.predicted - shift, steps.noise)
    scale = fit_scale(steps, residual, base_scatter(steps.years, steps.noise))
    scatter = scatter_of(scale, steps.traits, base_scatter(steps.years, steps.noise))
    quantiles = _quantiles(
        (residual / scatter)[is_judged], weigh_people(steps.person[is_judged]), n_people
    )
    return GroupDrift(
        coefficients=tuple(map(float, fit.coefficients)),
        shift=shift,
        centre=steps.centre,
        scale=tuple(map(float, scale)),
        quantiles=quantiles,
        n_people=n_people,
        n_steps=int(steps.person.size),
        strength=fit.strength,
        error=fit.error,
        error_of_last=fit.error_of_last,
    )


def _unsmooth(residual: Floats, noise: Floats) -> Floats:
    """Errors of true levels: a smoothed level moves less than the true one, by about the error
    that is left in it. Single tests (nan) stay as they are."""
    return np.sign(residual) * np.hypot(residual, np.nan_to_num(noise))


def base_scatter(years: Floats, noise: Floats) -> Floats:
    """(n,) published scatter of steps, log: of both ends, and of the course between them.

    years : (n,) length of each step. noise : (n,) scatter of both ends, log, nan: the published.
    """
    single = np.where(np.isnan(noise), np.sqrt(2.0) * RETEST_CV, noise)
    return np.sqrt(single**2 + WANDER**2 * years)


def scatter_of(scale: Floats, traits: Floats, base: Floats) -> Floats:
    """(n,) scatter of steps, log: ``base`` times what their traits (n, k) make of it."""
    return base * np.exp(np.clip(scale[0] + traits @ scale[1:], -2.0, 2.0))


def _quantiles(standard: Floats, weights: Floats, n_people: int) -> tuple[float, ...]:
    """Quantiles at ``PROBABILITIES``, moved outward as a conformal interval of so many people."""
    order = np.argsort(standard)
    reached = (np.cumsum(weights[order]) - weights[order] / 2.0) / weights.sum()
    tail = np.minimum(PROBABILITIES, 1.0 - PROBABILITIES)
    tail = np.maximum(tail - (1.0 - tail) / n_people, 0.0)
    asked = np.where(PROBABILITIES < 0.5, tail, 1.0 - tail)
    asked[PROBABILITIES == 0.5] = 0.5
    return tuple(float(q) for q in np.interp(asked, reached, standard[order]))


def _round(values: tuple[float, ...]) -> tuple[float, ...]:
    return tuple(float(f"{value:.{DIGITS}g}") for value in values)
