"""Placing of names: where a name fits without touching its neighbour."""

import polars as pl

from dashboards.charts.axes import text_width


def place_labels(
    events: pl.DataFrame, px_per_week: float, width: float, size: float = 11, beside: bool = False
) -> pl.DataFrame:
    """Names that fit, greedily from the left: w (where), label, align.

    ``events``: w0, w1, label. Over the bar and centred, at an edge of the picture moved inward, or
    ``beside`` it: right of it, else left of it, else not at all (the name stands in the table).
    """
    taken, placed = -1e9, []
    bars = list(events.select("w0", "w1", "label").iter_rows())
    for i, (w0, w1, label) in enumerate(bars):
        x0, x1, long = w0 * px_per_week, w1 * px_per_week, text_width(label, size)
        following = bars[i + 1][0] * px_per_week if i + 1 < len(bars) else 1e9
        for start, at, align in _places(x0, x1, long, width, beside):
            ends = start + long
            blocks = ends > following if beside and align == "left" else False
            if start >= max(taken + 8, 0) and ends <= width and not blocks:
                placed.append({"w": at / px_per_week, "label": label, "align": align})
                taken = max(ends, x1 if beside else ends)
                break
        else:
            taken = max(taken, x1) if beside else taken
    schema = {"w": pl.Float64, "label": pl.String, "align": pl.String}
    return pl.DataFrame(placed, schema=schema).with_columns(pl.col("w").round(2))


def _places(
    x0: float, x1: float, long: float, width: float, beside: bool
) -> tuple[tuple[float, float, str], ...]:
    if not beside:
        middle = (x0 + x1) / 2
        if middle < long / 2:
            return ((0.0, 0.0, "left"),)
        if middle + long / 2 > width:
            return ((width - long, width, "right"),)
        return ((middle - long / 2, middle, "center"),)
    return ((x1 + 4, x1 + 4, "left"), (x0 - 4 - long, x0 - 4, "right"))
