"""Where weekly sets stand against a supported range, decided on the figures that pages show.

9.96 sets are shown as 10, and so is an edge at 9.8: whoever reads "10" beside "10 and up" is told
"within". Each side is therefore taken to the decimals it is written with before it is compared.
"""

import polars as pl

BELOW, WITHIN, ABOVE = "below", "within", "above"


def standing(sets: float, low: float, high: float | None) -> str:
    """below, within or above a range, all in whole sets; ``high`` None: no upper edge."""
    shown = round(sets)
    if shown < round(low):
        return BELOW
    return ABOVE if high is not None and shown > round(high) else WITHIN


def whole(sets: pl.Expr) -> pl.Expr:
    """Whole sets, halves to the even number, as ``dashboards.numbers`` writes them."""
    return sets.round(0, mode="half_to_even")
