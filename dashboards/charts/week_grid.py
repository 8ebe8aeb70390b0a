"""Weekly sets of the muscles that change, week by week to the easing week."""

from dataclasses import dataclass

import altair as alt
import polars as pl

from dashboards.charts.axes import at_x, at_y, frame_chart
from dashboards.theme.chart import lay_text, stack_layers
from dashboards.theme.colours import FAMILIES, INK, INK2, RULE, WASH, rock, role

ROW, BAR, TOP = 34, 26, 24
GAP, INSIDE = 3, 15


@dataclass(frozen=True)
class GridFrames:
    """``cells``: i (row), k (column), f (family), sets, label, ease. ``rows``: i, name. ``heads``:
    k, label. ``most``: sets of a bar of full height."""

    cells: pl.DataFrame
    rows: pl.DataFrame
    heads: pl.DataFrame
    most: float


def draw_grid(frames: GridFrames, width: int, left: int) -> alt.LayerChart:
    """``width`` px in all, names in ``left`` of them."""
    columns, room = frames.heads.height, width - left
    step = room / columns
    height = TOP + ROW * frames.rows.height + 4
    x = f"datum.k * {step:.3f}"
    foot = f"{TOP} + (datum.i + 1) * {ROW}"
    tones, edges = ([rock(one, tier) for one in FAMILIES] for tier in ("within", "above"))
    pale = [rock(one, "below") for one in FAMILIES]
    cells = frame_chart(frames.cells).transform_calculate(
        x0=f"{x} + {GAP / 2}",
        x1=f"{x} + {step - GAP / 2:.3f}",
        mid=f"{x} + {step / 2:.3f}",
        y0=f"{foot} - {BAR} * datum.sets / {frames.most:.3f}",
        y1=foot,
        high=f"{BAR} * datum.sets / {frames.most:.3f}",
        tone=f"(datum.ease ? {pale} : {tones})[datum.f]",
        edge=f"{edges}[datum.f]",
    )
    # A figure stands in its bar, or over it where the bar is too low.
    cells = cells.transform_calculate(
        yt=f"datum.high < {INSIDE} ? datum.y0 - 7 : datum.y1 - 8",
        dark=f"datum.high < {INSIDE} || datum.ease",
    )
    across = [0, room]
    easing = frame_chart(frames.heads).transform_filter("datum.ease")
    wash = easing.transform_calculate(x0=x, x1=f"{x} + {step:.3f}").mark_rect(fill=WASH)
    bar = cells.mark_rect(opacity=1).encode(
        x=at_x("x0", across),
        x2=alt.X2("x1"),
        y=at_y("y0", height),
        y2=alt.Y2("y1"),
        fill=alt.Fill("tone:N", scale=None),
    )
    top = cells.mark_rule(strokeWidth=0.8).encode(
        x=at_x("x0", across),
        x2=alt.X2("x1"),
        y=at_y("y0", height),
        stroke=alt.Stroke("edge:N", scale=None),
    )
    heads = frame_chart(frames.heads).transform_calculate(mid=f"{x} + {step / 2:.3f}")
    names = frame_chart(frames.rows).transform_calculate(base=f"{foot} - 8", line=foot)
    lines = names.mark_rule(stroke=RULE, strokeWidth=0.6).encode(
        y=at_y("line", height), x=alt.XValue(0), x2=alt.X2Value(room)
    )
    named = names.encode(x=alt.XValue(-8), y=at_y("base", height), text=alt.Text("name:N"))
    headed = heads.encode(x=at_x("mid", across), y=alt.YValue(10), text=alt.Text("label:N"))
    layers = [
        wash.encode(x=at_x("x0", across), x2=alt.X2("x1"), y=alt.YValue(0), y2=alt.Y2Value(height)),
        lines,
        bar,
        top,
        *lay_text(named, align="right", baseline="middle", fontSize=12),
        *lay_text(headed, align="center", baseline="middle", fill=INK2),
    ]
    for keep, fill in (("!datum.dark", role("on-rock")), ("datum.dark", INK)):
        written = cells.transform_filter(keep).encode(
            x=at_x("mid", across), y=at_y("yt", height), text=alt.Text("label:N")
        )
        layers += lay_text(written, align="center", baseline="middle", fill=fill)
    return stack_layers(layers, (room, height), left)
