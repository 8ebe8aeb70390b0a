"""Placebo for the response to weekly sets: the same record with its sets shuffled.

The weekly sets are cut into pieces of 13 weeks, which change places; all else stays. An answer that
shuffled sets give as well is not the record's. Pieces keep the runs of like weeks that a block of
training makes, so that the shuffled sets are as smooth as the real ones.
"""

import numpy as np

from pipeline.models.arrays import Floats

# A quarter of a year: about a block of training. An assumption.
PIECE_WEEKS = 13


def shuffle_weeks(values: Floats, rng: np.random.Generator) -> Floats:
    """(n,) values, by pieces of ``PIECE_WEEKS`` in random order; nan weeks stay where they are."""
    values = np.array(values, dtype=np.float64)
    known = np.flatnonzero(np.isfinite(values))
    pieces = np.split(values[known], np.arange(PIECE_WEEKS, known.size, PIECE_WEEKS))
    order = rng.permutation(len(pieces))
    values[known] = np.concatenate([pieces[k] for k in order])
    return values
