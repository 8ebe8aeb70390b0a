"""Which weeks a priority phase is held against: usual ones near it, and windows as long as it."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pipeline.models.arrays import Bools, Floats, Ints

# Usual weeks taken on either side of a phase: half a year, an assumption.
USUAL_WEEKS = 26
# A window of ordinary weeks may share this much of itself with phases: they often come a few weeks
# after one another, and windows wholly outside would be rare.
MOST_SHARED = 0.25
MATCHED_WINDOWS = 26


@dataclass(frozen=True)
class Phase:
    """Weeks ``first`` to ``last`` (both included) in which the ``chosen`` muscles came first."""

    first: int
    last: int
    chosen: tuple[str, ...]

    @property
    def n_weeks(self) -> int:
        """Its length in weeks."""
        return self.last + 1 - self.first


def mask_phases(phases: Sequence[Phase], n_weeks: int) -> Bools:
    """(n_weeks,) weeks inside any of the phases."""
    inside = np.zeros(n_weeks, dtype=bool)
    for phase in phases:
        inside[phase.first : phase.last + 1] = True
    return inside


def find_usual(is_usual: Bools, phase: Phase) -> Ints:
    """Up to ``USUAL_WEEKS`` usual weeks nearest to the phase on either side of it.

    is_usual : (n_weeks,). Gives week numbers, rising.
    """
    weeks = np.flatnonzero(is_usual)
    before, after = weeks[weeks < phase.first], weeks[weeks > phase.last]
    return np.concatenate([before[-USUAL_WEEKS:], after[:USUAL_WEEKS]])


def find_windows(inside: Bools, length: int, near: int) -> Ints:
    """First weeks of windows of ``length`` weeks mostly outside phases, nearest to ``near`` first.

    inside : (n_weeks,) weeks inside a phase. A window starting in week w is read from level w to
    level w + length.
    """
    starts = np.arange(max(len(inside) - length, 0))
    running = np.concatenate([[0], np.cumsum(inside)])
    shared = (running[starts + length] - running[starts]) / length
    starts = starts[shared <= MOST_SHARED]
    return starts[np.argsort(np.abs(starts - near), kind="stable")]


def read_change(level_log: Floats, starts: Ints, length: int) -> Floats:
    """Change of a level over windows in log x 100, about per cent; nan where an end is not known.

    level_log : (n_weeks,). starts : (n_windows,) first weeks. A window that ends with the record
    is read to its last week.
    """
    stops = np.minimum(starts + length, len(level_log) - 1)
    return 100.0 * (level_log[stops] - level_log[starts])
