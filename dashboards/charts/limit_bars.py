"""Weekly sets of now and of a proposal, stacked by family, against the most there is room for."""

from dataclasses import dataclass

import altair as alt
import polars as pl

from dashboards.charts.axes import frame_chart
from dashboards.charts.plot import Plot, lay_note
from dashboards.charts.ranges import row_at
from dashboards.theme.chart import lay_text
from dashboards.theme.colours import FAMILIES, INK, INK2, INK3, RULE, rock, role

ROW, BAR, TOP = 32, 22, 4


@dataclass(frozen=True)
class LimitFrames:
    """``parts``: i (row), f (family; their number: none), x0, x1 (sets), label. ``rows``: i, name,
    at (sets at which the total is written), text. ``limit`` in sets, ``said`` in words; ``end``:
    last value."""

    parts: pl.DataFrame
    rows: pl.DataFrame
    limit: float
    said: str
    end: float


@dataclass(frozen=True)
class LimitLayout:
    """Margins and width of the plot, px."""

    left: int
    width: int
    right: int


def draw_limit(frames: LimitFrames, layout: LimitLayout) -> alt.LayerChart:
    """Two bars and the line."""
    plot = Plot(
        layout.width,
        ROW * 2,
        (0.0, frames.end),
        (0.0, 1.0),
        left=layout.left,
        right=layout.right,
        top=TOP,
        bottom=22,
    )
    middle = f"{TOP} + datum.i * {ROW} + {ROW / 2}"
    ends = {"y0": f"{middle} - {BAR / 2}", "y1": f"{middle} + {BAR / 2}", "row": middle}
    tones = [*(rock(one, "within") for one in FAMILIES), RULE]
    edges = [*(rock(one, "above") for one in FAMILIES), INK3]
    parts = frame_chart(frames.parts).transform_calculate(
        tone=f"{tones}[datum.f]", edge=f"{edges}[datum.f]", **ends
    )
    rows = frame_chart(frames.rows).transform_calculate(**ends)
    place = {"x": plot.x("x0"), "x2": alt.X2("x1")}
    bar = parts.mark_rect(opacity=1).encode(
        **place,
        y=row_at("y0", plot),
        y2=alt.Y2("y1"),
        fill=alt.Fill("tone:N", scale=None),
        stroke=alt.Stroke("edge:N", scale=None),
        strokeWidth=alt.value(0.8),
    )
    inside = parts.mark_text(
        align="left", baseline="middle", dx=6, fill=role("on-rock"), fontSize=11
    ).encode(x=plot.x("x0"), y=row_at("row", plot), text=alt.Text("label:N"))
    named = rows.encode(x=alt.XValue(-8), y=row_at("row", plot), text=alt.Text("name:N"))
    total = rows.encode(x=plot.x("at"), y=row_at("row", plot), text=alt.Text("text:N"))
    line = frame_chart(pl.DataFrame({"limit": [frames.limit]})).mark_rule(
        stroke=INK, strokeWidth=1.4
    )
    where = layout.width * frames.limit / frames.end
    return plot.stack(
        [
            bar,
            inside,
            *lay_text(named, align="right", baseline="middle", fill=INK2, fontSize=12),
            line.encode(x=plot.x("limit"), y=alt.YValue(0), y2=alt.Y2Value(plot.foot + 6)),
            *lay_text(
                total, halo=True, align="left", baseline="middle", dx=8, fontSize=12, fontWeight=600
            ),
            *lay_note(frames.said, where - 6, plot.foot + 14, plot, align="right"),
        ]
    )
