"""Strength around deloads: every single one, their mean, and what ordinary weeks would show."""

from dataclasses import dataclass
from textwrap import wrap

import altair as alt
import polars as pl

from dashboards.charts.axes import frame_chart, text_width
from dashboards.charts.plot import Plot, lay_note, lay_places, lay_values
from dashboards.theme.chart import lay_text
from dashboards.theme.colours import INK, INK2, INK3, PRIOR, WASH, role

BRACKET_WEEK = 2


@dataclass(frozen=True)
class FanFrames:
    """lines : x0, y0, x1, y1 (single deloads, cut at the picture's edge).

    means : series (after, ordinary), side (-1, 1), x, y, lo, hi. difference : y0 (ordinary weeks
    1 to 3), y1 (with the finding's estimate), lo, hi (its interval), label. outline : x, y, what
    textbook constants draw, its height without meaning. names : x, y, label, series, dy. values,
    places : v, label. domain : lowest and highest % shown. tone : the role of the mean: progress,
    loss or ink2.
    """

    lines: pl.DataFrame
    means: pl.DataFrame
    difference: pl.DataFrame
    outline: pl.DataFrame
    names: pl.DataFrame
    values: pl.DataFrame
    places: pl.DataFrame
    domain: tuple[float, float]
    tone: str


@dataclass(frozen=True)
class FanWords:
    """Words of the drawing; ``refused`` stands where the data would be, or is empty."""

    y_title: str
    x_title: str
    week: tuple[str, str]
    refused: str = ""


def draw_fan(frames: FanFrames, said: FanWords, is_wide: bool) -> alt.LayerChart:
    """The fan for 700 or 366 px."""
    x = (-3.4, float(frames.places["v"].max() or 5) + 0.4)  # type: ignore[arg-type]
    plot = (
        Plot(656, 316, x, frames.domain, left=40, right=4)
        if is_wide
        else Plot(326, 260, x, frames.domain, left=36, right=4)
    )
    layers = [
        _open_week(plot),
        *lay_values(frames.values, plot),
        _singles(frames.lines, plot),
        *_ordinary(frames.means, plot),
        *_after(frames, plot),
        _outline(frames.outline, plot),
        *_bracket(frames.difference, plot),
        *_names(frames, plot),
        *_week_name(said.week, plot),
        *lay_places(frames.places, plot),
        *lay_note(said.y_title, -plot.left, 8, plot),
        *lay_note(said.x_title, plot.width, plot.total - 6, plot, align="right"),
    ]
    if said.refused:
        layers += _refused(said.refused, plot)
    return plot.stack(layers)


def _refused(reason: str, plot: Plot) -> list[alt.Chart]:
    """Why there is no answer, in italics over the axes, in as many lines as it needs."""
    size = plot.note + 1
    lines = wrap(reason, int(plot.width / text_width("m", size)))
    mark = {"fill": INK3, "fontStyle": "italic", "align": "center", "fontSize": size}
    top = plot.top + plot.height * 0.3
    return [
        layer
        for i, line in enumerate(lines)
        for layer in lay_note(line, plot.width / 2, top + 17 * i, plot, halo=True, **mark)
    ]


def _open_week(plot: Plot) -> alt.Chart:
    """The deload's own week is left open: its loads are light by intention."""
    frame = pl.DataFrame({"x0": [-0.45], "x1": [0.45]})
    across = {"y": alt.YValue(plot.top), "y2": alt.Y2Value(plot.foot)}
    return frame_chart(frame).mark_rect(fill=WASH).encode(x=plot.x("x0"), x2=alt.X2("x1"), **across)


def _week_name(lines: tuple[str, str], plot: Plot) -> list[alt.Chart]:
    made: list[alt.Chart] = []
    for i, line in enumerate(lines):
        frame = pl.DataFrame({"x": [0.0], "label": [line]})
        named = frame_chart(frame).encode(
            x=plot.x("x"), y=alt.YValue(plot.top + 10 + 13 * i), text=alt.Text("label:N")
        )
        made += lay_text(named, fill=INK2, align="center", baseline="middle", fontSize=plot.note)
    return made


def _singles(lines: pl.DataFrame, plot: Plot) -> alt.Chart:
    mark = frame_chart(lines).mark_rule(stroke=INK3, strokeWidth=0.55, opacity=0.35)
    return mark.encode(x=plot.x("x0"), x2=alt.X2("x1"), y=plot.y("y0"), y2=alt.Y2("y1"))


def _series(means: pl.DataFrame, name: str) -> alt.Chart:
    return frame_chart(means).transform_filter(f"datum.series == '{name}'")


def _ordinary(means: pl.DataFrame, plot: Plot) -> list[alt.Chart]:
    base = _series(means, "ordinary")
    side = alt.Detail("side:N")
    band = base.mark_area(fill=PRIOR, opacity=0.28).encode(
        x=plot.x("x"), y=plot.y("lo"), y2=alt.Y2("hi"), detail=side
    )
    edges = [
        base.mark_line(stroke=INK2, strokeWidth=0.8, strokeDash=[4, 3]).encode(
            x=plot.x("x"), y=plot.y(edge), detail=side
        )
        for edge in ("lo", "hi")
    ]
    return [band, *edges]


def _after(frames: FanFrames, plot: Plot) -> list[alt.Chart]:
    base, side = _series(frames.means, "after"), alt.Detail("side:N")
    tone = role(frames.tone)
    fill = role(f"{frames.tone}-band") if frames.tone in ("progress", "loss") else role("rule")
    return [
        base.mark_area(fill=fill, opacity=0.75).encode(
            x=plot.x("x"), y=plot.y("lo"), y2=alt.Y2("hi"), detail=side
        ),
        base.mark_line(stroke=tone, strokeWidth=2.2).encode(
            x=plot.x("x"), y=plot.y("y"), detail=side
        ),
    ]


def _outline(outline: pl.DataFrame, plot: Plot) -> alt.Chart:
    """The textbook's shape, dotted: not fitted, so nothing but a line without a band."""
    mark = frame_chart(outline).mark_line(stroke=PRIOR, strokeWidth=1.8, strokeDash=[2, 3])
    return mark.encode(x=plot.x("x"), y=plot.y("y"))


def _bracket(difference: pl.DataFrame, plot: Plot) -> list[alt.Chart]:
    """The answer's number as a bracket from the ordinary weeks, with its interval as a thin line.

    It comes from the regression, so it need not end on the mean of the lines.
    """
    base = frame_chart(difference).transform_calculate(x=str(BRACKET_WEEK))
    upright = base.mark_rule(stroke=INK, strokeWidth=1.8).encode(
        x=plot.x("x"), y=plot.y("y0"), y2=alt.Y2("y1")
    )
    thin = base.mark_rule(stroke=INK, strokeWidth=0.8).encode(
        x=plot.x("x"), y=plot.y("lo"), y2=alt.Y2("hi")
    )
    ends = [
        base.mark_tick(
            stroke=INK, thickness=1.8, size=9, orient="horizontal", fill=INK, opacity=1
        ).encode(x=plot.x("x"), y=plot.y(side))
        for side in ("y0", "y1")
    ]
    named = base.transform_calculate(mid="(datum.y0 + datum.y1) / 2").encode(
        x=plot.x("x"), y=plot.y("mid"), text=alt.Text("label:N")
    )
    text = lay_text(
        named, halo=True, align="left", dx=8, baseline="middle", fontWeight=600, fontSize=plot.note
    )
    return [thin, upright, *ends, *text]


def _names(frames: FanFrames, plot: Plot) -> list[alt.Chart]:
    """The name of each course: the upper one's from its first week on, the lower one's centred."""
    made: list[alt.Chart] = []
    for series, fill, weight in (("ordinary", INK2, 400), ("after", role(frames.tone), 600)):
        for dy, align in ((-10, "left"), (10, "center")):
            keep = f"datum.series == '{series}' && datum.dy == {dy}"
            named = frame_chart(frames.names).transform_filter(keep)
            named = named.encode(x=plot.x("x"), y=plot.y("y"), text=alt.Text("label:N"))
            mark = {"align": align, "dy": dy, "baseline": "middle", "fill": fill}
            made += lay_text(named, halo=True, fontWeight=weight, fontSize=plot.note, **mark)
    return made
