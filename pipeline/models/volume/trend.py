"""Whether the best-supported weekly sets moved with training age: the question ``sets_trend``.

Question: did this lifter's best weekly sets rise or fall over the years, all muscles together? In:
as ``fit_volume_pool``. Out: sets/week per year of training, with an interval; never read off two
intervals of different ages, which overlap long after a trend is sure.

Model: the trend of ``joint``, one for all muscles, from a second fit with the likelihood
raised to ``TREND_POWER`` instead of ``POWER`` (METHODS section c: on simulated careers a flat one
was then called rising or falling in 4 to 5 %, a rising one found in 49 to 73 %, a falling one in
only 19 to 53 %: the page says that a fall is found less often). Prior: no trend, its spread that of
``VolumePrior``. Assumes a straight line in training age and what ``pool`` assumes.

It refuses where ``fit_volume_pool`` refuses every muscle, and where the comparisons span fewer than
``LEAST_AGE_SPAN`` years of training.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from pipeline.core.errors import Refusal
from pipeline.models.arrays import Floats
from pipeline.models.volume.group import GroupShift
from pipeline.models.volume.pool import fit_joint, move_priors
from pipeline.models.volume.response_curve import TREND, VolumePrior
from pipeline.models.volume.weekly_record import LifterWeeks, MuscleWeeks
from pipeline.models.weeks import normal_quantile

TREND_POWER = 0.5
LEAST_AGE_SPAN = 5.0  # common practice, no published source


@dataclass(frozen=True)
class ToleranceTrend:
    """Change of the best weekly sets per year of training, all muscles together.

    Attributes
    ----------
    estimate, low, high : sets/week per year, interval at ``coverage``.
    prior_low, prior_high : the same interval before the record is read, around the prior's trend.
    n_blocks, n_muscles : comparisons and muscles behind it.
    age_from, age_to : training age of the first and last comparison, years.
    is_separated_from_dieting : in at least half of the muscles.
    """

    estimate: float
    low: float
    high: float
    coverage: float
    prior_low: float
    prior_high: float
    n_blocks: int
    n_muscles: int
    age_from: float
    age_to: float
    is_separated_from_dieting: bool

    @property
    def direction(self) -> str:
        """rising or falling where the interval leaves 0 out, else unsure."""
        if self.low > 0.0:
            return "rising"
        return "falling" if self.high < 0.0 else "unsure"


def fit_tolerance_trend(
    muscles: Mapping[str, MuscleWeeks],
    training_age_years: Floats,
    *,
    priors: Mapping[str, VolumePrior],
    body_weight_kg: Floats | None = None,
    energy: Floats | None = None,
    group: GroupShift | None = None,
    power: float = TREND_POWER,
    coverage: float = 0.90,
) -> ToleranceTrend | Refusal:
    """Fit the trend; arguments as ``fit_volume_pool``."""
    lifter = LifterWeeks(training_age_years, body_weight_kg, energy)
    fitted = fit_joint(muscles, move_priors(priors, group), lifter, power)
    if fitted.found is None:
        return _refuse_all(fitted.refusals)
    ages = np.concatenate([one.blocks.training_age_years for one in fitted.records.values()])
    if np.ptp(ages) < LEAST_AGE_SPAN:
        return Refusal(
            has=round(float(np.ptp(ages)), 1),
            needs=LEAST_AGE_SPAN,
            of_what="years between the first and the last comparison",
            remedy="keep logging; a trend over the years needs years",
        )
    prior = next(iter(fitted.joint.values())).prior
    reach = normal_quantile(coverage) * prior.trend_spread
    middle = prior.trend + prior.trend_spread * float(fitted.found.scores[TREND])
    half = reach * float(np.sqrt(fitted.found.covariance[TREND, TREND]))
    return ToleranceTrend(
        estimate=middle,
        low=middle - half,
        high=middle + half,
        coverage=coverage,
        prior_low=prior.trend - reach,
        prior_high=prior.trend + reach,
        n_blocks=ages.size,
        n_muscles=len(fitted.joint),
        age_from=float(ages.min()),
        age_to=float(ages.max()),
        is_separated_from_dieting=float(np.mean(list(fitted.is_separated.values()))) >= 0.5,
    )


def _refuse_all(refusals: Mapping[str, Refusal]) -> Refusal:
    """The refusal of the muscle that came closest; of no muscle at all where there is none."""
    if not refusals:
        return Refusal(
            has=0,
            needs=1,
            of_what="muscles with a strength index",
            remedy="keep logging sets with load and repetitions",
        )
    return max(refusals.values(), key=lambda refusal: refusal.has / refusal.needs)
