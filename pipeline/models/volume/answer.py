"""The answer about one muscle's weekly sets: which went with the most progress, at which age.

A posterior of ``response_curve``, drawn as ``N_DRAWS`` curves beside as many from the prior alone;
sets/week and % a month. Made by ``pool``. Where the record adds little, the answer is the prior
with the prior's width: ``gain_over_prior`` near 1 says so. Where other lifters moved the prior, the
published one stays beside it: ``prior_best_sets`` is what was published.
"""

from dataclasses import dataclass

import numpy as np

from pipeline.models.arrays import Floats
from pipeline.models.volume import response_curve
from pipeline.models.volume.response_curve import VolumePrior
from pipeline.models.weeks import Blocks

N_DRAWS = 2000


@dataclass(frozen=True)
class ResponseNoise:
    """Most probable noise of one muscle's comparisons, for those who check.

    Attributes
    ----------
    block_noise : standard deviation of a difference of block means around the response, log.
    correlation : of it with that of the next comparison.
    shared : share of its variance that all muscles have in common.
    nugget : share of its variance that is its own, without correlation.
    """

    block_noise: float
    correlation: float
    shared: float
    nugget: float


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
    prior : what was believed before, other lifters included.
    blocks : the comparisons, used or not.
    inside_low, inside_high : 4th and 97th percentile of the weekly sets trained; past them a
        curve is an assumption, not a reading.
    is_separated_from_dieting : body weight or declared surplus and deficit was known.
    n_blocks : comparisons used.
    noise : most probable noise of its comparisons.
    """

    prior: VolumePrior
    blocks: Blocks
    inside_low: float
    inside_high: float
    is_separated_from_dieting: bool
    n_blocks: int
    noise: ResponseNoise
    _draws: Floats
    _prior_draws: Floats
    _group_draws: Floats | None = None

    @property
    def is_moved(self) -> bool:
        """Other lifters moved the published prior before the record was read."""
        return self._group_draws is not None

    @property
    def draws(self) -> Floats:
        """(n_draws, N_VALUES) posterior values of ``response_curve``."""
        return self._draws

    def best_sets(self, age: float, coverage: float = 0.90) -> tuple[float, float, float]:
        """Best-supported weekly sets at ``age``: (median, low, high)."""
        return _interval(response_curve.best_sets_at(self._draws, age), coverage)

    def prior_best_sets(self, age: float, coverage: float = 0.90) -> tuple[float, float, float]:
        """The same from the published prior alone."""
        return _interval(response_curve.best_sets_at(self._prior_draws, age), coverage)

    def group_best_sets(
        self, age: float, coverage: float = 0.90
    ) -> tuple[float, float, float] | None:
        """The same from the published prior as other lifters move it; None without any."""
        if self._group_draws is None:
            return None
        return _interval(response_curve.best_sets_at(self._group_draws, age), coverage)

    def gain_over_prior(self, age: float) -> float:
        """Width of the answer over that before the record was read; 1: the record added nothing.

        Before it are the published prior and, where there are any, the other lifters: what they
        narrowed is no merit of this record.
        """
        before = self._prior_draws if self._group_draws is None else self._group_draws
        own = np.std(response_curve.best_sets_at(self._draws, age))
        return float(own / np.std(response_curve.best_sets_at(before, age)))

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
        best = response_curve.best_sets_at(self._draws, age)
        half = np.sqrt((1.0 - share) / self._draws[:, response_curve.CURVATURE])
        low = _interval(np.maximum(best * (1.0 - half), 0.0), coverage)
        high = _interval(best * (1.0 + half), coverage)
        is_open = high[0] > self.inside_high
        return SupportedRange(low[0], high[0], low[1:], high[1:], is_open, share, coverage)


def _interval(draws: Floats, coverage: float) -> tuple[float, float, float]:
    tail = 50.0 * (1.0 - coverage)
    middle, low, high = np.percentile(draws, [50.0, tail, 100.0 - tail])
    return float(middle), float(low), float(high)


def _curve(
    draws: Floats, age: float, sets_grid: Floats, coverage: float
) -> tuple[Floats, Floats, Floats]:
    grid = np.asarray(sets_grid, dtype=np.float64)
    yearly = response_curve.response_at(draws[:, None, :], age, grid[None, :])
    monthly = 100.0 * yearly / 12.0
    tail = 50.0 * (1.0 - coverage)
    low, high = np.percentile(monthly, [tail, 100.0 - tail], axis=0)
    return monthly.mean(axis=0), low, high
