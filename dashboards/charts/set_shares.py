"""Each muscle's share of the weekly sets (hollow) beside its share of the progress (filled)."""

from dataclasses import dataclass
from typing import Any

import altair as alt
import polars as pl

from dashboards.charts.slopes import (
    REFUSED,
    SlopeLayout,
    SlopeWords,
    lay_ground,
    lay_note,
    lay_outcome,
    lay_slopes,
    lay_words,
)
from dashboards.theme.chart import NOTE, ROW_NAME, stack_layers
from dashboards.theme.colours import INK2, INK3, LOSS, PROGRESS


@dataclass(frozen=True)
class ShareWords:
    """Heads of the columns and the words at the axis."""

    sets: str
    progress: str
    reads: str
    axis: str


def draw_shares(frame: pl.DataFrame, layout: SlopeLayout, text: ShareWords) -> alt.LayerChart:
    """``frame``: i (row), name, then (share of sets, %), est, low, high (share of progress, null
    where none can be told), k (0 clearly more, 1 clearly less, 3 either way, 4 refused), and words:
    sets, number, interval, reads, both, reason. The columns' right edges: share of sets, share of
    progress (its interval follows), and how they read."""
    rows, drop = layout.rows, layout.name_drop
    layers = [
        *lay_ground(rows, layout.axis, 0.0, None, SlopeWords(text.axis, "")),
        *lay_slopes(frame, rows, layout.axis),
        *lay_words(frame, rows, "name", 0, drop, fontSize=ROW_NAME),
    ]
    if layout.columns is None:
        layers += lay_outcome(frame, rows, drop)
        return stack_layers(layers, (rows.width, rows.height))
    sets, progress, reads = layout.columns
    right: dict[str, Any] = {"align": "right", "fontSize": ROW_NAME}
    head = rows.top - 16
    told, refused = f"datum.k < {REFUSED}", f"datum.k == {REFUSED}"
    layers += [
        *lay_words(frame, rows, "sets", sets, drop, fill=INK2, **right),
        *lay_words(frame, rows, "number", progress, drop, told, fontWeight=600, **right),
        *lay_words(frame, rows, "interval", progress + 8, drop, told, fill=INK2, fontSize=NOTE),
        *lay_words(
            frame, rows, "reason", progress, drop, refused, fill=INK3, fontStyle="italic", **right
        ),
        *lay_note(rows, sets, head, text.sets, "right"),
        *lay_note(rows, progress, head, text.progress, "right"),
        *lay_note(rows, reads, head, text.reads, "right"),
    ]
    for verdict, colour in ((0, PROGRESS), (1, LOSS), (3, INK2)):
        only = f"datum.k == {verdict}"
        layers += lay_words(frame, rows, "reads", reads, drop, only, fill=colour, **right)
    return stack_layers(layers, (rows.width, rows.height))
