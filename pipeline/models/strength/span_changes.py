"""Change of a fitted level between any two weeks of a grid, for spans that a reader chooses.

Question: by how much did strength change from this week to that one? In: a fitted level on n
weeks. Out: log change and its standard error for every pair of grid weeks, later minus earlier.

The error is that of the difference under the joint posterior of the two levels (as in ``slopes``);
two marginal intervals would not give it, since neighbouring levels err together. Weeks lie every
``GRID_WEEKS`` back from the last of the calendar, so that a year and the present fall on the grid,
and at half as many before the last ``FINE_WEEKS``: pairs grow with the square of a record's years.
The first and the last usable week of the lift are grid weeks of its own. Assumes what the level's
own model assumes. Leaves out what ``slopes`` refuses: pairs under half a year apart, with fewer
than ``MIN_WEEKS`` trained weeks, or without a link between their ends.
"""

from dataclasses import dataclass

import numpy as np

from pipeline.models.arrays import Floats, Ints
from pipeline.models.strength.slopes import MIN_SPAN, MIN_WEEKS, FittedLevel, usable_ends

GRID_WEEKS = 13  # a quarter of a year; common practice, no published source
FINE_WEEKS = 416  # eight years: spans that people ask for mostly begin within them


@dataclass(frozen=True)
class SpanChanges:
    """Changes between pairs of weeks, one element a pair.

    week_from, week_to : (p,) weeks, the earlier first.
    change_log, se : (p,) log change of the level and its joint standard error.
    n_weeks_trained : (p,) trained weeks from the one to the other, both included.
    """

    week_from: Ints
    week_to: Ints
    change_log: Floats
    se: Floats
    n_weeks_trained: Ints


def fit_span_changes(fitted: FittedLevel) -> SpanChanges:
    """Every change that can be told between two grid weeks of a fitted level; may be none."""
    seen = np.flatnonzero(fitted.is_trained)
    first, last = usable_ends(seen)
    ago = np.arange(0, fitted.is_trained.size, GRID_WEEKS)
    ago = ago[(ago <= FINE_WEEKS) | (ago % (2 * GRID_WEEKS) == 0)]
    grid = fitted.is_trained.size - 1 - ago
    grid = np.unique(np.r_[first, grid[(grid > first) & (grid < last)], last])
    estimate, se = fitted.changes(grid)
    trained = (
        np.searchsorted(seen, grid, side="right")[None, :] - np.searchsorted(seen, grid)[:, None]
    )
    span = grid[None, :] - grid[:, None]
    i, j = np.nonzero((span >= MIN_SPAN) & (trained >= MIN_WEEKS) & np.isfinite(se))
    return SpanChanges(grid[i], grid[j], estimate[i, j], se[i, j], trained[i, j])
