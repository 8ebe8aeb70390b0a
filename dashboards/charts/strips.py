"""Strips: weekly sets per muscle as beds of rock, with lanes of events above them.

One view with a computed baseline per muscle, so that events can cross all beds and a peak may rise
into the row above. The same layers serve the whole record and the span that the reader chose; the
window of weeks is two numbers there, two signals here.
"""

from dataclasses import dataclass
from typing import Any

import altair as alt
import polars as pl

from dashboards.charts.axes import at_x, at_y, frame_chart, look_up
from dashboards.theme.chart import NOTE, ROW_NAME, lay_text
from dashboards.theme.colours import FAMILIES, INK, INK2, INK3, PAPER, RULE, TIERS, rock

# A bed may rise at most this many rows high, so that the name above stays readable.
HIGHEST_ROWS = 1.12
# A bed that is cut there has a notch below its top: px from the top to both its edges.
NOTCH = (2.0, 3.6)


@dataclass(frozen=True)
class StripLayout:
    """Where things lie, in px, and which weeks are shown.

    ``first`` and ``end`` are expressions: numbers for the whole record, signal names for a span.
    """

    left: int
    plot: int
    right: int
    row: int
    gap: int
    top: int
    below: int
    rows: int
    families: int
    first: str
    end: str
    row_sets: float
    note: int = NOTE
    name: int = ROW_NAME

    @property
    def strips_end(self) -> float:
        return self.top + self.rows * self.row + (self.families - 1) * self.gap

    @property
    def height(self) -> float:
        return self.strips_end + self.below

    @property
    def domain(self) -> list[Any]:
        if self.first.isidentifier():
            return [alt.ExprRef(self.first), alt.ExprRef(self.end)]
        return [float(self.first), float(self.end)]

    def x(self, field: str) -> alt.X:
        return at_x(field, self.domain)

    def y(self, field: str) -> alt.Y:
        return at_y(field, self.height)

    @property
    def baseline(self) -> str:
        """Expression for the foot of a row, from its m and f."""
        return f"{self.top} + (datum.m + 1) * {self.row} + datum.f * {self.gap}"

    def within(self, chart: alt.Chart) -> alt.Chart:
        """Only what lies in the window, cut to it: x0 and x1 from w0 and w1."""
        return chart.transform_filter(
            f"datum.w1 > {self.first} && datum.w0 < {self.end}"
        ).transform_calculate(x0=f"max(datum.w0, {self.first})", x1=f"min(datum.w1, {self.end})")


def lay_weeks(steps: pl.DataFrame, layout: StripLayout) -> alt.Chart:
    """The steps from the window's first week to the one in which its last step ends."""
    return frame_chart(steps).transform_filter(
        f"datum.w >= {layout.first} && datum.w <= {layout.end}"
    )


def lay_beds(steps: pl.DataFrame, layout: StripLayout) -> list[alt.Chart]:
    """The beds: three tones split at the edges of the range, and the top edge in the deep tone.

    What is higher than a bed may rise is cut, with a notch of paper below its top.

    All beds of a family are one area: after each stretch, and at the end of the window, it has no
    height, so that what leads from one bed to the next covers nothing. A path for every stretch of
    every muscle takes a browser several times as long.

    ``steps``: m, f, w, v, lo, hi, c (1 closes a run, 2 breaks the line), by m, then w; sets in
    tenths.
    """
    scale = f"{layout.row} / {10 * layout.row_sets}"
    highest = 10 * layout.row_sets * HIGHEST_ROWS
    base = (
        lay_weeks(steps, layout)
        .transform_calculate(y0=layout.baseline, top=f"min(datum.v, {highest})")
        .transform_calculate(
            bed=f"datum.c || datum.w >= {layout.end} ? 0 : datum.top",
            y4=f"datum.c == 2 ? null : datum.y0 - datum.top * {scale}",
        )
        .transform_calculate(
            y1=f"datum.y0 - min(datum.bed, datum.lo) * {scale}",
            y2=f"datum.y0 - min(datum.bed, datum.hi) * {scale}",
            y3=f"datum.y0 - datum.bed * {scale}",
            n0=f"datum.y3 + (datum.bed && datum.v > {highest} ? {NOTCH[0]} : 0)",
            n1=f"datum.y3 + (datum.bed && datum.v > {highest} ? {NOTCH[1]} : 0)",
        )
    )
    edges = {"below": ("y1", "y0"), "within": ("y2", "y1"), "above": ("y3", "y2")}
    # Every step has its number and its place: looked at once where it enters, never sorted.
    path: dict[str, Any] = {"interpolate": "step-after", "invalid": "filter", "order": False}
    areas = [
        base.mark_area(**path).encode(
            x=layout.x("w"),
            y=layout.y(edges[tier][0]),
            y2=alt.Y2(edges[tier][1]),
            fill=alt.Fill("f:N", scale=family_tones(tier)),
        )
        for tier in TIERS
    ]
    broken = {**path, "invalid": "break-paths-show-domains"}
    line = base.mark_line(strokeWidth=0.8, **broken).encode(
        x=layout.x("w"),
        y=layout.y("y4"),
        stroke=alt.Stroke("f:N", scale=family_tones("above")),
        detail=alt.Detail("m:N"),
    )
    notch = base.mark_area(fill=PAPER, **path).encode(
        x=layout.x("w"), y=layout.y("n0"), y2=alt.Y2("n1")
    )
    return [*areas, notch, line]


def family_tones(tier: str) -> alt.Scale:
    """From a family's number to its tone."""
    return look_up([rock(family, tier) for family in FAMILIES])


def lay_cuts(cuts: pl.DataFrame, layout: StripLayout) -> list[alt.Chart]:
    """Layoffs: the beds are cut apart; its name is written where the cut is wide enough.

    ``cuts``: w0, w1, label.
    """
    top, foot = str(layout.top - layout.row * 0.2), str(layout.strips_end)
    base = layout.within(frame_chart(cuts)).transform_calculate(
        y0=top,
        y1=foot,
        middle=f"({top} + {foot}) / 2 + {layout.strips_end / 4}",
        px=f"(datum.x1 - datum.x0) * {layout.plot} / ({layout.end} - {layout.first})",
        xm="(datum.x0 + datum.x1) / 2",
    )
    paper = base.mark_rect(fill=PAPER, stroke=None).encode(
        x=layout.x("x0"), x2=alt.X2("x1"), y=layout.y("y0"), y2=alt.Y2("y1")
    )
    edges = [
        base.mark_rule(stroke=INK3, strokeWidth=0.7, strokeDash=[1, 3]).encode(
            x=layout.x(side), y=layout.y("y0"), y2=alt.Y2("y1")
        )
        for side in ("x0", "x1")
    ]
    named = base.transform_filter("datum.px >= 16").encode(
        x=layout.x("xm"), y=layout.y("middle"), text=alt.Text("label:N")
    )
    return [paper, *edges, *lay_text(named, angle=270, fill=INK2, fontSize=layout.note)]


def lay_hatch(unlogged: pl.DataFrame, layout: StripLayout) -> list[alt.Chart]:
    """Weeks without record: lines at 45 degrees, 4 px apart, cut to the stretch."""
    top, foot = layout.top - layout.row * 0.2, layout.strips_end
    per_px = f"({layout.end} - {layout.first}) / {layout.plot}"
    base = layout.within(frame_chart(unlogged)).transform_calculate(
        wide=f"(datum.x1 - datum.x0) / ({per_px})", y0=str(top), y1=str(foot)
    )
    lines = (
        base.transform_calculate(at=f"sequence({top} + 4, {foot} + datum.wide, 4)")
        .transform_flatten(["at"])
        .transform_calculate(
            xa=f"datum.x0 + max(0, datum.at - {foot}) * {per_px}",
            ya=f"min(datum.at, {foot})",
            xb=f"datum.x0 + min(datum.wide, datum.at - {top}) * {per_px}",
            yb=f"max(datum.at - datum.wide, {top})",
        )
    )
    paper = base.mark_rect(fill=PAPER, stroke=None).encode(
        x=layout.x("x0"), x2=alt.X2("x1"), y=layout.y("y0"), y2=alt.Y2("y1")
    )
    drawn = lines.mark_rule(stroke=INK3, strokeWidth=0.6).encode(
        x=layout.x("xa"), x2=alt.X2("xb"), y=layout.y("ya"), y2=alt.Y2("yb")
    )
    return [paper, drawn]


def lay_years(years: pl.DataFrame, layout: StripLayout, top: float) -> list[alt.Chart]:
    """Hairlines where years begin, and their names at the foot. ``years``: w, label."""
    base = (
        frame_chart(years)
        .transform_filter(f"datum.w > {layout.first} && datum.w < {layout.end}")
        .transform_calculate(y0=str(top), y1=str(layout.height - 16), yt=str(layout.height - 6))
    )
    lines = base.mark_rule(stroke=RULE, strokeWidth=0.6).encode(
        x=layout.x("w"), y=layout.y("y0"), y2=alt.Y2("y1")
    )
    named = base.encode(x=layout.x("w"), y=layout.y("yt"), text=alt.Text("label:N"))
    return [lines, *lay_text(named, fill=INK2)]


def lay_names(muscles: pl.DataFrame, layout: StripLayout) -> list[alt.Chart]:
    """Names of the muscles, right-aligned before their beds. ``muscles``: m, f, name."""
    base = frame_chart(muscles).transform_calculate(y=f"{layout.baseline} - 5")
    named = base.encode(x=alt.XValue(-8), y=layout.y("y"), text=alt.Text("name:N"))
    return lay_text(named, align="right", fontSize=layout.name, baseline="alphabetic")


def lay_column(
    muscles: pl.DataFrame, layout: StripLayout, field: str, right: int, **mark: Any
) -> list[alt.Chart]:
    """One column of numbers right of the beds, its right edge ``right`` px after the plot."""
    base = frame_chart(muscles).transform_calculate(y=f"{layout.baseline} - 5")
    named = base.encode(
        x=alt.XValue(layout.plot + right), y=layout.y("y"), text=alt.Text(f"{field}:N")
    )
    return lay_text(named, align="right", fontSize=layout.name, baseline="alphabetic", **mark)


def lay_underlines(under: pl.DataFrame, layout: StripLayout) -> list[alt.Chart]:
    """The chosen muscles of a priority phase: a 2 px line under their beds."""
    line = (
        layout.within(frame_chart(under))
        .transform_calculate(y=f"{layout.baseline} + 1")
        .mark_rule(stroke=INK, strokeWidth=2)
        .encode(x=layout.x("x0"), x2=alt.X2("x1"), y=layout.y("y"))
    )
    return [line]
