"""The group's mean per muscle on its interval, with every lifter's own slope as a tick."""

from dataclasses import dataclass

import altair as alt
import polars as pl

from dashboards.charts.axes import frame_chart
from dashboards.charts.matrix import MUSCLE
from dashboards.charts.slopes import (
    REFUSED,
    Rows,
    SlopeLayout,
    SlopeWords,
    lay_ground,
    lay_note,
    lay_outcome,
    lay_slopes,
    lay_words,
)
from dashboards.theme.chart import ROW_NAME, stack_layers
from dashboards.theme.colours import INK2, INK3, WASH

TICK = 9
# The size at which a path of one's own is drawn in px as it stands.
PATH_SIZE = 4


@dataclass(frozen=True)
class MeansWords:
    """Heads of the columns (mean, lifters, support) and the words at the axis."""

    mean: str
    lifters: str
    support: str
    axis: SlopeWords


def draw_means(
    rows: pl.DataFrame,
    own: pl.DataFrame,
    layout: SlopeLayout,
    text: MeansWords,
    visible: float,
    muscle: str,
) -> alt.LayerChart:
    """A row a muscle.

    ``rows``: r, muscle_id, name, est, low, high, k, number, interval, both, n, support, reason.
    ``own``: r, est (slopes of single lifters). The columns' right edges: mean (its interval
    follows), lifters, support.
    """
    placed = layout.rows
    layers = [
        _chosen(rows, placed),
        *lay_ground(placed, layout.axis, visible, None, text.axis),
        _own(own, layout),
        *lay_slopes(rows, placed, layout.axis),
        *_names(rows, layout),
        *_numbers(rows, layout, text),
    ]
    layers[0] = layers[0].add_params(alt.param(name=MUSCLE, value=muscle))
    return stack_layers(layers, (placed.width, placed.height))


def _chosen(rows: pl.DataFrame, placed: Rows) -> alt.Chart:
    return (
        frame_chart(rows)
        .transform_filter(f"datum.muscle_id == {MUSCLE}")
        .transform_calculate(
            y0=placed.at(0), y1=placed.at(placed.row), x0="0", x1=str(placed.width)
        )
        .mark_rect(fill=WASH, stroke=None)
        .encode(x=alt.XValue(0), x2=alt.X2Value(placed.width), y=placed.y("y0"), y2=alt.Y2("y1"))
    )


def _own(own: pl.DataFrame, layout: SlopeLayout) -> alt.Chart:
    """Single lifters' slopes: upright ticks under the mean, those of a row as one path.

    Of a thousand lifters, marks of their own take a browser longer than all else on the page.
    """
    rows = layout.rows
    px = [layout.axis.px_inside(value) for value in own["est"]]
    placed = own.select("r", x=(2 * pl.Series(px, dtype=pl.Float64)).round() / 2)
    paths = (
        placed.unique()
        .sort("r", "x")
        .group_by("r", maintain_order=True)
        .agg(path=pl.col("x").map_batches(_ticks, returns_scalar=True, return_dtype=pl.String))
    )
    return (
        frame_chart(paths)
        .transform_calculate(x="0", y=rows.at(rows.mark))
        .mark_point(size=PATH_SIZE, stroke=INK3, strokeWidth=1.2, opacity=1)
        .encode(x=rows.x("x"), y=rows.y("y"), shape=alt.Shape("path:N", scale=None))
    )


def _ticks(px: pl.Series) -> str:
    """The path of upright ticks at these px, from the left."""
    steps = px.diff().fill_null(px.first())
    return "".join(f"m{step:g},{-TICK if i else -TICK / 2}v{TICK}" for i, step in enumerate(steps))


def _names(rows: pl.DataFrame, layout: SlopeLayout) -> list[alt.Chart]:
    told, refused = f"datum.k < {REFUSED}", f"datum.k == {REFUSED}"
    at = (rows, layout.rows, "name", 4, layout.name_drop)
    return [
        *lay_words(*at, told, fontSize=ROW_NAME),
        *lay_words(*at, refused, fontSize=ROW_NAME, fill=INK3),
    ]


def _numbers(rows: pl.DataFrame, layout: SlopeLayout, text: MeansWords) -> list[alt.Chart]:
    placed, drop = layout.rows, layout.name_drop
    if layout.columns is None:
        return lay_outcome(rows, placed, drop)
    told, refused = f"datum.k < {REFUSED}", f"datum.k == {REFUSED}"
    italic = {"fill": INK3, "fontStyle": "italic"}
    number, lifters, support = layout.columns
    right = {"align": "right", "fill": INK2}
    heads = ((number - 30, text.mean, "left"), (lifters, text.lifters, "right"))
    made = [
        *lay_words(rows, placed, "number", number, drop, told, align="right", fontWeight=600),
        *lay_words(rows, placed, "interval", number + 8, drop, told, fill=INK2),
        *lay_words(rows, placed, "reason", number - 30, drop, refused, **italic),
        *lay_words(rows, placed, "n", lifters, drop, told, **right),
        *lay_words(rows, placed, "support", support, drop, told, **right),
        *lay_note(placed, support, placed.top - 16, text.support, "right"),
    ]
    for x, head, align in heads:
        made += lay_note(placed, x, placed.top - 16, head, align)
    return made
