"""How often and how long deloads were, beside a survey: two rows, each with its own scale."""

from dataclasses import dataclass

import altair as alt
import polars as pl

from dashboards.charts.axes import frame_chart
from dashboards.charts.plot import Plot
from dashboards.charts.ranges import row_at
from dashboards.theme.chart import lay_text
from dashboards.theme.colours import INK, INK2, PAPER, PRIOR, RULE

ROW, TOP = 114, 4


@dataclass(frozen=True)
class PaceFrames:
    """Rows i = 0, 1, ...; every x is a share of that row's scale, 0 to 1.

    names : i, title. ticks : i, x (one a deload). own, published : i, x, lo, hi, label.
    scale : i, x, label.
    """

    names: pl.DataFrame
    ticks: pl.DataFrame
    own: pl.DataFrame
    published: pl.DataFrame
    scale: pl.DataFrame


def draw_pace(frames: PaceFrames, is_wide: bool) -> alt.LayerChart:
    """The picture for 560 or 366 px."""
    width = 540 if is_wide else 350
    height = ROW * frames.names.height
    plot = Plot(width, height, (0.0, 1.0), (0.0, 1.0), left=8, right=8, top=TOP, bottom=4)
    layers = [
        *_names(frames.names, plot),
        *_scale(frames.scale, plot),
        *_ticks(frames.ticks, plot),
        *_mean(frames.published, plot, 76, True),
        *_mean(frames.own, plot, 44, False),
    ]
    return plot.stack(layers)


def _placed(frame: pl.DataFrame, down: float) -> alt.Chart:
    return frame_chart(frame).transform_calculate(row=f"{TOP} + datum.i * {ROW} + {down}")


def _names(names: pl.DataFrame, plot: Plot) -> list[alt.Chart]:
    base = _placed(names, 8).encode(
        x=alt.XValue(0), y=row_at("row", plot), text=alt.Text("title:N")
    )
    return lay_text(base, align="left", baseline="middle", fill=INK2, fontSize=plot.note)


def _scale(scale: pl.DataFrame, plot: Plot) -> list[alt.Chart]:
    base = _placed(scale, 20).transform_calculate(foot=f"{TOP} + datum.i * {ROW} + 84")
    line = base.mark_rule(stroke=RULE, strokeWidth=0.6).encode(
        x=plot.x("x"), y=row_at("row", plot), y2=alt.Y2("foot")
    )
    named = base.transform_calculate(at="datum.foot + 10").encode(
        x=plot.x("x"), y=row_at("at", plot), text=alt.Text("label:N")
    )
    return [line, *lay_text(named, fill=INK2, baseline="middle", fontSize=plot.note)]


def _ticks(ticks: pl.DataFrame, plot: Plot) -> list[alt.Chart]:
    """One tick a deload, faint, so that many of a kind show dark."""
    base = _placed(ticks, 30).transform_calculate(foot=f"{TOP} + datum.i * {ROW} + 38")
    mark = base.mark_rule(stroke=INK, strokeWidth=1.4, opacity=0.35)
    return [mark.encode(x=plot.x("x"), y=row_at("row", plot), y2=alt.Y2("foot"))]


def _mean(means: pl.DataFrame, plot: Plot, down: float, is_published: bool) -> list[alt.Chart]:
    """A mean on its standard deviation: hollow and dashed where it is the survey's."""
    colour = PRIOR if is_published else INK
    base = _placed(means, down)
    line = base.mark_rule(
        stroke=colour,
        strokeWidth=1.4 if is_published else 2.2,
        strokeDash=[4, 3] if is_published else [],
    ).encode(x=plot.x("lo"), x2=alt.X2("hi"), y=row_at("row", plot))
    mark = base.mark_point(
        shape="diamond" if is_published else "circle",
        size=44,
        stroke=colour,
        strokeWidth=1.3,
        fill=PAPER if is_published else INK,
        opacity=1,
    ).encode(x=plot.x("x"), y=row_at("row", plot))
    made = [line, mark]
    over = base.transform_calculate(at=f"datum.row - {15 if is_published else 22}")
    for side, keep, align in (("lo", "datum.lo < 0.5", "left"), ("hi", "datum.lo >= 0.5", "right")):
        named = over.transform_filter(keep).encode(
            x=plot.x(side), y=row_at("at", plot), text=alt.Text("label:N")
        )
        text = {"align": align, "baseline": "middle", "fontSize": plot.note, "fill": colour}
        made += lay_text(named, halo=True, **text)
    return made
