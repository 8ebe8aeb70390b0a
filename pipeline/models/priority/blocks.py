"""A career as blocks of weeks that repeat, and how far each muscle's sets are from usual in them.

Programmes are mostly changed at once and then repeated for weeks, so that the week of a change
shows in the sets of single lifts even where a muscle's sum hardly moves. In: weekly sets by lift.
Out: ``Blocks``. Blocks minimise the absolute distance of weeks from the median week of their block
(dynamic programming over all cuts; ``MOST_AWAY`` keeps a missed session from making a block).
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from pipeline.models.arrays import Bools, Floats, Ints

# Sets that a further block has to save, the most by which one lift in one week counts as away from
# its block, and the most weeks of a block. Chosen by us on ten simulated careers (seeds not
# recorded), where 99 % of the ends of phases came out to the week; on fresh ones it is 97 % of 438
# (``python -m tests.recovery.fit_priority 73000-73019``, last line).
BLOCK_COST, MOST_AWAY, LONGEST_BLOCK = 18.0, 2.0, 16
# Weeks either side that say what is usual, and weekly sets below which a muscle is not trained:
# assumptions, no published source.
HALF_WINDOW, LEAST_SETS = 52, 1.5
# Weight of a week that is trained but not ordinary in what is usual.
HARDLY = 1e-3


@dataclass(frozen=True)
class Blocks:
    """``first`` and ``last`` (n_blocks,) trained weeks, both included; ``n_weeks`` of them trained;
    ``ordinary`` their share that is ordinary; ``sets`` (n_muscles, n_blocks) a week;
    ``excess`` and ``direct_excess`` (n_muscles, n_blocks) log of all and of direct sets over the
    usual ones, less what all muscles share."""

    first: Ints
    last: Ints
    n_weeks: Floats
    ordinary: Floats
    sets: Floats
    excess: Floats
    direct_excess: Floats


def read_blocks(lift_sets: Floats, shares: Floats, is_trained: Bools, is_ordinary: Bools) -> Blocks:
    """Blocks of the trained weeks.

    Parameters
    ----------
    lift_sets : (n_lifts, n_weeks) sets a week.
    shares : (n_lifts, n_muscles) what a set counts for a muscle: 1 direct, less indirect.
    is_trained : (n_weeks,) weeks to be cut into blocks: no deloads, nothing unlogged.
    is_ordinary : (n_weeks,) those of them that say what is usual.
    """
    weeks = np.flatnonzero(is_trained)
    cuts = cut_blocks(lift_sets[:, weeks])
    pairs = list(pairwise(cuts))
    typical = np.array([np.median(lift_sets[:, weeks[a:b]], axis=1) for a, b in pairs]).T
    sets = shares.T @ typical
    first, last = weeks[cuts[:-1]], weeks[cuts[1:] - 1]
    n_weeks = np.diff(cuts).astype(np.float64)
    ordinary = np.array([is_ordinary[weeks[a:b]].mean() for a, b in pairs])
    middle, weight = (first + last) / 2, n_weeks * np.maximum(ordinary, HARDLY)
    near = np.abs(middle[:, None] - middle) <= HALF_WINDOW
    excess, direct = (
        _excess_over_usual(np.log(np.maximum(one, LEAST_SETS)), near * weight)
        for one in (sets, (shares >= 1.0).T @ typical)
    )
    return Blocks(first, last, n_weeks, ordinary, sets, excess, direct)


def cut_blocks(sets: Floats) -> Ints:
    """(n_blocks + 1,) places where blocks of the weeks begin, and the end.

    sets : (n_lifts, n_weeks).
    """
    n = sets.shape[1]
    cost, before = np.full(n + 1, np.inf), np.zeros(n + 1, dtype=np.int64)
    cost[0] = 0.0
    for start in range(n):
        for stop in range(start + 1, min(start + LONGEST_BLOCK, n) + 1):
            weeks = sets[:, start:stop]
            away = np.abs(weeks - np.median(weeks, axis=1, keepdims=True))
            total = cost[start] + BLOCK_COST + np.minimum(away, MOST_AWAY).sum()
            if total < cost[stop]:
                cost[stop], before[stop] = total, start
    cuts = [n]
    while cuts[-1] > 0:
        cuts.append(int(before[cuts[-1]]))
    return np.array(cuts[::-1], dtype=np.int64)


def _excess_over_usual(log_sets: Floats, weights: Floats) -> Floats:
    """Log sets less their usual; what most muscles share (a diet, a busy season) is taken off."""
    shared = np.median(log_sets - _usual(log_sets, weights), axis=0)
    own: Floats = log_sets - shared
    return own - _usual(own, weights)


def _usual(values: Floats, weights: Floats) -> Floats:
    """Weighted medians, (n_muscles, n_blocks).

    weights : (n_blocks, n_blocks), what the blocks of a row say of its block.
    """
    usual = np.empty_like(values)
    for row, series in enumerate(values):
        order = np.argsort(series)
        running = np.cumsum(weights[:, order], axis=1)
        place = (running < running[:, -1:] / 2).sum(axis=1)
        usual[row] = series[order][place]
    return usual
