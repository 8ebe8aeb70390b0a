"""Weekly sets against progress: which weekly sets went with the most progress, at which age.

Question: at what weekly sets did this muscle's strength index rise most surely, and how does that
move with training age? Association in one person's record, never cause.

Input: one muscle, weekly arrays (index in log, its standard error, weekly sets, training age).
Output: a posterior of the response curve, drawn as ``N_DRAWS`` curves; sets/week and % a month.
Assumptions: the concave curve of ``volume_map`` (floored parabola, optimum linear in training
age, log-time growth), the stated prior, weeks left out by the caller (deloads, windows after
layoffs and injuries) and noise that is alike over the years. One muscle at a time: nothing is
borrowed from the others. Source: own derivation after METHODS section c; no published optimum by
training age exists (Pelland et al. 2024, read: adjustment for training status only).

It refuses (returns ``Refusal``) with fewer than ``LEAST_PAIRS`` comparisons of blocks, or when
the weekly sets hardly ever changed. Where the record adds little, the answer is the prior with
the prior's width: ``gain_over_prior`` near 1 says so.
"""

from dataclasses import dataclass

import numpy as np

from pipeline.core.errors import Refusal
from pipeline.models import volume_map
from pipeline.models.volume_blocks import (
    LEAST_WEEKS_USED,
    WEEKS_IN_BLOCK,
    describe_blocks,
    find_level_noise,
    find_usable_weeks,
    refuse_few_pairs,
)
from pipeline.models.volume_map import VolumeDesign, VolumeMap, VolumePrior
from pipeline.models.weeks import (
    BlockPairs,
    Blocks,
    Bools,
    Floats,
    fill_gaps,
    pair_blocks,
    recent_mean,
)

LEAST_SPREAD_SETS = 3.0
FATIGUE_WEEKS = 3.0
LEAST_WEIGHED_SHARE = 0.6
N_DRAWS = 2000


@dataclass(frozen=True)
class SupportedRange:
    """Weekly sets where the expected progress is at least ``share`` of the best.

    Attributes
    ----------
    low, high : edges, sets/week (medians over the posterior).
    low_interval, high_interval : where each edge may lie, at ``coverage``.
    is_open : the upper edge lies beyond what was trained: "no limit seen up to inside_high".
    share, coverage : as asked for.
    """

    low: float
    high: float
    low_interval: tuple[float, float]
    high_interval: tuple[float, float]
    is_open: bool
    share: float
    coverage: float


@dataclass(frozen=True)
class VolumeResponse:
    """Posterior response of one muscle. Ages in years, sets a week, progress in % a month.

    Attributes
    ----------
    prior : what was believed before.
    blocks : the comparisons, used or not.
    inside_low, inside_high : 4th and 97th percentile of the weekly sets trained; past them a
        curve is an assumption, not a reading.
    is_separated_from_dieting : body weight or declared surplus and deficit was known.
    n_blocks : comparisons used.
    noise : most probable noise scales, for those who check.
    """

    prior: VolumePrior
    blocks: Blocks
    inside_low: float
    inside_high: float
    is_separated_from_dieting: bool
    n_blocks: int
    noise: VolumeMap
    _draws: Floats
    _prior_draws: Floats

    @property
    def draws(self) -> Floats:
        """(n_draws, N_VALUES) posterior values of ``volume_map``."""
        return self._draws

    def best_sets(self, age: float, coverage: float = 0.90) -> tuple[float, float, float]:
        """Best-supported weekly sets at ``age``: (median, low, high)."""
        return _interval(volume_map.best_sets_at(self._draws, age), coverage)

    def prior_best_sets(self, age: float, coverage: float = 0.90) -> tuple[float, float, float]:
        """The same from the published prior alone."""
        return _interval(volume_map.best_sets_at(self._prior_draws, age), coverage)

    def gain_over_prior(self, age: float) -> float:
        """Width of the answer over the width of the prior; 1 means no better than the prior."""
        own = np.std(volume_map.best_sets_at(self._draws, age))
        return float(own / np.std(volume_map.best_sets_at(self._prior_draws, age)))

    def curve(
        self, age: float, sets_grid: Floats, coverage: float = 0.90
    ) -> tuple[Floats, Floats, Floats]:
        """Expected progress at steady weekly sets: (mean, low, high), each (n_grid,)."""
        return _curve(self._draws, age, sets_grid, coverage)

    def prior_curve(
        self, age: float, sets_grid: Floats, coverage: float = 0.90
    ) -> tuple[Floats, Floats, Floats]:
        """The same from the published prior alone."""
        return _curve(self._prior_draws, age, sets_grid, coverage)

    def supported_range(
        self, age: float, share: float = 0.90, coverage: float = 0.80
    ) -> SupportedRange:
        """Sets where expected progress is within ``share`` of the best, with interval edges."""
        best = volume_map.best_sets_at(self._draws, age)
        half = np.sqrt((1.0 - share) / self._draws[:, volume_map.CURVATURE])
        low = _interval(np.maximum(best * (1.0 - half), 0.0), coverage)
        high = _interval(best * (1.0 + half), coverage)
        is_open = high[0] > self.inside_high
        return SupportedRange(low[0], high[0], low[1:], high[1:], is_open, share, coverage)


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
    power: float = volume_map.POWER,
    seed: int = 0,
) -> VolumeResponse | Refusal:
    """Fit the response of one muscle's index to its weekly sets.

    Parameters
    ----------
    level_log, level_se : (n_weeks,) strength index of the muscle and its standard error, log;
        nan where there is none.
    weekly_sets : (n_weeks,) fractional sets; 0 in a known week off, nan in an unlogged one.
    training_age_years : (n_weeks,) years since structured training began, positive.
    prior : the muscle's published prior.
    left_out : (n_weeks,) weeks whose level is not read: deloads, windows after layoffs and
        injuries. Their sets still count.
    body_weight_kg : (n_weeks,) nan where not weighed; None when never.
    energy : (n_weeks,) -1 declared deficit, 0, +1 declared surplus; None when never declared.
    power : the likelihood's power; 0.25 for the best sets, 0.5 for the question of a trend.
    seed : of the posterior's draws; the same seed gives the same answer.

    Returns
    -------
    VolumeResponse, or Refusal with fewer than ``LEAST_PAIRS`` comparisons of 7-week blocks or
    block means of weekly sets that span (10th to 90th percentile) under ``LEAST_SPREAD_SETS``.
    """
    sets = np.asarray(weekly_sets, dtype=np.float64)
    is_used = find_usable_weeks(level_log, level_se, sets, left_out)
    pairs = pair_blocks(is_used, WEEKS_IN_BLOCK, LEAST_WEEKS_USED)
    blocks = describe_blocks(pairs, level_log, sets, training_age_years)
    refusal = _refuse(blocks)
    if refusal is not None:
        return refusal
    weight, is_weighed = _weight_change(pairs, body_weight_kg)
    design = _design(pairs, level_log, level_se, sets, training_age_years, prior, weight, energy)
    found = volume_map.find_map(design, prior, power)
    own, before = _draw(found, prior, seed)
    inside = np.percentile(sets[is_used], [4, 97])
    return VolumeResponse(
        prior=prior,
        blocks=blocks,
        inside_low=float(inside[0]),
        inside_high=float(inside[1]),
        is_separated_from_dieting=energy is not None or is_weighed,
        n_blocks=pairs.n_pairs,
        noise=found,
        _draws=own,
        _prior_draws=before,
    )


def _refuse(blocks: Blocks) -> Refusal | None:
    few = refuse_few_pairs(len(blocks.start_week))
    if few is not None:
        return few
    low, high = np.percentile(blocks.weekly_sets, [10, 90])
    if high - low < LEAST_SPREAD_SETS:
        return Refusal(
            has=round(float(high - low), 1),
            needs=LEAST_SPREAD_SETS,
            of_what="weekly sets between its lower and higher blocks",
            remedy="train it for two months or more at clearly more or fewer sets",
        )
    return None


def _weight_change(pairs: BlockPairs, body_weight_kg: Floats | None) -> tuple[Floats, bool]:
    """Differences of block means of log body weight (0 where unknown); enough of them known?"""
    if body_weight_kg is None or not np.any(np.isfinite(body_weight_kg)):
        return np.zeros(pairs.n_pairs), False
    is_known = np.isfinite(body_weight_kg)
    touched = np.abs(pairs.difference)
    share = touched @ is_known.astype(np.float64) / touched.sum(axis=1)
    change = pairs.difference @ fill_gaps(np.log(np.asarray(body_weight_kg, dtype=np.float64)))
    is_weighed = share >= LEAST_WEIGHED_SHARE
    return np.where(is_weighed, change, 0.0), bool(np.mean(is_weighed) >= LEAST_WEIGHED_SHARE)


def _design(
    pairs: BlockPairs,
    level_log: Floats,
    level_se: Floats,
    sets: Floats,
    age: Floats,
    prior: VolumePrior,
    weight: Floats,
    energy: Floats | None,
) -> VolumeDesign:
    filled = fill_gaps(sets)
    recent = recent_mean(filled, FATIGUE_WEEKS) / prior.centre_sets
    known = np.zeros(len(sets)) if energy is None else np.nan_to_num(energy)
    return VolumeDesign(
        change=pairs.difference @ fill_gaps(level_log),
        growth=pairs.growth,
        sets=filled,
        age=np.maximum(np.asarray(age, dtype=np.float64), 0.1),
        energy=known,
        recent=pairs.difference @ recent,
        weight=weight,
        level_noise=find_level_noise(pairs, level_se),
    )


def _draw(found: VolumeMap, prior: VolumePrior, seed: int) -> tuple[Floats, Floats]:
    """Draws from the posterior and the prior by one set of normal scores and their negatives."""
    half = np.random.default_rng(seed).standard_normal((N_DRAWS // 2, volume_map.N_VALUES))
    normal = np.concatenate([half, -half])
    root = np.linalg.cholesky(found.covariance)
    return prior.values(found.scores + normal @ root.T), prior.values(normal)


def _interval(draws: Floats, coverage: float) -> tuple[float, float, float]:
    tail = 50.0 * (1.0 - coverage)
    middle, low, high = np.percentile(draws, [50.0, tail, 100.0 - tail])
    return float(middle), float(low), float(high)


def _curve(
    draws: Floats, age: float, sets_grid: Floats, coverage: float
) -> tuple[Floats, Floats, Floats]:
    grid = np.asarray(sets_grid, dtype=np.float64)
    yearly = volume_map.response_at(draws[:, None, :], age, grid[None, :])
    monthly = 100.0 * yearly / 12.0
    tail = 50.0 * (1.0 - coverage)
    low, high = np.percentile(monthly, [tail, 100.0 - tail], axis=0)
    return monthly.mean(axis=0), low, high
