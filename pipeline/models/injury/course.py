"""An index through an injury, and a lift's way back after it.

Question: how far did a muscle's strength index move from the weeks before an injury to its last
weeks, and how many weeks after it did a lift reach its old level? In: a fitted weekly level with
its standard errors, (n_weeks,) log, and weeks as masks or numbers from 0. Out: per cent with an
interval, and weeks.

A change is 100 x (mean of the later weeks less mean of the earlier ones), per cent on the log scale
(own derivation). Assumes that the errors of a smoothed level hardly differ within a few weeks (so a
mean of weeks is no surer than one of them) and that those of two spans months apart do not help
each other. Both make the interval wide rather than narrow: over 20 simulated careers, 95 %
intervals held every true change (``python -m tests.recovery.measure_injury 20``, seeds 0 to 19).
Refuses a span in which no week's level is known. The old
level is that of the weeks before, taken as known: the weeks to reach it have no interval, and one
per cent below it counts as there (common practice, no published source): a smoothed level would
else wander about it for months.
"""

from dataclasses import dataclass

import numpy as np

from pipeline.core.errors import Refusal
from pipeline.models.arrays import Bools, Floats
from pipeline.models.weeks import normal_quantile

WITHIN = 0.01


@dataclass(frozen=True)
class Change:
    """A change of level in per cent, with its interval."""

    pct: float
    low: float
    high: float


def last_weeks(mask: Bools, count: int) -> Bools:
    """The last ``count`` True weeks of (n_weeks,) ``mask``, as a mask."""
    chosen = np.zeros_like(mask, dtype=bool)
    chosen[np.flatnonzero(mask)[-count:]] = True
    return chosen


def measure_change(
    level_log: Floats, se: Floats, before: Bools, later: Bools, coverage: float
) -> Change | Refusal:
    """Change of a level from the weeks ``before`` to the weeks ``later``, both (n_weeks,) masks.

    Refuses when the level of no week of one of them is known.
    """
    is_known = np.isfinite(level_log) & np.isfinite(se)
    first, second = before & is_known, later & is_known
    if not (first.any() and second.any()):
        return Refusal(
            has=int(min(first.sum(), second.sum())),
            needs=1,
            of_what="weeks with a known index on one side of the injury",
            remedy="log sets of this muscle before and through it",
            counted="trained weeks",
        )
    change = 100.0 * float(level_log[second].mean() - level_log[first].mean())
    error = 100.0 * float(np.hypot(se[first].mean(), se[second].mean()))
    reach = normal_quantile(coverage) * error
    return Change(change, change - reach, change + reach)


def weeks_to_level(
    level_log: Floats, is_trained: Bools, old_level: float, first_week: int
) -> int | None:
    """Weeks from ``first_week`` to the first trained week within ``WITHIN`` of ``old_level`` (log)
    or above it; None when that is not seen."""
    is_there = level_log[first_week:] >= old_level - WITHIN
    reached = np.flatnonzero(is_trained[first_week:] & is_there)
    return int(reached[0]) if reached.size else None
