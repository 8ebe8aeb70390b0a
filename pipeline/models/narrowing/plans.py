"""Blocks of weeks that a lifter could train next: inside what was trained, without jumps.

Question: which weekly sets may a proposed block hold? In: the weekly sets of one muscle so far.
Out: plans of ``WEEKS`` weeks in sets/week. A plan never asks for less than was trained at least,
for more than ``MOST_OVER`` times the most, or for a jump beyond ``STEP`` from week to week; it
never is a layoff. Least and most are the 4th and 97th percentile of the weeks that were read, so
that one odd week opens no door. The three limits are common practice, no published source.
"""

from dataclasses import dataclass
from itertools import permutations

import numpy as np

from pipeline.models.arrays import Bools, Floats

WEEKS = 16
STEP = 0.20
MOST_OVER = 1.3
LEAST_SETS = 1.0
NOW_WEEKS = 8
N_LEVELS = 5


@dataclass(frozen=True)
class Limits:
    """Weekly sets that a plan starts from and stays between."""

    now: float
    low: float
    high: float


@dataclass(frozen=True)
class Plan:
    """A block to train: (n_weeks,) weekly sets, and the level or two levels that it holds."""

    weekly_sets: Floats
    levels: tuple[float, ...]


def find_limits(weekly_sets: Floats, is_used: Bools) -> Limits:
    """What may be asked for, in sets/week, from the weeks that were read.

    weekly_sets, is_used : (n_weeks,); ``is_used`` must not be all False.
    """
    read = np.asarray(weekly_sets, dtype=np.float64)[np.asarray(is_used, dtype=bool)]
    low, high = np.percentile(read, [4, 97])
    low = max(float(low), LEAST_SETS)
    return Limits(
        max(float(read[-NOW_WEEKS:].mean()), LEAST_SETS), low, max(MOST_OVER * float(high), low)
    )


def list_plans(limits: Limits) -> list[Plan]:
    """Every plan that is tried: one level held throughout, or two, half the weeks each.

    Levels are whole sets, evenly spread between the limits.
    """
    spread = np.linspace(np.ceil(limits.low), np.floor(limits.high), N_LEVELS)
    levels = sorted({float(round(level)) for level in spread})
    ends = sorted({levels[0], levels[len(levels) // 2], levels[-1]})
    plans = [Plan(ramp_sets(limits.now, level, WEEKS), (level,)) for level in levels]
    for first, second in permutations(ends, 2):
        early = ramp_sets(limits.now, first, WEEKS // 2)
        late = ramp_sets(float(early[-1]), second, WEEKS - WEEKS // 2)
        plans.append(Plan(np.concatenate([early, late]), (first, second)))
    return plans


def ramp_sets(start: float, level: float, n_weeks: int) -> Floats:
    """Weekly sets from ``start`` toward ``level``, a fifth more or less at most each week."""
    reach = (1.0 + STEP) ** np.arange(1, n_weeks + 1)
    if level >= start:
        return np.minimum(start * reach, level)
    return np.maximum(start / reach, level)
