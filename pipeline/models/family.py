"""Many tests at once: p-values corrected for the whole family.

Question: of so many associations tested, which would still stand if chance had as many tries?

In: (m,) p-values. Out: (m,) adjusted ones; a test is kept where its adjusted value is at most the
share of false ones that is let pass. Source: Benjamini, Hochberg. J R Stat Soc B 1995;57:289-300
(read, with its fifteen p-values). Where nothing at all is there it keeps the chance of any false
hit at that share, also among tests that move together, as nights and their means do.
"""

import numpy as np
from numpy.typing import ArrayLike

from pipeline.models.arrays import Floats


def adjust_p_values(p_values: ArrayLike) -> Floats:
    """Benjamini-Hochberg adjusted p-values, in the order given; nan (not tested) stays nan.

    Raises
    ------
    ValueError
        where a value is no probability.
    """
    p = np.asarray(p_values, dtype=np.float64)
    tested = np.flatnonzero(np.isfinite(p))
    if np.any((p[tested] < 0.0) | (p[tested] > 1.0)):
        raise ValueError(f"p-values from {np.nanmin(p):g} to {np.nanmax(p):g}; give 0 to 1")
    order = tested[np.argsort(p[tested], kind="stable")]
    scaled = p[order] * order.size / np.arange(1, order.size + 1)
    adjusted = np.full(p.size, np.nan)
    adjusted[order] = np.minimum(np.minimum.accumulate(scaled[::-1])[::-1], 1.0)
    return adjusted
