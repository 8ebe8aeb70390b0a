"""Signals as rows: what strength went with one usual swing of each, most of them grey."""

from dataclasses import dataclass

import altair as alt
import polars as pl

from dashboards.charts.axes import frame_chart
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
from dashboards.theme.colours import INK2, INK3, PAPER


@dataclass(frozen=True)
class SignalForestWords:
    """Heads of the columns and the words at the axis."""

    number: str
    sessions: str
    support: str
    axis: str


def draw_signal_forest(
    frame: pl.DataFrame, layout: SlopeLayout, text: SignalForestWords
) -> alt.LayerChart:
    """``frame``: i (row), name, when, est, low, high (% for one swing, null where refused), then
    (null), k (0 clearly higher, 1 clearly lower, 3 either way, 4 refused), number, interval, both,
    sessions, support, reason. The columns: number (right edge), sessions, support."""
    rows, axis = layout.rows, layout.axis
    layers = [
        *lay_ground(rows, axis, 0.0, None, SlopeWords(text.axis, "")),
        *([] if layout.columns else [_clear_names(frame, layout)]),
        *lay_slopes(frame, rows, axis),
        *_names(frame, layout),
        *_numbers(frame, layout, text),
    ]
    return stack_layers(layers, (rows.width, rows.height))


def _clear_names(frame: pl.DataFrame, layout: SlopeLayout) -> alt.Chart:
    """Paper behind the names of a phone: upright lines break there, none runs into a word."""
    rows = layout.rows
    return (
        frame_chart(frame)
        .transform_calculate(y0=rows.at(layout.name_drop - 14), y1=rows.at(layout.name_drop + 8))
        .mark_rect(fill=PAPER, stroke=None)
        .encode(x=alt.XValue(0), x2=alt.X2Value(rows.width), y=rows.y("y0"), y2=alt.Y2("y1"))
    )


def _names(frame: pl.DataFrame, layout: SlopeLayout) -> list[alt.Chart]:
    rows, drop = layout.rows, layout.name_drop
    told, refused = f"datum.k < {REFUSED}", f"datum.k == {REFUSED}"
    size = {"fontSize": ROW_NAME}
    if layout.columns is None:
        return [
            *lay_words(frame, rows, "full", 4, drop, told, **size),
            *lay_words(frame, rows, "full", 4, drop, refused, fill=INK3, **size),
        ]
    return [
        *lay_words(frame, rows, "name", 4, drop, told, **size),
        *lay_words(frame, rows, "name", 4, drop, refused, fill=INK3, **size),
        *lay_words(frame, rows, "when", 166, drop, fill=INK2, fontSize=NOTE),
    ]


def _numbers(frame: pl.DataFrame, layout: SlopeLayout, text: SignalForestWords) -> list[alt.Chart]:
    rows, drop = layout.rows, layout.name_drop
    if layout.columns is None:
        return lay_outcome(frame, rows, drop)
    number, sessions, support = layout.columns
    told, refused = f"datum.k < {REFUSED}", f"datum.k == {REFUSED}"
    right = {"align": "right", "fontSize": ROW_NAME, "fill": INK2}
    italic = {"fill": INK3, "fontStyle": "italic"}
    head = rows.top - 16
    return [
        *lay_words(frame, rows, "number", number, drop, told, align="right", fontWeight=600),
        *lay_words(frame, rows, "interval", number + 8, drop, told, fill=INK2),
        *lay_words(frame, rows, "reason", number - 44, drop, refused, **italic),
        *lay_words(frame, rows, "sessions", sessions, drop, told, **right),
        *lay_words(frame, rows, "support", support, drop, told, **right),
        *lay_note(rows, number - 44, head, text.number, "left"),
        *lay_note(rows, sessions, head, text.sessions, "right"),
        *lay_note(rows, support, head, text.support, "right"),
    ]
