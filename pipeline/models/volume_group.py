"""What other lifters' answers say about a lifter's best weekly sets, before his own are read.

Question: where do the best weekly sets of these people lie, per muscle, and how far apart? In: a
``LifterSummary`` each, from ``summarise_lifter``. Out: ``GroupShift``, in sets/week.

Method (empirical Bayes, own derivation): each posterior, divided by its own published prior, is
what the record alone said: a mean and a variance (normal approximation). A lifter's deviations from
the published centres are split into one shared by his muscles and the rest; both are averaged over
lifters with weights 1 / (variance between lifters + variance of the record), the published spread
(half shared, half own) as the first, and shrunk to zero by a prior on the published centre's own
error. The spread between lifters is estimated by moments, shrunk to the published one by
``SPREAD_LIFTERS`` lifters' worth. All is rounded to ``STEP_SETS``, so that one lifter's new week
does not move everybody's answer. The lifter himself is left out (``leave_out``): his record must
not count twice.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from pipeline.models.volume_joint import SHARED
from pipeline.models.volume_map import VolumePrior
from pipeline.models.weeks import Floats

STEP_SETS = 0.5
LEAST_LIFTERS = 3
# A published centre may be wrong for these people by so much of its spread, in common and for one
# muscle (standard deviations); the weight of the published spread, in lifters. Assumptions.
CENTRE_OFF_SHARED, CENTRE_OFF_OWN = 0.5, 0.3
SPREAD_LIFTERS = 20.0
LEAST_TOLD = 1e-3


@dataclass(frozen=True)
class LifterSummary:
    """What one lifter's record alone said about each muscle's best sets at training age 5.

    Attributes
    ----------
    lifter_id : whose.
    muscles : muscle to (deviation from the published centre, its variance, published spread), in
        sets/week; a muscle of which the record said nothing is not there.
    """

    lifter_id: str
    muscles: Mapping[str, tuple[float, float, float]]


@dataclass(frozen=True)
class GroupShift:
    """Per muscle: sets/week added to the published centre, and factor on its spread.

    Attributes
    ----------
    centre_sets, spread_factor : by muscle; a muscle without an entry has those of ``None``.
    n_lifters : lifters behind it.
    """

    centre_sets: Mapping[str | None, float] = field(default_factory=dict)
    spread_factor: float = 1.0
    n_lifters: int = 0

    def shift(self, muscle: str, prior: VolumePrior) -> VolumePrior:
        """The prior of a muscle as these lifters move it."""
        moved = self.centre_sets.get(muscle, self.centre_sets.get(None, 0.0))
        return replace(
            prior,
            centre_sets=max(prior.centre_sets + moved, 1.0),
            spread_sets=prior.spread_sets * self.spread_factor,
        )


def summarise_muscle(
    mean: float, deviation: float, centre: float, spread: float
) -> tuple[float, float, float] | None:
    """(deviation, variance, spread) that a record alone said, from posterior and prior.

    mean, deviation : posterior of the best sets at training age 5; centre, spread : its prior.
    None where the posterior is hardly narrower than the prior.
    """
    told = 1.0 / deviation**2 - 1.0 / spread**2
    if told * spread**2 < LEAST_TOLD:
        return None
    return float((mean - centre) / deviation**2 / told), float(1.0 / told), float(spread)


def pool_lifters(summaries: Iterable[LifterSummary], leave_out: str | None = None) -> GroupShift:
    """What the lifters but ``leave_out`` say together; nothing with under ``LEAST_LIFTERS``."""
    others = [one for one in summaries if one.lifter_id != leave_out and one.muscles]
    others.sort(key=lambda one: one.lifter_id)
    if len(others) < LEAST_LIFTERS:
        return GroupShift(n_lifters=len(others))
    shares = [_shared_deviation(one) for one in others]
    spread = float(np.mean([share[2] for share in shares]))
    shared, excess = _shrink(
        np.array([share[0] for share in shares]),
        np.array([share[1] for share in shares]),
        SHARED * spread**2,
        (CENTRE_OFF_SHARED * spread) ** 2,
    )
    centres: dict[str | None, float] = {None: _round(shared)}
    for muscle in sorted({name for one in others for name in one.muscles}):
        rows = [
            (one.muscles[muscle], share[0])
            for one, share in zip(others, shares, strict=True)
            if muscle in one.muscles
        ]
        own, _ = _shrink(
            np.array([row[0] - common for row, common in rows]),
            np.array([row[1] for row, _ in rows]),
            (1.0 - SHARED) * spread**2,
            (CENTRE_OFF_OWN * spread) ** 2,
        )
        centres[muscle] = _round(shared + own)
    factor = np.sqrt(max(1.0 - SHARED + SHARED * excess, 0.25))
    return GroupShift(centres, float(round(factor * 10.0) / 10.0), len(others))


def _shared_deviation(one: LifterSummary) -> tuple[float, float, float]:
    """(mean deviation over muscles, its variance as a reading of the shared part, spread)."""
    rows = np.array(list(one.muscles.values()))
    spread = float(rows[:, 2].mean())
    weight = 1.0 / (rows[:, 1] + (1.0 - SHARED) * rows[:, 2] ** 2)
    return float(weight @ rows[:, 0] / weight.sum()), float(1.0 / weight.sum()), spread


def _shrink(
    deviation: Floats, variance: Floats, between: float, centre_variance: float
) -> tuple[float, float]:
    """Mean deviation shrunk to zero, and the spread between lifters against ``between``."""
    weight = 1.0 / (between + variance)
    mean = float(weight @ deviation / (weight.sum() + 1.0 / centre_variance))
    seen = float(np.mean((deviation - mean) ** 2 - variance)) / between
    n = deviation.size
    return mean, max((SPREAD_LIFTERS + n * seen) / (SPREAD_LIFTERS + n), 0.25)


def _round(sets: float) -> float:
    return round(sets / STEP_SETS) * STEP_SETS
