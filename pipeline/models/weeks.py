"""Weeks, blocks of weeks and masks that the weekly models share.

All arrays are weekly and complete: one element per calendar week of the record, week 0 first. A
stretch without sessions that is known is zero sets; a week that nobody logged is nan.
"""

from dataclasses import dataclass

import numpy as np

from pipeline.models.arrays import Bools, Floats, Ints

WEEKS_PER_YEAR = 52.1775
WEEKS_PER_MONTH = WEEKS_PER_YEAR / 12.0
LEAST_REGAIN_WEEKS = 4  # after a layoff


@dataclass(frozen=True)
class Blocks:
    """Comparisons of neighbouring blocks: the dots of a picture, one element per comparison.

    Attributes
    ----------
    start_week, end_week : first week of the earlier block and last week of the later one.
    weekly_sets : mean weekly sets between the two block means (weighted as they count for the
        difference: the weeks in the middle weigh most), sets/week.
    progress_pct_month : difference of the two block means, % a month.
    training_age_years : training age half way, years.
    is_used : whether the fit used it.
    """

    start_week: Ints
    end_week: Ints
    weekly_sets: Floats
    progress_pct_month: Floats
    training_age_years: Floats
    is_used: Bools


@dataclass(frozen=True)
class BlockPairs:
    """Linear operators of the differences between neighbouring block means.

    Attributes
    ----------
    start_week, end_week : (n_pairs,) first week of the earlier, last of the later block.
    difference : (n_pairs, n_weeks); times a weekly level gives the differences of block means.
    growth : (n_pairs, n_weeks); times the weekly growth gives the differences it adds up to,
        exactly, since a level is the running sum of its growth.
    earlier, later : (n_pairs,) numbers of the two blocks, in order of time.
    """

    start_week: Ints
    end_week: Ints
    difference: Floats
    growth: Floats
    earlier: Ints
    later: Ints

    @property
    def n_pairs(self) -> int:
        """Number of comparisons."""
        return len(self.start_week)


def find_runs(mask: Bools) -> list[tuple[int, int]]:
    """Runs of True as (first, last + 1), in order of time."""
    edges = np.diff(np.concatenate([[0], np.asarray(mask, dtype=np.int8), [0]]))
    starts = np.flatnonzero(edges == 1)
    stops = np.flatnonzero(edges == -1)
    return [(int(a), int(b)) for a, b in zip(starts, stops, strict=True)]


def mask_weeks(n_weeks: int, weeks: Ints, before: int = 0, after: int = 0) -> Bools:
    """(n_weeks,) True from ``before`` weeks before to ``after`` after each of (n,) ``weeks``."""
    mask = np.zeros(n_weeks, dtype=bool)
    for week in np.asarray(weeks, dtype=np.int64):
        mask[max(0, week - before) : max(0, week + after + 1)] = True
    return mask


def mask_after(mask: Bools) -> Bools:
    """(n_weeks,) mask lengthened after each run, by its length, ``LEAST_REGAIN_WEEKS`` at least.

    Regain after a layoff takes about half as long as the layoff (Halonen et al. 2024, read, in
    novices); a window as long as the layoff itself leaves room for those slower than that.
    """
    wide = np.array(mask, dtype=bool)
    for start, stop in find_runs(wide.copy()):
        wide[start : stop + max(LEAST_REGAIN_WEEKS, stop - start)] = True
    return wide


def fill_gaps(values: Floats) -> Floats:
    """(n,) values, nan replaced by linear interpolation, ends held; all zero if none is known."""
    values = np.asarray(values, dtype=np.float64)
    known = np.flatnonzero(np.isfinite(values))
    if known.size == 0:
        return np.zeros_like(values)
    return np.interp(np.arange(values.size), known, values[known])


def recent_mean(values: Floats, weeks: float) -> Floats:
    """(n,) exponentially weighted mean of this and earlier weeks, time constant ``weeks``.

    Before the first week the mean of the first eight is taken to hold.
    """
    keep = np.exp(-np.arange(int(8 * weeks)) / weeks)
    start = np.full(keep.size - 1, np.mean(values[:8]))
    return np.convolve(np.concatenate([start, values]), keep / keep.sum(), mode="valid")


def pair_blocks(
    is_used: Bools, weeks_in_block: int, least_used: int, longest_gap: int = 2
) -> BlockPairs:
    """Neighbouring blocks of a record and the operators of their differences.

    A run of more than ``longest_gap`` weeks not used cuts the record: blocks are laid anew on
    either side and never compared across it. A block with fewer than ``least_used`` used weeks
    is dropped, and with it both of its comparisons.

    Parameters
    ----------
    is_used : (n_weeks,) weeks whose level may be read.
    weeks_in_block, least_used, longest_gap : weeks.

    Returns
    -------
    BlockPairs, possibly with no rows.
    """
    pairs, blocks = [], _lay_blocks(is_used, weeks_in_block, longest_gap)
    means = np.zeros((len(blocks), len(is_used)))
    counts = np.array([int(is_used[a:b].sum()) for a, b, _ in blocks], dtype=np.int64)
    for number, (start, stop, _) in enumerate(blocks):
        if counts[number] >= least_used:
            means[number, start:stop] = is_used[start:stop] / counts[number]
    for number in range(1, len(blocks)):
        is_whole = min(counts[number - 1], counts[number]) >= least_used
        if is_whole and blocks[number - 1][2] == blocks[number][2]:
            pairs.append(number)
    later = np.array(pairs, dtype=np.int64)
    difference = means[later] - means[later - 1]
    growth = np.cumsum(difference[:, ::-1], axis=1)[:, ::-1]
    starts = np.array([b[0] for b in blocks], dtype=np.int64)
    ends = np.array([b[1] - 1 for b in blocks], dtype=np.int64)
    return BlockPairs(
        starts[later - 1] if later.size else later,
        ends[later] if later.size else later,
        difference,
        growth,
        later - 1,
        later,
    )


def _lay_blocks(
    is_used: Bools, weeks_in_block: int, longest_gap: int
) -> list[tuple[int, int, int]]:
    """(first, last + 1, stretch) of blocks laid end to end within stretches without long gaps."""
    broken = np.zeros(len(is_used), dtype=bool)
    for start, stop in find_runs(~np.asarray(is_used, dtype=bool)):
        broken[start:stop] = stop - start > longest_gap
    blocks = []
    for stretch, (start, stop) in enumerate(find_runs(~broken)):
        for first in range(start, stop, weeks_in_block):
            blocks.append((first, min(first + weeks_in_block, stop), stretch))
    return blocks


def normal_quantile(coverage: float) -> float:
    """Half width of a ``coverage`` interval in standard errors, normal."""
    from scipy.special import ndtri

    return float(ndtri(0.5 + coverage / 2.0))


def t_quantile(coverage: float, freedom: int) -> float:
    """Half width of a ``coverage`` interval in standard errors, Student's t, at least 1 degree."""
    from scipy.special import stdtrit

    return float(stdtrit(max(freedom, 1), 0.5 + coverage / 2.0))
