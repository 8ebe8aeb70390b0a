"""The comparisons of blocks that further weeks would add to a muscle's record.

Question: which differences of seven-week block means could be read, if training went on for so
many weeks? In: which weeks of the record were read and which further ones would be, (n_weeks,)
each. Out: the operators of the new comparisons, smoothed as the fit smooths its own, and their
design for the response model. Assumptions and sources are those of ``volume.weekly_record``.
"""

from dataclasses import dataclass

import numpy as np

from pipeline.models.arrays import Bools, Floats
from pipeline.models.volume.blocks import LEAST_WEEKS_USED, WEEKS_IN_BLOCK
from pipeline.models.volume.response_curve import LEAST_AGE, VolumeDesign, VolumePrior
from pipeline.models.volume.weekly_record import FATIGUE_WEEKS, SMOOTHING_WEEKS, smooth_pairs
from pipeline.models.weeks import (
    WEEKS_PER_YEAR,
    BlockPairs,
    pair_blocks,
    recent_mean,
)

TAILS = 6.0  # smoothing weeks before a comparison that still enter it
FIRST_SLOT = 3.0  # keeps the slots of comparisons that straddle today above zero


@dataclass(frozen=True)
class FuturePairs:
    """The comparisons of blocks that further weeks would add.

    Attributes
    ----------
    pairs : comparisons, weeks counted from ``first``.
    first : first week of the record that one of them reads.
    past, more : weeks of the record, and further ones.
    """

    pairs: BlockPairs
    first: int
    past: int
    more: int

    @property
    def slot(self) -> Floats:
        """Middle of each comparison in seven-week slots, comparable between muscles."""
        middle = (self.pairs.start_week + self.pairs.end_week) / 2.0 + self.first - self.past
        return middle / WEEKS_IN_BLOCK + FIRST_SLOT

    def ends_within(self, weeks: float) -> int:
        """How many of the comparisons are over within so many further weeks."""
        return int(np.sum(self.pairs.end_week + self.first < self.past + weeks))

    def design(self, sets: Floats, age_at_first_week: float, prior: VolumePrior) -> VolumeDesign:
        """What explains the comparisons.

        sets : (past + more,) weekly sets. age_at_first_week : training age in the record's first
        week, years.
        """
        age = age_at_first_week + np.arange(self.first, self.past + self.more) / WEEKS_PER_YEAR
        recent = recent_mean(sets, FATIGUE_WEEKS)[self.first :] / prior.centre_sets
        nothing = np.zeros(self.pairs.n_pairs)
        return VolumeDesign(
            change=nothing,
            growth=self.pairs.growth,
            sets=sets[self.first :],
            age=np.maximum(age, LEAST_AGE),
            energy=np.zeros(age.size),
            recent=self.pairs.difference @ recent,
            weight=nothing,
        )


def future_pairs(is_used: Bools, more_used: Bools) -> FuturePairs:
    """Comparisons that further weeks add to a record.

    A block that the record has begun already is left out where part of it was compared.
    """
    past = len(is_used)
    pairs = pair_blocks(np.concatenate([is_used, more_used]), WEEKS_IN_BLOCK, LEAST_WEEKS_USED)
    before = pair_blocks(is_used, WEEKS_IN_BLOCK, LEAST_WEEKS_USED)
    known = int(before.later.max()) if before.n_pairs else -1
    own = _choose(pairs, (pairs.end_week >= past) & (pairs.later > known), 0)
    first = past
    if own.n_pairs:
        first = max(int(own.start_week.min()) - round(TAILS * SMOOTHING_WEEKS), 0)
        own = smooth_pairs(own)
    every = np.ones(own.n_pairs, dtype=bool)
    return FuturePairs(_choose(own, every, first), first, past, len(more_used))


def _choose(pairs: BlockPairs, rows: Bools, first: int) -> BlockPairs:
    """Some of the comparisons, weeks counted from ``first``."""
    return BlockPairs(
        pairs.start_week[rows] - first,
        pairs.end_week[rows] - first,
        pairs.difference[rows, first:],
        pairs.growth[rows, first:],
        pairs.earlier[rows],
        pairs.later[rows],
    )
