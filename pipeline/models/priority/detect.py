"""Finding priority phases that nobody wrote down, from the weekly sets alone.

Question: in which runs of weeks did a set of muscles get clearly more than its usual share of the
weekly sets? In: weekly sets by muscle and the ordinary training weeks. Out: ``FoundPhase`` records
in order of time. A share is a muscle's part of all sets of the week, so that a week with fewer
sets for all (a deload, a missed session) changes none. Usual is the median share of the ordinary
weeks within a year either way: phases fill less than half of them.

Each week scores the log of share over usual share, less ``WEEK_SCORE``; runs are the maximal
scoring segments of these scores (Ruzzo, Tompa 1999, second-hand), so that a weak stretch between
two strong ones does not cut a phase in two. Thresholds were chosen on simulated careers whose
programmes drift from block to block (DEVELOPERS.md). A proposal for the lifter to confirm, never an
event by itself: a drift may look like a phase.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from pipeline.models.arrays import Bools, Floats

HALF_WINDOW = 52
# Ordinary weeks that a usual share needs, and weekly sets under which a share is a matter of one
# set more or less.
LEAST_USUAL, LEAST_SETS = 26, 3.0
# Log share of a week that scores nothing (half as much again as usual), the most that one week can
# score either way, and the least score of a run.
WEEK_SCORE, MOST_SCORE, LEAST_SCORE = 0.4, 0.8, 1.0
# A phase: share at least this many times the usual over all its weeks; as long as this; and mean
# log share above that of the weeks right before and after it by ``EDGE``.
LEAST_FACTOR = 1.7
SHORTEST, LONGEST = 6, 26
EDGE, EDGE_WEEKS = 0.4, 6
# Two muscles are one phase when they share this much of the longer of both runs.
SAME_RUN = 0.6


@dataclass(frozen=True)
class FoundPhase:
    """Weeks ``first`` to ``last`` (both included); ``factor`` is the muscles' share of weekly sets
    over the usual one."""

    first: int
    last: int
    muscles: tuple[str, ...]
    factor: float


def detect_phases(
    weekly_sets: Mapping[str, Floats], is_ordinary: Bools, is_known: Bools | None = None
) -> tuple[FoundPhase, ...]:
    """Runs of weeks in which muscles got clearly more than their usual share.

    Parameters
    ----------
    weekly_sets : (n_weeks,) by muscle, nan where not logged.
    is_ordinary : (n_weeks,) training weeks without deload, layoff or injury: all others are passed
        over, neither part of the usual nor a reason for a phase.
    is_known : (n_weeks,) weeks of phases already told; nothing is proposed that touches them.
    """
    weeks = np.flatnonzero(is_ordinary)
    if weeks.size < LEAST_USUAL:
        return ()
    told = np.zeros(len(is_ordinary), dtype=bool) if is_known is None else is_known
    sets = {name: np.nan_to_num(values[weeks]) for name, values in weekly_sets.items()}
    total = np.maximum(np.sum(list(sets.values()), axis=0), 1.0)
    found = [
        run
        for name, values in sets.items()
        for run in _find_runs(name, values, total)
        if not told[weeks[run.first] : weeks[run.last] + 1].any()
    ]
    merged = _merge(sorted(found, key=lambda run: (run.first, run.last, run.muscles)))
    return tuple(
        FoundPhase(int(weeks[run.first]), int(weeks[run.last]), run.muscles, run.factor)
        for run in merged
    )


def _find_runs(name: str, sets: Floats, total: Floats) -> list[FoundPhase]:
    """Runs of one muscle, in numbers of ordinary weeks."""
    share = sets / total
    usual = np.maximum(_running_median(share, HALF_WINDOW), LEAST_SETS / total)
    ratio = np.log(np.maximum(share, 1e-3) / usual)
    ratio = np.clip(ratio, -MOST_SCORE, MOST_SCORE)
    runs = []
    for start, stop, score in find_segments(_running_median(ratio, 1) - WEEK_SCORE):
        if score < LEAST_SCORE or not SHORTEST <= stop - start <= LONGEST:
            continue
        factor = float(share[start:stop].sum() / usual[start:stop].sum())
        if factor >= LEAST_FACTOR and _stands_out(ratio, start, stop):
            runs.append(FoundPhase(start, stop - 1, (name,), factor))
    return runs


def find_segments(scores: Floats) -> list[tuple[int, int, float]]:
    """Maximal scoring segments of a series as (first, last + 1, sum), in order of place.

    The best segment, the best of what is left on either side of it, and so on; all sums positive.
    """
    segments: list[tuple[int, int, float, float]] = []  # first, end, sum before it, sum with it
    total = 0.0
    for place, score in enumerate(scores):
        before, total = total, total + float(score)
        if score <= 0:
            continue
        segment = (place, place + 1, before, total)
        while True:
            left = len(segments) - 1
            while left >= 0 and segments[left][2] >= segment[2]:
                left -= 1
            if left < 0 or segments[left][3] >= segment[3]:
                break
            segment = (segments[left][0], segment[1], segments[left][2], segment[3])
            del segments[left:]
        segments.append(segment)
    return [(first, end, after - before) for first, end, before, after in segments]


def _stands_out(ratio: Floats, start: int, stop: int) -> bool:
    """Higher than the weeks right before and right after, taken together."""
    beside = np.concatenate(
        [ratio[max(start - EDGE_WEEKS, 0) : start], ratio[stop : stop + EDGE_WEEKS]]
    )
    return bool(beside.size == 0 or ratio[start:stop].mean() - beside.mean() >= EDGE)


def _running_median(values: Floats, half: int) -> Floats:
    """Median of the values up to ``half`` places away; fewer at the ends."""
    padded = np.pad(values, half, constant_values=np.nan)
    medians: Floats = np.nanmedian(sliding_window_view(padded, 2 * half + 1), axis=1)
    return medians


def _merge(runs: list[FoundPhase]) -> list[FoundPhase]:
    """Runs of several muscles at the same time as one phase, with the longest run's weeks."""
    merged: list[FoundPhase] = []
    for run in runs:
        for place, other in enumerate(merged):
            shared = min(run.last, other.last) + 1 - max(run.first, other.first)
            longest = max(run.last - run.first, other.last - other.first) + 1
            if shared >= SAME_RUN * longest:
                merged[place] = _join(other, run)
                break
        else:
            merged.append(run)
    return merged


def _join(one: FoundPhase, other: FoundPhase) -> FoundPhase:
    wide = max(one, other, key=lambda run: (run.factor, -run.first))
    n = len(one.muscles)
    factor = (n * one.factor + other.factor) / (n + 1)
    return FoundPhase(wide.first, wide.last, tuple(sorted((*one.muscles, *other.muscles))), factor)
