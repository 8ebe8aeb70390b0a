"""What other lifters' answers say about a lifter's best weekly sets, before his own are read.

Question: where do the best weekly sets of these people lie, per muscle, and how far apart? In: a
``LifterSummary`` each, from ``VolumePool.summarise``. Out: ``GroupShift``, in sets/week.

Method (empirical Bayes, own derivation): each posterior, divided by its own published prior, is
what the record alone said: a mean and a variance (normal approximation). A lifter's deviations from
the published centres are split into one shared by his muscles and the rest; both are averaged over
lifters with weights 1 / (variance between lifters + variance of the record), the published spread
(half shared, half own) as the first, and shrunk to zero by a prior on the published centre's own
error. All records may err alike (regain or a skewed response look like another optimum), which no
number of lifters averages away: that counts against the shared part. The spread between lifters is
estimated by moments, shrunk to the published one by ``SPREAD_LIFTERS`` lifters' worth. All is
rounded to ``STEP_SETS``, so that one lifter's new week does not move everybody's answer. The lifter
himself is left out: his record must not count twice.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from pipeline.models.arrays import Bools, Floats
from pipeline.models.volume.joint import SHARED
from pipeline.models.volume.response_curve import VolumePrior

STEP_SETS = 1.0
LEAST_LIFTERS = 3
# A published centre may be wrong for these people by so much of its spread, in common and for one
# muscle (standard deviations); the weight of the published spread, in lifters. Assumptions.
CENTRE_OFF_SHARED, CENTRE_OFF_OWN = 0.5, 0.3
SPREAD_LIFTERS = 20.0
# What all records err by alike, in published spreads: even with noise-free strength the optimum was
# off by 1.3 sets (METHODS section c), spreads are 3 to 5. Chosen among 0, 0.3, 0.5 and 0.7 on
# simulated folders with right and wrong centres, seeds not recorded; with 0.5 they are measured by
# ``python -m tests.recovery.measure_group 200`` (seeds 0 to 199).
ERROR_ALIKE = 0.5
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
    told = _read(summaries)
    return _pool(told, np.array([one != leave_out for one in told.lifters], dtype=bool))


def pool_others(summaries: Iterable[LifterSummary]) -> dict[str, GroupShift]:
    """For each lifter what all the others say; nobody where they are under ``LEAST_LIFTERS``."""
    every = list(summaries)
    told = _read(every)
    names = np.array(told.lifters, dtype=np.str_)
    shifts = {one.lifter_id: _pool(told, names != one.lifter_id) for one in every}
    return {lifter: shift for lifter, shift in shifts.items() if shift.n_lifters >= LEAST_LIFTERS}


@dataclass(frozen=True)
class _Told:
    """Lifters of whom something is known, in order of name, as arrays.

    common, common_variance, spread (n_lifters,): shared deviation, its variance as a reading, and
    the published spread. deviation, variance (n_lifters, n_muscles): nan where nothing was told.
    """

    lifters: list[str]
    muscles: list[str]
    common: Floats
    common_variance: Floats
    spread: Floats
    deviation: Floats
    variance: Floats


def _read(summaries: Iterable[LifterSummary]) -> _Told:
    told = sorted((one for one in summaries if one.muscles), key=lambda one: one.lifter_id)
    muscles = sorted({name for one in told for name in one.muscles})
    rows = np.full((len(told), len(muscles), 2), np.nan)
    for at, one in enumerate(told):
        for name, (deviation, variance, _) in one.muscles.items():
            rows[at, muscles.index(name)] = deviation, variance
    shares = np.array([_shared_deviation(one) for one in told]).reshape(-1, 3)
    return _Told(
        lifters=[one.lifter_id for one in told],
        muscles=muscles,
        common=shares[:, 0],
        common_variance=shares[:, 1],
        spread=shares[:, 2],
        deviation=rows[..., 0],
        variance=rows[..., 1],
    )


def _pool(told: _Told, is_other: Bools) -> GroupShift:
    """What the chosen lifters say together."""
    n_lifters = int(is_other.sum())
    if n_lifters < LEAST_LIFTERS:
        return GroupShift(n_lifters=n_lifters)
    common, spread = told.common[is_other], float(told.spread[is_other].mean())
    shared, excess = _shrink(
        common,
        told.common_variance[is_other],
        SHARED * spread**2,
        (CENTRE_OFF_SHARED * spread) ** 2,
        (ERROR_ALIKE * spread) ** 2,
    )
    centres: dict[str | None, float] = {None: _round(shared)}
    for at, muscle in enumerate(told.muscles):
        deviation, variance = told.deviation[is_other, at], told.variance[is_other, at]
        is_told = np.isfinite(deviation)
        if not is_told.any():
            continue
        own, _ = _shrink(
            deviation[is_told] - common[is_told],
            variance[is_told],
            (1.0 - SHARED) * spread**2,
            (CENTRE_OFF_OWN * spread) ** 2,
        )
        centres[muscle] = _round(shared + own)
    factor = np.sqrt(max(1.0 - SHARED + SHARED * excess, 0.25))
    return GroupShift(centres, float(round(factor * 10.0) / 10.0), n_lifters)


def _shared_deviation(one: LifterSummary) -> tuple[float, float, float]:
    """(mean deviation over muscles, its variance as a reading of the shared part, spread)."""
    rows = np.array([one.muscles[name] for name in sorted(one.muscles)])
    spread = float(rows[:, 2].mean())
    weight = 1.0 / (rows[:, 1] + (1.0 - SHARED) * rows[:, 2] ** 2)
    return float(weight @ rows[:, 0] / weight.sum()), float(1.0 / weight.sum()), spread


def _shrink(
    deviation: Floats,
    variance: Floats,
    between: float,
    centre_variance: float,
    alike_variance: float = 0.0,
) -> tuple[float, float]:
    """Mean deviation shrunk to zero, and the spread between lifters against ``between``.

    alike_variance : of what all deviations err by in common.
    """
    weight = 1.0 / (between + variance)
    mean = float(weight @ deviation / weight.sum())
    share = centre_variance / (centre_variance + alike_variance + 1.0 / weight.sum())
    seen = float(np.mean((deviation - mean) ** 2 - variance)) / between
    n = deviation.size
    return share * mean, max((SPREAD_LIFTERS + n * seen) / (SPREAD_LIFTERS + n), 0.25)


def _round(sets: float) -> float:
    return round(sets / STEP_SETS) * STEP_SETS
