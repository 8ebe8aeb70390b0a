"""The drill core: the whole record upright for a phone, newest on top, one track a muscle."""

from dataclasses import dataclass

import altair as alt
import polars as pl

from dashboards.charts.axes import at_y, frame_chart
from dashboards.charts.lanes import Lanes
from dashboards.charts.strips import HIGHEST_ROWS, NOTCH, family_tones
from dashboards.theme.chart import lay_text, stack_layers
from dashboards.theme.colours import INK, INK2, INK3, LOSS, PAPER, RULE, TIERS

PX_PER_WEEK = 1.28
TOP, FOOT, NOTE = 62, 8, 10
LEFT, RIGHT, WIDTH = 40, 8, 366
FAMILY_GAP = 6


@dataclass(frozen=True)
class CoreLayout:
    """Tracks and weeks of the core, in px."""

    weeks: int
    tracks: int
    families: int
    row_sets: float

    @property
    def height(self) -> float:
        return TOP + self.weeks * PX_PER_WEEK + FOOT

    @property
    def track(self) -> float:
        room = WIDTH - LEFT - RIGHT - (self.families - 1) * FAMILY_GAP
        return round(room / self.tracks, 2)

    @property
    def track_start(self) -> str:
        """Expression for the left edge of a track, from its m and f."""
        return f"{LEFT} + datum.m * {self.track} + datum.f * {FAMILY_GAP}"

    def geometry(self) -> dict[str, object]:
        """Where tracks and weeks lie, for the pointer."""
        return {
            "is_upright": True,
            "left": LEFT,
            "top": TOP,
            "track": self.track,
            "gap": FAMILY_GAP,
            "per_week": PX_PER_WEEK,
            "weeks": self.weeks,
        }

    def depth(self, week: str) -> str:
        """Expression for the place of a week: going down is going back in time."""
        return f"{TOP} + ({self.weeks} - datum.{week}) * {PX_PER_WEEK}"

    def x(self, field: str) -> alt.X:
        scale = alt.Scale(domain=[0, WIDTH], nice=False, zero=False)
        return alt.X(f"{field}:Q", scale=scale, axis=None)

    def y(self, field: str) -> alt.Y:
        return at_y(field, self.height)


@dataclass(frozen=True)
class CoreFrames:
    """steps : m, f, s, w, v, lo, hi, c; muscles : m, f, name; lanes; years : w, label."""

    steps: pl.DataFrame
    muscles: pl.DataFrame
    lanes: Lanes
    years: pl.DataFrame


def draw_core(frames: CoreFrames, layout: CoreLayout) -> alt.LayerChart:
    """The core with its names slanted once at the top, years and events at the left."""
    layers: list[alt.Chart] = [
        *_years(frames.years, layout),
        *_tracks(frames.steps, layout),
        *_across(frames.lanes.cuts, layout),
        *_hatch(frames.lanes.unlogged, layout),
        _chosen(frames.lanes.under, layout),
        _deloads(frames.lanes.deloads, layout),
        *_injuries(frames.lanes.injury, layout),
        *_faults(frames.lanes.lines, layout),
        *_names(frames.muscles, layout),
    ]
    return stack_layers(layers, (WIDTH, layout.height))


def _tracks(steps: pl.DataFrame, layout: CoreLayout) -> list[alt.Chart]:
    # Sets of a full row fill nine tenths of a track, so that neighbours stay apart.
    scale = f"{0.9 * layout.track} / {10 * layout.row_sets}"
    highest = 10 * layout.row_sets * HIGHEST_ROWS
    base = (
        frame_chart(steps)
        .transform_calculate(x0=layout.track_start, top=f"min(datum.v, {highest})")
        .transform_calculate(
            y=layout.depth("w"),
            x1=f"datum.x0 + min(datum.top, datum.lo) * {scale}",
            x2=f"datum.x0 + min(datum.top, datum.hi) * {scale}",
            x3=f"datum.x0 + datum.top * {scale}",
            n0=f"datum.x3 - (datum.v > {highest} ? {NOTCH[0]} : 0)",
            n1=f"datum.x3 - (datum.v > {highest} ? {NOTCH[1]} : 0)",
        )
    )
    edges = {"below": ("x1", "x0"), "within": ("x2", "x1"), "above": ("x3", "x2")}
    areas = [
        # An upright area is traced from the newest week down: its step is the mirror of the line's.
        base.mark_area(interpolate="step-after", orient="horizontal").encode(
            x=layout.x(edges[tier][0]),
            x2=alt.X2(edges[tier][1]),
            y=layout.y("y"),
            fill=alt.Fill("f:N", scale=family_tones(tier)),
            detail=alt.Detail("s:N"),
        )
        for tier in TIERS
    ]
    line = base.mark_line(interpolate="step-before", strokeWidth=0.8).encode(
        x=layout.x("x3"),
        y=layout.y("y"),
        stroke=alt.Stroke("f:N", scale=family_tones("above")),
        detail=alt.Detail("s:N"),
        order=alt.Order("w:Q"),
    )
    notch = base.mark_area(fill=PAPER, interpolate="step-after", orient="horizontal").encode(
        x=layout.x("n0"), x2=alt.X2("n1"), y=layout.y("y"), detail=alt.Detail("s:N")
    )
    return [*areas, notch, line]


def _band(frame: pl.DataFrame, layout: CoreLayout) -> alt.Chart:
    """Weeks w0 to w1 across all tracks: ya (newer edge), yb, and the two sides."""
    return frame_chart(frame).transform_calculate(
        ya=layout.depth("w1"), yb=layout.depth("w0"), xl=str(LEFT - 2), xr=str(WIDTH - RIGHT + 2)
    )


def _paper(base: alt.Chart, layout: CoreLayout) -> alt.Chart:
    return base.mark_rect(fill=PAPER, stroke=None).encode(
        x=layout.x("xl"), x2=alt.X2("xr"), y=layout.y("ya"), y2=alt.Y2("yb")
    )


def _across(cuts: pl.DataFrame, layout: CoreLayout) -> list[alt.Chart]:
    base = _band(cuts, layout)
    edges = [
        base.mark_rule(stroke=INK3, strokeWidth=0.7, strokeDash=[1, 3]).encode(
            x=layout.x("xl"), x2=alt.X2("xr"), y=layout.y(side)
        )
        for side in ("ya", "yb")
    ]
    return [_paper(base, layout), *edges]


def _hatch(unlogged: pl.DataFrame, layout: CoreLayout) -> list[alt.Chart]:
    base = _band(unlogged, layout)
    lines = (
        base.transform_calculate(
            high="datum.yb - datum.ya",
            at="sequence(datum.xl - datum.yb + datum.ya + 4, datum.xr, 4)",
        )
        .transform_flatten(["at"])
        .transform_calculate(
            xa="max(datum.at, datum.xl)",
            xb="min(datum.at + datum.high, datum.xr)",
            y0="datum.yb - (max(datum.at, datum.xl) - datum.at)",
            y1="datum.yb - (min(datum.at + datum.high, datum.xr) - datum.at)",
        )
        .mark_rule(stroke=INK3, strokeWidth=0.6)
        .encode(x=layout.x("xa"), x2=alt.X2("xb"), y=layout.y("y0"), y2=alt.Y2("y1"))
    )
    return [_paper(base, layout), lines]


def _chosen(under: pl.DataFrame, layout: CoreLayout) -> alt.Chart:
    return (
        frame_chart(under)
        .transform_calculate(
            x=f"{layout.track_start} - 1.5", ya=layout.depth("w1"), yb=layout.depth("w0")
        )
        .mark_rule(stroke=INK, strokeWidth=2)
        .encode(x=layout.x("x"), y=layout.y("ya"), y2=alt.Y2("yb"))
    )


def _deloads(deloads: pl.DataFrame, layout: CoreLayout) -> alt.Chart:
    return (
        frame_chart(deloads)
        .transform_calculate(y=layout.depth("w"), xa=str(LEFT - 9), xb=str(LEFT - 5))
        .mark_rule(stroke=INK2, strokeWidth=0.8)
        .encode(x=layout.x("xa"), x2=alt.X2("xb"), y=layout.y("y"))
    )


def _injuries(injury: pl.DataFrame, layout: CoreLayout) -> list[alt.Chart]:
    base = (
        frame_chart(injury)
        .transform_calculate(
            ya=layout.depth("w1"), yb=layout.depth("w0"), x=str(LEFT - 13), xt=str(LEFT)
        )
        .transform_calculate(yt=f"max(datum.ya, {TOP + NOTE})")
    )
    bar = base.mark_rule(stroke=LOSS, strokeWidth=4).encode(
        x=layout.x("x"), y=layout.y("ya"), y2=alt.Y2("yb")
    )
    # The name of one that is still open stays below the names of the muscles.
    named = base.encode(x=layout.x("xt"), y=layout.y("yt"), text=alt.Text("label:N"))
    return [
        bar,
        *lay_text(named, halo=True, align="left", baseline="bottom", fill=LOSS, fontSize=NOTE),
    ]


def _faults(lines: pl.DataFrame, layout: CoreLayout) -> list[alt.Chart]:
    base = frame_chart(lines).transform_calculate(
        y=layout.depth("w"), xl=str(LEFT - 9), xr=str(WIDTH)
    )
    rule = base.mark_rule(stroke=INK, strokeWidth=1).encode(
        x=layout.x("xl"), x2=alt.X2("xr"), y=layout.y("y")
    )
    named = base.encode(x=layout.x("xr"), y=layout.y("y"), text=alt.Text("label:N"))
    text = lay_text(
        named, halo=True, align="right", baseline="bottom", dy=-2, fontStyle="italic", fontSize=10
    )
    return [rule, *text]


def _years(years: pl.DataFrame, layout: CoreLayout) -> list[alt.Chart]:
    base = frame_chart(years).transform_calculate(
        y=layout.depth("w"), xl=str(LEFT - 4), xr=str(WIDTH), xt="0"
    )
    rule = base.mark_rule(stroke=RULE, strokeWidth=0.6).encode(
        x=layout.x("xl"), x2=alt.X2("xr"), y=layout.y("y")
    )
    named = base.encode(x=layout.x("xt"), y=layout.y("y"), text=alt.Text("label:N"))
    text = lay_text(named, align="left", baseline="bottom", fill=INK2, fontSize=10)
    return [rule, *text]


def _names(muscles: pl.DataFrame, layout: CoreLayout) -> list[alt.Chart]:
    base = frame_chart(muscles).transform_calculate(
        x=f"{layout.track_start} + {layout.track / 2 - 2}", y=str(TOP - 4)
    )
    named = base.encode(x=layout.x("x"), y=layout.y("y"), text=alt.Text("name:N"))
    return lay_text(named, align="left", baseline="middle", angle=298, fontSize=11)
