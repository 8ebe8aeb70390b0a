"""Best-supported weekly sets of all muscles of a lifter, from one fit.

Question: at what weekly sets did each muscle's strength index rise most surely, at which training
age? One record says little about one muscle; what its muscles have in common (a person who does
well on more sets mostly does so everywhere) is read from all of them. Association, never cause.

In: weekly arrays of each muscle (``MuscleWeeks``) and of the lifter. Out: one ``VolumeResponse`` a
muscle, or a ``Refusal``; sets/week and % a month. Source: own derivation after METHODS section c;
no published optimum by training age exists (Pelland et al. 2024, read: adjustment for training
status only). Assumptions: the curve of ``response_curve``, the split of ``joint``, the noise of
``noise``, the smoother of ``weekly_record``; weeks left out by the caller.

It refuses all muscles where none has ``LEAST_PAIRS`` comparisons of blocks (about three years) or
none was trained at clearly more and fewer sets; and a muscle with fewer than ``LEAST_OWN_PAIRS`` of
its own (about a year): its answer would be a guess from the others.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from pipeline.core.errors import Refusal
from pipeline.models.arrays import Bools, Floats
from pipeline.models.volume.answer import N_DRAWS, ResponseNoise, VolumeResponse
from pipeline.models.volume.group import GroupShift, LifterSummary, summarise_muscle
from pipeline.models.volume.joint import JointMap, JointMuscle, find_joint_map, values_of
from pipeline.models.volume.noise import NUGGET
from pipeline.models.volume.response_curve import POWER, SETS, VolumePrior
from pipeline.models.volume.weekly_record import (
    LifterWeeks,
    MuscleBlocks,
    MuscleWeeks,
    cut_blocks,
    join_muscles,
    refuse_muscles,
)


@dataclass(frozen=True)
class FittedPool:
    """A joint fit before anything is read off it: muscles answered, refused, and the posterior."""

    records: Mapping[str, MuscleBlocks]
    refusals: Mapping[str, Refusal]
    joint: Mapping[str, JointMuscle]
    is_separated: Mapping[str, bool]
    found: JointMap | None


@dataclass(frozen=True)
class VolumePool:
    """The answers of a lifter: a response or a refusal for every muscle asked about; the fit."""

    answers: Mapping[str, VolumeResponse | Refusal]
    fitted: FittedPool

    def summarise(self, lifter_id: str) -> LifterSummary:
        """What the record alone said, for ``pool_lifters``; fitted without a group."""
        muscles = {}
        for name, answer in self.answers.items():
            if isinstance(answer, Refusal):
                continue
            sets, prior = answer.draws[:, SETS], answer.prior
            told = summarise_muscle(
                float(sets.mean()), float(sets.std()), prior.centre_sets, prior.spread_sets
            )
            if told is not None:
                muscles[name] = told
        return LifterSummary(lifter_id, muscles)


def fit_joint(
    muscles: Mapping[str, MuscleWeeks],
    priors: Mapping[str, VolumePrior],
    lifter: LifterWeeks,
    power: float,
) -> FittedPool:
    """Cut the records into blocks, refuse what must be refused, fit the rest together."""
    records = {name: cut_blocks(one, lifter.training_age_years) for name, one in muscles.items()}
    refusals = refuse_muscles(records)
    own = {name: one for name, one in records.items() if name not in refusals}
    if not own:
        return FittedPool(own, refusals, {}, {}, None)
    joint, is_separated = join_muscles(own, priors, lifter)
    return FittedPool(
        own, refusals, joint, is_separated, find_joint_map(list(joint.values()), power)
    )


def move_priors(
    priors: Mapping[str, VolumePrior], group: GroupShift | None
) -> Mapping[str, VolumePrior]:
    """The published priors as other lifters move them; as they are without a group."""
    if group is None:
        return priors
    return {name: group.shift(name, prior) for name, prior in priors.items()}


def fit_volume_pool(
    muscles: Mapping[str, MuscleWeeks],
    training_age_years: Floats,
    *,
    priors: Mapping[str, VolumePrior],
    body_weight_kg: Floats | None = None,
    energy: Floats | None = None,
    group: GroupShift | None = None,
    power: float = POWER,
    seed: int = 0,
) -> VolumePool:
    """Fit the response of every muscle's index to its weekly sets, together.

    Parameters
    ----------
    muscles : weekly records by muscle.
    training_age_years : (n_weeks,) years since structured training began, positive.
    priors : the published prior of each muscle.
    body_weight_kg : (n_weeks,) nan where not weighed; None when never.
    energy : (n_weeks,) -1 declared deficit, 0, +1 declared surplus; None when never declared.
    group : what other lifters say of the centres; None without any.
    power : the likelihood's power.
    seed : of the posterior's draws; the same seed gives the same answer.
    """
    lifter = LifterWeeks(training_age_years, body_weight_kg, energy)
    fitted = fit_joint(muscles, move_priors(priors, group), lifter, power)
    answers = dict(fitted.refusals) | _answer(fitted, priors, seed, group is not None)
    return VolumePool({name: answers[name] for name in muscles}, fitted)


def fit_volume_response(
    level_log: Floats,
    level_se: Floats,
    weekly_sets: Floats,
    training_age_years: Floats,
    *,
    prior: VolumePrior,
    left_out: Bools | None = None,
    body_weight_kg: Floats | None = None,
    energy: Floats | None = None,
    power: float = POWER,
    seed: int = 0,
) -> VolumeResponse | Refusal:
    """``fit_volume_pool`` of one muscle by itself: nothing is borrowed from others."""
    none = np.zeros(len(weekly_sets), dtype=bool)
    weeks = MuscleWeeks(level_log, level_se, weekly_sets, none if left_out is None else left_out)
    pool = fit_volume_pool(
        {"": weeks},
        training_age_years,
        priors={"": prior},
        body_weight_kg=body_weight_kg,
        energy=energy,
        power=power,
        seed=seed,
    )
    return pool.answers[""]


def _answer(
    fitted: FittedPool, published: Mapping[str, VolumePrior], seed: int, is_grouped: bool
) -> dict[str, VolumeResponse | Refusal]:
    """Draws of every muscle from posterior and priors, by one set of scores and their negatives."""
    found = fitted.found
    if found is None:
        return {}
    n_muscles = len(fitted.joint)
    half = np.random.default_rng(seed).standard_normal((N_DRAWS // 2, found.scores.size))
    normal = np.concatenate([half, -half])
    scores = found.scores + normal @ np.linalg.cholesky(found.covariance).T
    answers: dict[str, VolumeResponse | Refusal] = {}
    for number, (name, muscle) in enumerate(fitted.joint.items()):
        record = fitted.records[name]
        answers[name] = VolumeResponse(
            prior=muscle.prior,
            blocks=record.blocks,
            inside_low=record.inside[0],
            inside_high=record.inside[1],
            is_separated_from_dieting=fitted.is_separated[name],
            n_blocks=record.pairs.n_pairs,
            noise=_noise_of(found, number),
            _draws=values_of(muscle.prior, scores, number, n_muscles),
            _prior_draws=values_of(published[name], normal, number, n_muscles),
            _group_draws=values_of(muscle.prior, normal, number, n_muscles) if is_grouped else None,
        )
    return answers


def _noise_of(found: JointMap, number: int) -> ResponseNoise:
    noise = found.noise
    total = 1.0 + NUGGET**2 + noise.share**2
    return ResponseNoise(
        block_noise=float(noise.scale[number] * np.sqrt(total)),
        correlation=noise.correlation,
        shared=noise.share**2 / total,
        nugget=NUGGET**2 / total,
    )
