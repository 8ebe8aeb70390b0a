"""Placing of names: where a name fits without touching its neighbour."""

from collections.abc import Iterator

import polars as pl

from dashboards.charts.axes import text_width

# Between the names of one event; the first and a number stand for them where room is short.
JOINED = " + "


def place_labels(
    events: pl.DataFrame, px_per_week: float, width: float, size: float = 11, beside: bool = False
) -> pl.DataFrame:
    """Names that fit, greedily from the left: w (where), label, align.

    ``events``: w0, w1, label, in order. A name stands over its bar, centred, else from its start or
    up to its end, never over a neighbour's bar; or ``beside`` it, right or left. Several names
    without room become the first and how many more; what fits nowhere is left out: it stands in
    the table.
    """
    found = events.select("w0", "w1", "label").iter_rows()
    bars = [(w0 * px_per_week, w1 * px_per_week, label) for w0, w1, label in found]
    taken, placed = -8.0, []
    for i, (x0, x1, label) in enumerate(bars):
        free_from = max(taken + 8, bars[i - 1][1] if i else 0.0)
        free_to = min(width, bars[i + 1][0] if i + 1 < len(bars) else width)
        for text, long, (start, at, align) in _ways(label, size, x0, x1, beside):
            if start >= free_from and start + long <= free_to:
                placed.append({"w": at / px_per_week, "label": text, "align": align})
                taken = start + long
                break
    schema = {"w": pl.Float64, "label": pl.String, "align": pl.String}
    return pl.DataFrame(placed, schema=schema).with_columns(pl.col("w").round(2))


def _ways(
    label: str, size: float, x0: float, x1: float, beside: bool
) -> Iterator[tuple[str, float, tuple[float, float, str]]]:
    """What may be written, how long it is, and where it may stand, best first."""
    first, *more = label.split(JOINED)
    for text in (label, f"{first}{JOINED}{len(more)}") if more else (label,):
        long = text_width(text, size)
        for place in _places(x0, x1, long, beside):
            yield text, long, place


def _places(
    x0: float, x1: float, long: float, beside: bool
) -> tuple[tuple[float, float, str], ...]:
    """Where a name may stand, best first: its left end, its anchor, its alignment."""
    if beside:
        return ((x1 + 4, x1 + 4, "left"), (x0 - 4 - long, x0 - 4, "right"))
    middle = (x0 + x1) / 2
    return (
        (middle - long / 2, middle, "center"),
        (x0, x0, "left"),
        (x1 - long, x1, "right"),
    )
