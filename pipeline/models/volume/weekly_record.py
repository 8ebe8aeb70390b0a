"""A muscle's weekly record as the joint fit reads it: blocks, differences, what explains them.

The index is a smoothed curve, so what a week adds shows over the weeks around it. Whatever is
compared with the index goes through the same kind of smoother, (I + h^4 D'D)^-1 with D second
differences: that of a local linear trend (own derivation), h = ``SMOOTHING_WEEKS``. An index whose
weekly changes hardly follow each other is not smooth and is compared as it is.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from pipeline.core.errors import Refusal
from pipeline.models.arrays import Bools, Floats
from pipeline.models.volume.blocks import (
    LEAST_WEEKS_USED,
    WEEKS_IN_BLOCK,
    describe_blocks,
    find_usable_weeks,
    refuse_few_pairs,
)
from pipeline.models.volume.joint import JointMuscle
from pipeline.models.volume.response_curve import LEAST_AGE, VolumeDesign, VolumePrior
from pipeline.models.weeks import (
    BlockPairs,
    Blocks,
    fill_gaps,
    pair_blocks,
    recent_mean,
)

LEAST_OWN_PAIRS = 8
LEAST_SPREAD_SETS = 3.0
FATIGUE_WEEKS = 3.0
LEAST_WEIGHED_SHARE = 0.6
# Chosen by us on simulated careers (seeds not recorded) among 0 to 18 and 30: what is growth of
# half a year in the index is compared with the sets of that half year. 8 to 18 answer nearly alike,
# 30 somewhat better. No command varies it; ``measure_volume`` measures what it came to.
SMOOTHING_WEEKS = 30.0
SMOOTH_FROM = 0.5


@dataclass(frozen=True)
class MuscleWeeks:
    """One muscle's weekly record, each (n_weeks,).

    Attributes
    ----------
    level_log, level_se : strength index and its standard error, log; nan where there is none.
    weekly_sets : fractional sets; 0 in a known week off, nan in an unlogged one.
    left_out : weeks whose level is not read: deloads, windows after layoffs and injuries. Their
        sets still count.
    """

    level_log: Floats
    level_se: Floats
    weekly_sets: Floats
    left_out: Bools


@dataclass(frozen=True)
class MuscleBlocks:
    """One muscle's record cut into blocks.

    Attributes
    ----------
    level_log, weekly_sets : (n_weeks,) with gaps filled; gaps enter no comparison.
    pairs, blocks : the comparisons as operators and in units people read.
    inside : 4th and 97th percentile of the weekly sets in weeks that were read.
    persistence : correlation of the index's weekly changes with the next; nan when unknown.
    """

    level_log: Floats
    weekly_sets: Floats
    pairs: BlockPairs
    blocks: Blocks
    inside: tuple[float, float]
    persistence: float

    @property
    def spread_sets(self) -> float:
        """10th to 90th percentile of the comparisons' weekly sets; 0 without any."""
        if not self.pairs.n_pairs:
            return 0.0
        low, high = np.percentile(self.blocks.weekly_sets, [10, 90])
        return float(high - low)


@dataclass(frozen=True)
class LifterWeeks:
    """What all muscles of a lifter share, each (n_weeks,): see ``fit_volume_pool``."""

    training_age_years: Floats
    body_weight_kg: Floats | None
    energy: Floats | None


def cut_blocks(weeks: MuscleWeeks, training_age_years: Floats) -> MuscleBlocks:
    """Blocks of 7 weeks and the differences between neighbours."""
    sets = np.asarray(weeks.weekly_sets, dtype=np.float64)
    is_used = find_usable_weeks(weeks.level_log, weeks.level_se, sets, weeks.left_out)
    pairs = pair_blocks(is_used, WEEKS_IN_BLOCK, LEAST_WEEKS_USED)
    inside = np.percentile(sets[is_used], [4, 97]) if is_used.any() else (0.0, 0.0)
    return MuscleBlocks(
        level_log=fill_gaps(np.where(is_used, weeks.level_log, np.nan)),
        weekly_sets=fill_gaps(sets),
        pairs=pairs,
        blocks=describe_blocks(pairs, weeks.level_log, sets, training_age_years),
        inside=(float(inside[0]), float(inside[1])),
        persistence=_find_persistence(np.where(is_used, weeks.level_log, np.nan)),
    )


def refuse_muscles(records: Mapping[str, MuscleBlocks]) -> dict[str, Refusal]:
    """Refusals by muscle: all of them where the lifter's record is too short or too even."""
    most = max((record.pairs.n_pairs for record in records.values()), default=0)
    widest = max((record.spread_sets for record in records.values()), default=0.0)
    refusals = {}
    for name, record in records.items():
        few = refuse_few_pairs(record.pairs.n_pairs)
        if few is not None and most < few.needs:
            refusals[name] = few
        elif record.pairs.n_pairs < LEAST_OWN_PAIRS:
            refusals[name] = _refuse_few_own(record.pairs.n_pairs)
        elif widest < LEAST_SPREAD_SETS:
            refusals[name] = _refuse_even(record.spread_sets)
    return refusals


def _refuse_few_own(n_pairs: int) -> Refusal:
    return Refusal(
        has=n_pairs,
        needs=LEAST_OWN_PAIRS,
        of_what="comparisons of seven-week blocks of this muscle",
        remedy="keep logging this muscle; about one comparison is added every seven weeks",
        counted="comparisons",
    )


def _refuse_even(spread: float) -> Refusal:
    return Refusal(
        has=round(spread, 1),
        needs=LEAST_SPREAD_SETS,
        of_what="weekly sets between the lower and higher blocks of any muscle",
        remedy="train it for two months or more at clearly more or fewer sets",
    )


def join_muscles(
    records: Mapping[str, MuscleBlocks], priors: Mapping[str, VolumePrior], lifter: LifterWeeks
) -> tuple[dict[str, JointMuscle], dict[str, bool]]:
    """Muscles as the joint fit takes them, and whether dieting can be told from the sets."""
    persistence = [one.persistence for one in records.values() if np.isfinite(one.persistence)]
    is_smooth = bool(persistence) and float(np.median(persistence)) > SMOOTH_FROM
    first = min(float(_middle(one.pairs).min()) for one in records.values())
    joint, is_separated = {}, {}
    for name, record in records.items():
        pairs = smooth_pairs(record.pairs) if is_smooth else record.pairs
        weight, is_weighed = _weight_change(record.pairs, pairs, lifter.body_weight_kg)
        design = _design(record, pairs, priors[name], weight, lifter)
        slot = (_middle(pairs) - first) / WEEKS_IN_BLOCK
        joint[name] = JointMuscle(design, slot, priors[name])
        is_separated[name] = lifter.energy is not None or is_weighed
    return joint, is_separated


def _design(
    record: MuscleBlocks, pairs: BlockPairs, prior: VolumePrior, weight: Floats, lifter: LifterWeeks
) -> VolumeDesign:
    age = np.asarray(lifter.training_age_years, dtype=np.float64)
    recent = recent_mean(record.weekly_sets, FATIGUE_WEEKS) / prior.centre_sets
    return VolumeDesign(
        change=record.pairs.difference @ record.level_log,
        growth=pairs.growth,
        sets=record.weekly_sets,
        age=np.maximum(age, LEAST_AGE),
        energy=np.zeros(age.size) if lifter.energy is None else np.nan_to_num(lifter.energy),
        recent=pairs.difference @ recent,
        weight=weight,
    )


def smooth_pairs(pairs: BlockPairs) -> BlockPairs:
    """The same comparisons of a smoothed curve of the weekly level."""
    from scipy.linalg import solveh_banded

    n_weeks = pairs.difference.shape[1]
    strength = SMOOTHING_WEEKS**4
    bands = np.zeros((3, n_weeks))
    for offset, product in enumerate(([1.0, 4.0, 1.0], [-2.0, -2.0], [1.0])):
        for place, value in enumerate(product):
            bands[2 - offset, offset + place : n_weeks - (2 - offset - place)] += strength * value
    bands[2] += 1.0
    difference = solveh_banded(bands, pairs.difference.T, check_finite=False).T
    growth = np.cumsum(difference[:, ::-1], axis=1)[:, ::-1]
    return BlockPairs(
        pairs.start_week, pairs.end_week, difference, growth, pairs.earlier, pairs.later
    )


def _weight_change(
    known_by: BlockPairs, pairs: BlockPairs, body_weight_kg: Floats | None
) -> tuple[Floats, bool]:
    """Differences of block means of log body weight (0 where unknown); enough of them known?"""
    if body_weight_kg is None or not np.any(np.isfinite(body_weight_kg)):
        return np.zeros(pairs.n_pairs), False
    is_known = np.isfinite(body_weight_kg)
    touched = np.abs(known_by.difference)
    share = touched @ is_known.astype(np.float64) / touched.sum(axis=1)
    change = pairs.difference @ fill_gaps(np.log(np.asarray(body_weight_kg, dtype=np.float64)))
    is_weighed = share >= LEAST_WEIGHED_SHARE
    return np.where(is_weighed, change, 0.0), bool(np.mean(is_weighed) >= LEAST_WEIGHED_SHARE)


def _middle(pairs: BlockPairs) -> Floats:
    return (pairs.start_week + pairs.end_week) / 2.0


def _find_persistence(level_log: Floats) -> float:
    change = np.diff(level_log)
    is_known = np.isfinite(change[1:]) & np.isfinite(change[:-1])
    now, after = change[:-1][is_known], change[1:][is_known]
    if now.size < WEEKS_IN_BLOCK or not (now.std() > 0 and after.std() > 0):
        return float("nan")
    return float(np.corrcoef(now, after)[0, 1])
