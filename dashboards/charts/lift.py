"""One lift over the whole record: level on its band, best sets, rests, events, weekly sets."""

from typing import Any

import altair as alt
import polars as pl

from dashboards.charts.axes import text_width
from dashboards.charts.forest import LIFT
from dashboards.charts.lift_around import (
    LINE_Y,
    lay_columns,
    lay_comb,
    lay_faults,
    lay_injury_names,
    lay_years,
)
from dashboards.charts.lift_layout import AroundFrames, LiftFrames, LiftLayout, of_lift
from dashboards.theme.chart import lay_text, stack_layers
from dashboards.theme.colours import (
    INK,
    INK2,
    INK3,
    LOSS,
    LOSS_BAND,
    PROGRESS,
    PROGRESS_BAND,
    RULE,
    WASH,
)

# Least room between names in one line, px.
NAMES_APART = 8
# Line and band by the verdict on the last years: rising, falling, still, either way, refused.
LINES = (PROGRESS, LOSS, INK, INK, INK)
BANDS = (PROGRESS_BAND, LOSS_BAND, RULE, RULE, RULE)


def draw_lift(
    frames: LiftFrames, around: AroundFrames, layout: LiftLayout, chosen: str, plateau: str
) -> alt.LayerChart:
    """The chosen lift; ``plateau`` names a stretch that stood still."""
    level = _coloured(frames.level, frames.now)
    layers: list[alt.Chart] = [
        lay_columns(around.layoffs, layout, WASH),
        lay_columns(around.injury, layout, LOSS_BAND),
        *_guides(frames.guides, layout),
        *lay_years(around.years, layout),
        *_band(level, layout),
        *lay_faults(around.lines, layout),
        _dots(frames.dots, layout),
        *_level(level, layout),
        *_rests(frames.rests, layout),
        *lay_injury_names(around.injury_names, layout),
        *_plateaus(frames, layout, plateau),
        *lay_comb(frames.sets, frames.now, layout),
        *_now(frames.now, layout),
    ]
    layers[0] = layers[0].add_params(alt.param(name=LIFT, value=chosen))
    return stack_layers(layers, (layout.plot, layout.height), layout.left, layout.right)


def _coloured(frame: pl.DataFrame, now: pl.DataFrame) -> alt.Chart:
    """Rows of the chosen lift with its verdict, that colours line and band."""
    verdicts = dict(now.select("e", "k").iter_rows())
    most = max(verdicts, default=-1) + 1
    by_lift = [verdicts.get(e, 4) for e in range(most)]
    return of_lift(frame).transform_calculate(
        ink=f"{list(LINES)}[{by_lift}[datum.e]]", tint=f"{list(BANDS)}[{by_lift}[datum.e]]"
    )


def _guides(guides: pl.DataFrame, layout: LiftLayout) -> list[alt.Chart]:
    base = of_lift(guides).transform_calculate(y=layout.up("u"))
    line = base.mark_rule(stroke=RULE, strokeWidth=0.6).encode(
        x=alt.XValue(0), x2=alt.X2Value(layout.plot), y=layout.y("y")
    )
    named = base.encode(x=alt.XValue(-6), y=layout.y("y"), text=alt.Text("label:N"))
    text = lay_text(named, align="right", baseline="middle", fill=INK2, fontSize=layout.note)
    return [line, *text]


def _band(level: alt.Chart, layout: LiftLayout) -> list[alt.Chart]:
    """The band where the lift was done; only its edges, dotted, where it rested."""
    half = f"datum.h * {layout.tall / 1000}"
    base = level.transform_calculate(
        y0=f"{layout.up('u')} + {half}",
        y1=f"max({layout.up('u')} - {half}, {layout.top})",
    ).transform_calculate(y0=f"min(datum.y0, {layout.foot})")
    area = (
        base.transform_filter("datum.c == 0")
        .mark_area()
        .encode(
            x=layout.x("w"),
            y=layout.y("y1"),
            y2=alt.Y2("y0"),
            fill=alt.Fill("tint:N", scale=None),
            detail=alt.Detail("s:N"),
        )
    )
    edges = [
        base.transform_filter("datum.c == 1")
        .mark_line(strokeWidth=0.7, strokeDash=[1, 3])
        .encode(
            x=layout.x("w"),
            y=layout.y(edge),
            stroke=alt.Stroke("ink:N", scale=None),
            detail=alt.Detail("s:N"),
        )
        for edge in ("y0", "y1")
    ]
    return [area, *edges]


def _level(level: alt.Chart, layout: LiftLayout) -> list[alt.Chart]:
    base = level.transform_calculate(y=layout.up("u"))
    made = []
    for rests, dash in ((0, [1, 0]), (1, [4, 3])):
        made.append(
            base.transform_filter(f"datum.c == {rests}")
            .mark_line(strokeWidth=2 if rests == 0 else 1.2, strokeDash=dash)
            .encode(
                x=layout.x("w"),
                y=layout.y("y"),
                stroke=alt.Stroke("ink:N", scale=None),
                detail=alt.Detail("s:N"),
            )
        )
    return made


def _dots(dots: pl.DataFrame, layout: LiftLayout) -> alt.Chart:
    return (
        of_lift(dots)
        .transform_calculate(y=layout.up("u"), x="datum.w + 0.5")
        .mark_point(shape="circle", size=4, fill=INK3, stroke=None, opacity=0.8)
        .encode(x=layout.x("x"), y=layout.y("y"))
    )


def _rests(rests: pl.DataFrame, layout: LiftLayout) -> list[alt.Chart]:
    base = of_lift(rests).transform_calculate(y=layout.up("u"))
    named = base.encode(x=layout.x("w"), y=layout.y("y"), text=alt.Text("label:N"))
    return lay_text(named, halo=True, fill=INK2, dy=-8, fontSize=layout.note)


def place_plateau_names(frames: LiftFrames, layout: LiftLayout, name: str) -> pl.DataFrame:
    """Where plateaus are named, from the left: e, w.

    A name begins with its bar, further left where it would run past the drawing or, on a phone,
    into the fullest week named in the same line; left out where it would touch the one before.
    """
    px, long = layout.plot / layout.weeks, text_width(name, layout.note)
    comb = {} if layout.now_right else dict(frames.now.select("e", "comb").iter_rows())
    placed: list[tuple[int, float]] = []
    taken: dict[int, float] = {}
    for e, start in frames.plateaus.sort("e", "w0").select("e", "w0").iter_rows():
        named = comb.get(e)
        limit = layout.plot - (text_width(named, layout.note) + NAMES_APART if named else 0)
        x = min(start * px, limit - long)
        if x >= taken.get(e, 0.0):
            placed.append((e, round(x / px, 2)))
            taken[e] = x + long + NAMES_APART
    return pl.DataFrame(placed, schema={"e": pl.Int64, "w": pl.Float64}, orient="row")


def _plateaus(frames: LiftFrames, layout: LiftLayout, name: str) -> list[alt.Chart]:
    base = of_lift(frames.plateaus).transform_calculate(y=str(layout.plateau))
    bar = base.mark_rule(stroke=INK, strokeWidth=4).encode(
        x=layout.x("w0"), x2=alt.X2("w1"), y=layout.y("y")
    )
    names = of_lift(place_plateau_names(frames, layout, name)).transform_calculate(
        yt=str(layout.plateau + 10), label=f"'{name}'"
    )
    named = names.encode(x=layout.x("w"), y=layout.y("yt"), text=alt.Text("label:N"))
    return [bar, *lay_text(named, align="left", baseline="middle", fontSize=layout.note)]


def _now(now: pl.DataFrame, layout: LiftLayout) -> list[alt.Chart]:
    """The level when last done: its number, coloured as the line, and its interval below."""
    base = of_lift(now).transform_calculate(
        y=layout.up("u"),
        end="datum.w + 1",
        ink=f"{list(LINES)}[datum.k]",
        both="datum.label + ' (' + datum.text + ')'",
    )
    if not layout.now_right:
        named = base.encode(
            x=alt.XValue(layout.plot + layout.right), y=alt.YValue(LINE_Y), text=alt.Text("both:N")
        )
        return lay_text(named, align="right", halo=True, fontWeight=600, baseline="middle")
    made: list[alt.Chart] = []
    marks: tuple[tuple[str, int, dict[str, Any]], ...] = (
        ("label", -6, {"fontSize": 15, "fontWeight": 600}),
        ("text", 9, {"fontSize": layout.note}),
    )
    for field, dy, mark in marks:
        placed = base.encode(x=layout.x("end"), y=layout.y("y"), text=alt.Text(f"{field}:N"))
        made.append(
            placed.mark_text(align="left", baseline="middle", dx=10, dy=dy, **mark).encode(
                fill=alt.Fill("ink:N", scale=None)
            )
        )
    return made
