"""A young record: its strips at the left, and the weeks from which questions can be answered."""

from dataclasses import dataclass

import altair as alt
import polars as pl

from dashboards.charts.axes import at_x, at_y, frame_chart
from dashboards.theme.chart import lay_text, stack_layers
from dashboards.theme.colours import FAMILIES, INK, INK2, INK3, RULE, rock

TOP = 52


@dataclass(frozen=True)
class BeginLayout:
    """Widths of drawing, names and plot, height of a row (px); weeks on the axis and logged."""

    width: int
    left: int
    plot: int
    row: int
    rows: int
    axis_weeks: int
    weeks: int
    row_sets: float
    size: int

    @property
    def height(self) -> float:
        return TOP + self.rows * self.row + 30

    def x(self, field: str) -> alt.X:
        return at_x(field, [0, self.axis_weeks])

    def y(self, field: str) -> alt.Y:
        return at_y(field, self.height)

    @property
    def baseline(self) -> str:
        return f"{TOP} + (datum.m + 1) * {self.row}"


@dataclass(frozen=True)
class BeginFrames:
    """steps : m, f, s, w, v, c (v in tenths); muscles : m, name; marks : w, label, y."""

    steps: pl.DataFrame
    muscles: pl.DataFrame
    marks: pl.DataFrame
    weeks: pl.DataFrame


def draw_begin(frames: BeginFrames, layout: BeginLayout, today: str) -> alt.LayerChart:
    """Strips so far, dotted beds to come, dashed lines where answers can begin.

    ``frames.weeks``: w, label (numbers along the foot). ``today`` names the line at the last week.
    """
    layers = [
        _beds_to_come(frames.muscles, layout),
        *_beds(frames.steps, layout),
        *_names(frames.muscles, layout),
        *_marks(frames.marks, layout),
        *_today(today, layout),
        *_foot(frames.weeks, layout),
    ]
    room = layout.width - layout.left - layout.plot
    return stack_layers(layers, (layout.plot, layout.height), layout.left, room)


def _beds(steps: pl.DataFrame, layout: BeginLayout) -> list[alt.Chart]:
    scale = f"{layout.row * 0.85} / {10 * layout.row_sets}"
    base = frame_chart(steps).transform_calculate(
        y0=layout.baseline,
        y1=f"{layout.baseline} - datum.v * {scale}",
        within=f"{[rock(f, 'within') for f in FAMILIES]}[datum.f]",
        above=f"{[rock(f, 'above') for f in FAMILIES]}[datum.f]",
    )
    area = base.mark_area(interpolate="step-after").encode(
        x=layout.x("w"),
        y=layout.y("y1"),
        y2=alt.Y2("y0"),
        fill=alt.Fill("within:N", scale=None),
        detail=alt.Detail("s:N"),
    )
    edge = base.mark_line(interpolate="step-after", strokeWidth=0.8).encode(
        x=layout.x("w"),
        y=layout.y("y1"),
        stroke=alt.Stroke("above:N", scale=None),
        detail=alt.Detail("s:N"),
    )
    return [area, edge]


def _beds_to_come(muscles: pl.DataFrame, layout: BeginLayout) -> alt.Chart:
    return (
        frame_chart(muscles)
        .transform_calculate(y=layout.baseline, x0=str(layout.weeks), x1=str(layout.axis_weeks))
        .mark_rule(stroke=INK3, strokeWidth=0.9, strokeDash=[1, 4])
        .encode(x=layout.x("x0"), x2=alt.X2("x1"), y=layout.y("y"))
    )


def _names(muscles: pl.DataFrame, layout: BeginLayout) -> list[alt.Chart]:
    base = frame_chart(muscles).transform_calculate(y=f"{layout.baseline} - 5")
    named = base.encode(x=alt.XValue(-8), y=layout.y("y"), text=alt.Text("name:N"))
    return lay_text(named, align="right", baseline="alphabetic", fontSize=layout.size + 1)


def _marks(marks: pl.DataFrame, layout: BeginLayout) -> list[alt.Chart]:
    base = frame_chart(marks).transform_calculate(y1=str(layout.height - 28))
    rule = base.mark_rule(stroke=INK2, strokeWidth=1, strokeDash=[4, 3]).encode(
        x=layout.x("w"), y=layout.y("y"), y2=alt.Y2("y1")
    )
    # A name that would leave the drawing stands left of its line.
    px = layout.plot / layout.axis_weeks
    room = layout.width - layout.left
    ends = f"datum.w * {px} + 4 + length(datum.label) * {0.54 * layout.size}"
    layers = [rule]
    for align, fits, dx in (("left", "<=", 4), ("right", ">", -4)):
        named = base.transform_filter(f"{ends} {fits} {room}").encode(
            x=layout.x("w"), y=layout.y("y"), text=alt.Text("label:N")
        )
        layers += lay_text(
            named, align=align, baseline="bottom", dx=dx, dy=4, fill=INK2, fontSize=layout.size
        )
    return layers


def _today(today: str, layout: BeginLayout) -> list[alt.Chart]:
    frame = pl.DataFrame(
        {"w": [layout.weeks], "y0": [4.0], "y1": [layout.height - 26], "label": [today]}
    )
    base = frame_chart(frame)
    rule = base.mark_rule(stroke=INK, strokeWidth=1).encode(
        x=layout.x("w"), y=layout.y("y0"), y2=alt.Y2("y1")
    )
    named = base.encode(x=layout.x("w"), y=layout.y("y0"), text=alt.Text("label:N"))
    text = lay_text(named, align="left", baseline="top", dx=4, fontSize=layout.size)
    return [rule, *text]


def _foot(weeks: pl.DataFrame, layout: BeginLayout) -> list[alt.Chart]:
    base = frame_chart(weeks).transform_calculate(y=str(layout.height - 10))
    named = base.encode(x=layout.x("w"), y=layout.y("y"), text=alt.Text("label:N"))
    line = (
        frame_chart(pl.DataFrame({"y": [layout.height - 26]}))
        .mark_rule(stroke=RULE, strokeWidth=0.6)
        .encode(x=alt.XValue(0), x2=alt.X2Value(layout.plot), y=layout.y("y"))
    )
    return [line, *lay_text(named, fill=INK2, baseline="middle", fontSize=layout.size)]
