"""Progress in blocks with more of the sets taken in one way (to failure, as drop clusters).

Question: did muscles progress differently in blocks in which more of their sets were taken to
failure (or as drop clusters), and by how much for ten points more of them? In: for each muscle the
weekly strength index, log, with its error, weekly sets and the share (0 to 1) of its direct sets
that were taken so, each (n_weeks,), nan where unknown; training age in years. Out: an association
in per cent a year for ten points more, with an interval.

Differences of the index between neighbouring seven-week blocks of all muscles together, by least
squares (own derivation) on what should have moved them in between: the share; each muscle's own
growth, falling with training age as 1 / (age + 0.8); weekly sets against the muscle's mean, and
their square; surplus and deficit. The change of the share and of recent sets from block to block
stands beside them, since a set to failure shows more of the strength that is there, and a hard
fortnight hides some: neither is growth. Everything passes through the same kind of smoother as the
index (``volume.weekly_record``). Between muscles nothing is compared: each has its own growth, and
shares are taken about the muscle's own mean. Errors are clustered by year over all muscles, since
good months come to all of them at once, and widened by ``WIDENING``. A habit that changes every few
months is smoothed away in part with the index: with 2 % a year planted on simulated careers the
estimate was off by 0.35 on average (``python -m tests.recovery.measure_effort 20``, seeds 0 to 19).

Assumes that what made a lifter go to failure more often moved progress in no other way: it is
called an association for that. Refuses below ``LEAST_PAIRS`` comparisons or ``LEAST_CLUSTERS``
years with the share known, and where the share hardly varied.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from pipeline.core.errors import Refusal
from pipeline.models.arrays import Bools, Floats
from pipeline.models.volume.blocks import LEAST_WEEKS_USED, WEEKS_IN_BLOCK, find_usable_weeks
from pipeline.models.volume.weekly_record import FATIGUE_WEEKS, smooth_pairs
from pipeline.models.weeks import (
    WEEKS_PER_YEAR,
    fill_gaps,
    pair_blocks,
    recent_mean,
    t_quantile,
)

# Under about three years of one muscle, or one of three, the interval says nothing.
LEAST_PAIRS, LEAST_CLUSTERS = 60, 5
# Spread of the share between blocks about the muscle's mean below which nothing was tried.
LEAST_SPREAD = 0.02
CLUSTER_WEEKS = 52
# What clustered errors must be widened by for 95 % intervals to hold. Chosen by us on twelve
# simulated careers (seeds not recorded), which needed 1.4. ``measure_effort 20`` (seeds 0 to 19):
# 1.00 held with nothing planted, 0.90 with an effect.
WIDENING = 1.6
COVERAGE = 0.95
AGE_OFFSET = 0.8
TEN_POINTS = 0.10


@dataclass(frozen=True)
class EffortWeeks:
    """One muscle, each (n_weeks,): index and error (log), weekly sets, share of its direct sets
    taken so (nan: no sets, or not told), weeks whose level is not read."""

    level_log: Floats
    level_se: Floats
    weekly_sets: Floats
    share: Floats
    left_out: Bools


@dataclass(frozen=True)
class EffortEffect:
    """Change of yearly progress (%/year) for ten points more of the sets, with its interval.

    n_pairs, n_muscles : comparisons of blocks, and muscles behind them.
    mean_share, spread : of the share between blocks: mean, and standard deviation about each
        muscle's own mean.
    """

    pct_per_year: float
    low: float
    high: float
    n_pairs: int
    n_muscles: int
    mean_share: float
    spread: float


@dataclass(frozen=True)
class _Rows:
    """Comparisons of one muscle: change of level, columns shared by all muscles, own growth,
    cluster of each, mean share of each."""

    change: Floats
    columns: Floats
    growth: Floats
    cluster: Floats
    share: Floats


def fit_effort(
    muscles: Mapping[str, EffortWeeks], training_age_years: Floats, energy: Floats | None
) -> EffortEffect | Refusal:
    """The association over all muscles.

    ``energy``: (n_weeks,) 1 in a surplus, -1 in a deficit; None where neither was declared.
    """
    laid = [_lay(one, training_age_years, energy) for one in muscles.values()]
    rows = [one for one in laid if one is not None]
    n_pairs = sum(one.change.size for one in rows)
    if n_pairs < LEAST_PAIRS:
        return _refuse(n_pairs, LEAST_PAIRS, "comparisons of blocks with effort written down")
    cluster = np.concatenate([one.cluster for one in rows])
    n_clusters = np.unique(cluster).size
    if n_clusters < LEAST_CLUSTERS:
        return _refuse(n_clusters, LEAST_CLUSTERS, "years with effort written down")
    spread = float(np.sqrt(np.mean(np.concatenate([_about_mean(one.share) for one in rows]) ** 2)))
    if spread < LEAST_SPREAD:
        return Refusal(
            has=float(np.floor(1000 * spread) / 10),
            needs=100 * LEAST_SPREAD,
            of_what="points between blocks in the share of sets taken so",
            remedy="some months with clearly more or fewer of them would tell",
        )
    value, se = _regress(rows, cluster)
    scale = 100.0 * TEN_POINTS * WEEKS_PER_YEAR
    reach = t_quantile(COVERAGE, n_clusters - 1) * WIDENING * se
    return EffortEffect(
        pct_per_year=scale * value,
        low=scale * (value - reach),
        high=scale * (value + reach),
        n_pairs=n_pairs,
        n_muscles=len(rows),
        mean_share=float(np.mean(np.concatenate([one.share for one in rows]))),
        spread=spread,
    )


def _refuse(has: int, needs: int, what: str) -> Refusal:
    return Refusal(
        has=has,
        needs=needs,
        of_what=what,
        remedy="write down which sets went to failure",
        counted="comparisons",
    )


def _lay(one: EffortWeeks, age: Floats, energy: Floats | None) -> _Rows | None:
    """The comparisons of one muscle; None where there are none with the share known."""
    is_used = find_usable_weeks(one.level_log, one.level_se, one.weekly_sets, one.left_out)
    pairs = pair_blocks(is_used & np.isfinite(one.share), WEEKS_IN_BLOCK, LEAST_WEEKS_USED)
    if not pairs.n_pairs:
        return None
    smooth = smooth_pairs(pairs)
    share, sets = fill_gaps(one.share), fill_gaps(one.weekly_sets)
    weeks = np.abs(pairs.difference) / np.abs(pairs.difference).sum(axis=1, keepdims=True)
    usual = max(float(sets[is_used].mean()), 1.0)
    own = share - float((weeks @ share).mean())
    dose = sets / usual - 1.0
    fed = np.zeros(share.size) if energy is None else np.nan_to_num(energy)
    level = fill_gaps(np.where(is_used, one.level_log, np.nan))
    return _Rows(
        change=pairs.difference @ level,
        columns=np.column_stack(
            [
                smooth.growth @ own,
                smooth.difference @ own,
                smooth.growth @ dose,
                smooth.growth @ dose**2,
                smooth.difference @ recent_mean(dose, FATIGUE_WEEKS),
                smooth.growth @ fed,
            ]
        ),
        growth=smooth.growth @ (1.0 / (np.maximum(age, 0.0) + AGE_OFFSET)),
        cluster=((pairs.start_week + pairs.end_week) // 2 // CLUSTER_WEEKS).astype(np.float64),
        share=weeks @ share,
    )


def _about_mean(share: Floats) -> Floats:
    return share - share.mean()


def _regress(rows: list[_Rows], cluster: Floats) -> tuple[float, float]:
    """First coefficient (log a week for the whole share) and its clustered standard error."""
    change = np.concatenate([one.change for one in rows])
    own = np.zeros((change.size, len(rows)))
    start = 0
    for muscle, one in enumerate(rows):
        own[start : start + one.growth.size, muscle] = one.growth
        start += one.growth.size
    design = np.column_stack([np.concatenate([one.columns for one in rows]), own])
    inverse = np.asarray(np.linalg.pinv(design.T @ design), dtype=np.float64)
    coefficients = inverse @ (design.T @ change)
    scores = design * (change - design @ coefficients)[:, None]
    groups = np.unique(cluster, return_inverse=True)[1]
    summed = np.zeros((groups.max() + 1, design.shape[1]))
    np.add.at(summed, groups, scores)
    variance = inverse @ (summed.T @ summed) @ inverse * len(summed) / max(len(summed) - 1, 1)
    return float(coefficients[0]), float(np.sqrt(max(variance[0, 0], 0.0)))
