"""Scales in the drawing's own px, shared by the layers of a chart.

Strips lie in one view with computed baselines, so y is px from the top; x is weeks since the first
of the record.
"""

from typing import Any

import altair as alt
import polars as pl


def at_x(field: str, domain: list[Any]) -> alt.X:
    """Horizontal place of ``field`` on a fixed domain (numbers or signals), without an axis."""
    scale = alt.Scale(domain=domain, nice=False, zero=False)
    return alt.X(f"{field}:Q", scale=scale, axis=None)


def at_y(field: str, height: float) -> alt.Y:
    """Vertical place of ``field`` in px from the top, without an axis."""
    scale = alt.Scale(domain=[height, 0], nice=False, zero=False)
    return alt.Y(f"{field}:Q", scale=scale, axis=None, sort=None)


def look_up(colours: list[str]) -> alt.Scale:
    """From a number to its colour. An expression would be read anew for every mark."""
    return alt.Scale(domain=list(range(len(colours))), range=colours)


def frame_chart(frame: pl.DataFrame) -> alt.Chart:
    """A chart over a frame; an empty frame still gives a valid chart."""
    return alt.Chart(frame if frame.height else alt.Data(values=[]))


def text_width(text: str, size: float = 11) -> float:
    """Estimated width in px: 0.54 em a character."""
    return 0.54 * size * len(text)
