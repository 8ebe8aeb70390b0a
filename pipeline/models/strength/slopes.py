"""Yearly slopes and plateaus of a fitted level or index.

Question: by how many per cent a year did strength change in a window (a training year, an age
band, the last three years), and was there a year in which it demonstrably stood still?

Slopes are 100 x change of the log level / years: per cent on the log scale, so that years add
up (own derivation); intervals come from the joint posterior of the two levels, never from two
separate errors.
Weeks are ints from 0; a year has 52.1775 of them. Assumes what the level's own model assumes.
Refuses windows with fewer than ``MIN_WEEKS`` trained weeks or less than half a year of record.
"""

from dataclasses import dataclass
from itertools import pairwise
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike

from pipeline.core.errors import Refusal
from pipeline.models.arrays import Bools, Floats, Ints
from pipeline.models.weeks import WEEKS_PER_YEAR, normal_quantile

MIN_WEEKS = 8  # trained weeks in a window; common practice, no published source
# A lift's first weeks rise by practice, which a smooth level cannot follow: no slope begins there.
# About four exposures (METHODS b).
PRACTICE_WEEKS = 4
MIN_SPAN = 26  # weeks between the first and the last level used; common practice
LONGER = "take a longer span"
GRID_WEEKS = 4  # plateaus begin and end on every fourth week
# A plateau is picked from many stretches: by its 95 % interval, 6 in 100 moved by more than the
# limit on simulated careers where 2.5 are due; by its 99 % interval 2 in 100. Chosen by us there
# (seeds not recorded); no command measures plateaus.
SEARCH_COVERAGE = 0.99


class FittedLevel(Protocol):
    """What a slope needs: ``LiftLevel`` and ``MuscleIndex`` offer it."""

    @property
    def is_trained(self) -> Bools:
        """(n_weeks,) weeks with a usable set."""
        ...

    def changes(self, weeks: ArrayLike) -> tuple[Floats, Floats]:
        """(m, m) log change from row week to column week and its standard error."""
        ...


@dataclass(frozen=True)
class Slope:
    """Change per year between two weeks: estimate, interval and standard error in %/year."""

    week_from: int
    week_to: int
    pct_per_year: float
    low: float
    high: float
    se: float
    n_weeks_trained: int

    def verdict(self, limit_pct: float) -> str:
        """plateau (whole interval within the limits, a year or more), rising, falling, unclear."""
        is_long = self.week_to - self.week_from >= int(WEEKS_PER_YEAR)
        if is_long and -limit_pct <= self.low and self.high <= limit_pct:
            return "plateau"
        if self.low > 0.0:
            return "rising"
        return "falling" if self.high < 0.0 else "unclear"


@dataclass(frozen=True)
class AgeWindow:
    """Weeks of a span of training age (years): week_from to week_to, both on the calendar."""

    age_from: float
    age_to: float
    week_from: int
    week_to: int


def age_windows(edges_years: ArrayLike, age_at_first_week: float, n_weeks: int) -> list[AgeWindow]:
    """Windows between neighbouring ages that the record reaches, cut to the record."""
    windows = []
    edges = np.asarray(edges_years, dtype=float)
    for low, high in pairwise(edges):
        start = round((low - age_at_first_week) * WEEKS_PER_YEAR)
        end = round((high - age_at_first_week) * WEEKS_PER_YEAR)
        if end > 0 and start < n_weeks - 1:
            windows.append(AgeWindow(low, high, max(start, 0), min(end, n_weeks - 1)))
    return windows


def training_years(age_at_first_week: float, n_weeks: int) -> list[AgeWindow]:
    """One window a training year: year 3 is training age 2 to 3."""
    last = age_at_first_week + n_weeks / WEEKS_PER_YEAR
    return age_windows(
        np.arange(np.floor(age_at_first_week), np.ceil(last) + 1.0), age_at_first_week, n_weeks
    )


def usable_ends(seen: Ints) -> tuple[int, int]:
    """First and last week that a change may be counted between; ``seen`` (m,) trained weeks."""
    return int(seen[PRACTICE_WEEKS if seen.size >= PRACTICE_WEEKS + MIN_WEEKS else 0]), int(
        seen[-1]
    )


def fit_slope(
    fitted: FittedLevel, week_from: int, week_to: int, coverage: float = 0.95
) -> Slope | Refusal:
    """Slope between two weeks, cut to the fifth and the last trained week of the record."""
    seen = np.flatnonzero(fitted.is_trained)
    first, last = usable_ends(seen)
    start, end = max(week_from, first), min(week_to, last)
    inside = int(np.count_nonzero((seen >= start) & (seen <= end)))
    if inside < MIN_WEEKS:
        what = "trained weeks in this span"
        return Refusal(inside, MIN_WEEKS, what, LONGER, counted="trained weeks")
    if end - start < MIN_SPAN:
        what = "weeks of record in this span"
        return Refusal(end - start, MIN_SPAN, what, LONGER, counted="weeks")
    estimate, se = (float(part[0, 1]) for part in fitted.changes([start, end]))
    if not np.isfinite(se):
        remedy = "no exercise links its two ends; keep one lift through a swap"
        return Refusal(0, 1, "linked exercises in this span", remedy)
    scale = 100.0 * WEEKS_PER_YEAR / (end - start)
    half = normal_quantile(coverage) * se * scale
    value = estimate * scale
    return Slope(start, end, value, value - half, value + half, se * scale, inside)


def fit_yearly_slopes(
    fitted: FittedLevel, windows: list[AgeWindow], coverage: float = 0.95
) -> list[tuple[AgeWindow, Slope | Refusal]]:
    """A slope or a refusal for every window (training years, age bands)."""
    return [(w, fit_slope(fitted, w.week_from, w.week_to, coverage)) for w in windows]


def fit_last_years(
    fitted: FittedLevel, years: float = 3.0, coverage: float = 0.95
) -> Slope | Refusal:
    """Slope over the last ``years`` up to the last trained week."""
    last = int(np.flatnonzero(fitted.is_trained)[-1])
    return fit_slope(fitted, last - round(years * WEEKS_PER_YEAR), last, coverage)


def fit_first_years(
    fitted: FittedLevel, years: float = 3.0, coverage: float = 0.95
) -> Slope | Refusal:
    """Slope over the first ``years`` from the first trained week."""
    first = int(np.flatnonzero(fitted.is_trained)[0])
    return fit_slope(fitted, first, first + round(years * WEEKS_PER_YEAR), coverage)


def find_plateaus(
    fitted: FittedLevel, limit_pct: float = 2.0, coverage: float = 0.95
) -> list[Slope]:
    """Stretches of at least a year that demonstrably stood still, longest first, none overlapping.

    The whole ``SEARCH_COVERAGE`` interval of the slope lies within ``limit_pct`` either way, no
    year inside shows a slope beyond it and no half year moves by more than it (a rise and a fall
    are no plateau). The interval given with it is that of ``coverage``.
    """
    seen = np.flatnonzero(fitted.is_trained)
    grid = np.arange(seen[0], seen[-1] + 1, GRID_WEEKS)
    if grid.size * GRID_WEEKS <= WEEKS_PER_YEAR:
        return []
    estimate, se = fitted.changes(grid)
    span = grid[None, :] - grid[:, None]
    scale = 100.0 * WEEKS_PER_YEAR / np.where(span > 0, span, 1)
    slope, half = estimate * scale, normal_quantile(coverage) * se * scale
    with np.errstate(invalid="ignore"):
        reach = half * normal_quantile(SEARCH_COVERAGE) / normal_quantile(coverage)
        flat = (span >= WEEKS_PER_YEAR) & (np.abs(slope) + np.maximum(reach, half) <= limit_pct)
    year = int(np.ceil(WEEKS_PER_YEAR / GRID_WEEKS))
    flat &= ~(_moves(slope, year, limit_pct) | _moves(slope, year // 2, 2.0 * limit_pct))
    plateaus = []
    while flat.any():
        i, j = np.unravel_index(np.argmax(np.where(flat, span, -1)), span.shape)
        plateaus.append(_plateau(grid, int(i), int(j), slope, half, seen, coverage))
        flat[:j, i + 1 :] = False  # whatever overlaps begins before j and ends after i
    return plateaus


def _moves(slope: Floats, steps: int, limit_pct: float) -> Bools:
    """(m, m) whether a stretch of so many grid steps inside has a slope beyond the limit."""
    m = slope.shape[0]
    part = np.diagonal(slope, steps)
    beyond = np.r_[0, np.cumsum(~(np.abs(part) <= limit_pct))]
    first = np.minimum(np.arange(m), part.size)
    last = np.clip(np.arange(m) - steps + 1, 0, part.size)
    return beyond[last][None, :] > beyond[first][:, None]


def _plateau(
    grid: Ints,
    i: int,
    j: int,
    slope: Floats,
    half: Floats,
    seen: Ints,
    coverage: float,
) -> Slope:
    value, reach = float(slope[i, j]), float(half[i, j])
    inside = int(np.count_nonzero((seen >= grid[i]) & (seen <= grid[j])))
    se = reach / normal_quantile(coverage)
    return Slope(int(grid[i]), int(grid[j]), value, value - reach, value + reach, se, inside)
