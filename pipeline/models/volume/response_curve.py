"""The concave response of progress to weekly sets: its prior, and the differences it expects.

Question: by how much would a muscle's strength index differ between neighbouring block means under
a given response curve? The equations (own derivation, after the design that METHODS recommends): a
level is the running sum of its weekly growth,

    growth(t) = g (5 / age)^p r(t) + e energy(t),   r = max(1 - c ((v - v*) / v*)^2, FLOOR),
    v*(age)   = s + m (age - 5),

with v the weekly sets of that week, and what is measured also carries a share of body-weight
change and is held down by recent volume. The differences of block means are linear in growth, so
nothing is approximated between a week's sets and a block's difference. The form (5 / age)^p with
p near 1 is the log-time growth law (Steele et al. 2023, read: strength linear in ln(weeks)).

The likelihood is raised to the power ``POWER``: with the plain one the intervals held the truth
0.62 to 0.69 of the time instead of 0.90 (METHODS, section c).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from pipeline.models.arrays import Floats
from pipeline.models.weeks import WEEKS_PER_YEAR

POWER = 0.25
FLOOR = -1.0
LEAST_SETS = 1.0
# Years of training below which the law of growth is not read: at none it has no bound.
LEAST_AGE = 0.1
N_VALUES = 8
SETS, TREND, CURVATURE, GROWTH, EXPONENT, FATIGUE, WEIGHT, ENERGY = range(N_VALUES)

# Priors (centre, spread) of what no published table of weekly sets gives. All are assumptions, wide
# on purpose: exponent of the growth law (1 is log-time); strength masked by a recent volume as high
# as the prior's best sets (log; none or negative in some lifters); share of a body-weight change
# that shows as strength; growth a year in a declared surplus beyond that (log).
GROWTH_EXPONENT, GROWTH_EXPONENT_SPREAD = 1.0, 0.6
FATIGUE_SPREAD = 0.02
WEIGHT_SHARE, WEIGHT_SHARE_SPREAD = 0.3, 0.4
ENERGY_PER_YEAR_SPREAD = 0.03


@dataclass(frozen=True)
class VolumePrior:
    """What is believed of one muscle before the record is read (``reference/priors.csv``).

    Attributes
    ----------
    centre_sets, spread_sets : best weekly sets at training age 5, and their standard deviation
        between people, sets/week.
    trend, trend_spread : change of the best sets per year of training, sets/week/year.
    curvature, curvature_spread : share of the best progress that is lost at twice the best sets
        (and at none), and its spread; positive.
    growth_pct_year, growth_log_spread : progress at the best sets at training age 5, % a year,
        and the spread of its logarithm. Default: 1.5 %, what the log-time law gives five years in
        for a gain of 35 % in the first year (Steele et al. 2023, read; 1.5 is computed).
    """

    centre_sets: float
    spread_sets: float
    trend: float = 0.0
    trend_spread: float = 0.5
    curvature: float = 1.2
    curvature_spread: float = 1.2
    growth_pct_year: float = 1.5
    growth_log_spread: float = 1.5

    def values(self, scores: Floats) -> Floats:
        """Parameter values of unit-normal scores; scores and result (..., N_VALUES)."""
        scores = np.asarray(scores, dtype=np.float64)
        out = np.empty_like(scores)
        log_spread = np.sqrt(np.log1p((self.curvature_spread / self.curvature) ** 2))
        out[..., SETS] = self.centre_sets + self.spread_sets * scores[..., SETS]
        out[..., TREND] = self.trend + self.trend_spread * scores[..., TREND]
        middle = np.log(self.curvature) - 0.5 * log_spread**2
        out[..., CURVATURE] = np.exp(middle + log_spread * scores[..., CURVATURE])
        growth = np.exp(self.growth_log_spread * scores[..., GROWTH])
        out[..., GROWTH] = self.growth_pct_year / 100.0 * growth
        out[..., EXPONENT] = GROWTH_EXPONENT + GROWTH_EXPONENT_SPREAD * scores[..., EXPONENT]
        out[..., FATIGUE] = FATIGUE_SPREAD * scores[..., FATIGUE]
        out[..., WEIGHT] = WEIGHT_SHARE + WEIGHT_SHARE_SPREAD * scores[..., WEIGHT]
        out[..., ENERGY] = ENERGY_PER_YEAR_SPREAD * scores[..., ENERGY]
        return out

    def slopes(self, values: Floats) -> Floats:
        """Derivative of each value by its own score; (N_VALUES,)."""
        log_spread = np.sqrt(np.log1p((self.curvature_spread / self.curvature) ** 2))
        return np.array(
            [
                self.spread_sets,
                self.trend_spread,
                values[CURVATURE] * log_spread,
                values[GROWTH] * self.growth_log_spread,
                GROWTH_EXPONENT_SPREAD,
                FATIGUE_SPREAD,
                WEIGHT_SHARE_SPREAD,
                ENERGY_PER_YEAR_SPREAD,
            ]
        )


@dataclass(frozen=True)
class VolumeDesign:
    """One muscle's differences and what explains them.

    Attributes
    ----------
    change : (n,) differences of block means, log.
    growth : (n, w) operator from weekly growth to differences; weeks no pair touches are cut off.
    sets, age, energy : (w,) weekly sets, training age in years, -1 / 0 / +1.
    recent : (n,) differences of recent weekly sets, as a share of the prior's centre.
    weight : (n,) differences of log body weight, 0 where not known.
    """

    change: Floats
    growth: Floats
    sets: Floats
    age: Floats
    energy: Floats
    recent: Floats
    weight: Floats


def best_sets_at(values: Floats, age: ArrayLike) -> Floats:
    """Best weekly sets at training age ``age``; values (..., N_VALUES) against age broadcast."""
    best = values[..., SETS] + values[..., TREND] * (np.asarray(age) - 5.0)
    return np.maximum(best, LEAST_SETS)


def response_at(values: Floats, age: ArrayLike, sets: ArrayLike) -> Floats:
    """Progress per year (log) at a steady ``sets`` a week; arguments broadcast."""
    best = best_sets_at(values, age)
    loss = values[..., CURVATURE] * ((np.asarray(sets) - best) / best) ** 2
    size = values[..., GROWTH] * (5.0 / np.maximum(age, LEAST_AGE)) ** values[..., EXPONENT]
    return size * np.maximum(1.0 - loss, FLOOR)


def predict_change(design: VolumeDesign, values: Floats) -> tuple[Floats, Floats]:
    """Expected differences (n,) and their derivatives by the values (n, N_VALUES)."""
    years = 1.0 / WEEKS_PER_YEAR
    best = best_sets_at(values, design.age)
    free = (best > LEAST_SETS).astype(np.float64)
    off = (design.sets - best) / best
    size = values[GROWTH] * (5.0 / design.age) ** values[EXPONENT] * years
    shape = 1.0 - values[CURVATURE] * off**2
    is_floor = shape < FLOOR
    shape = np.where(is_floor, FLOOR, shape)
    by_best = np.where(is_floor, 0.0, 2.0 * values[CURVATURE] * off * design.sets / best**2) * free
    weekly = np.column_stack(
        [
            size * by_best,
            size * by_best * (design.age - 5.0),
            np.where(is_floor, 0.0, -size * off**2),
            size * shape / values[GROWTH],
            size * shape * np.log(5.0 / design.age),
            design.energy * years,
            size * shape,
        ]
    )
    summed = design.growth @ weekly
    slopes = np.column_stack([summed[:, :5], -design.recent, design.weight, summed[:, 5]])
    linear = slopes[:, FATIGUE:] @ values[FATIGUE:]
    return summed[:, 6] + linear, slopes
