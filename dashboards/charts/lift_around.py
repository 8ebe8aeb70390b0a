"""What lies around the level of a lift: years, layoffs, injuries, changes of gym, weekly sets."""

import altair as alt
import polars as pl

from dashboards.charts.axes import frame_chart
from dashboards.charts.lift_layout import LiftLayout, of_lift
from dashboards.theme.chart import lay_text
from dashboards.theme.colours import INK, INK2, INK3, LOSS, RULE

HIGHEST_COMB = 16
EVENT_Y, LINE_Y = 8, 22


def lay_columns(events: pl.DataFrame, layout: LiftLayout, colour: str) -> alt.Chart:
    """Stretches of the record as columns from top to foot of the scale."""
    return (
        frame_chart(events)
        .transform_calculate(y0=str(layout.top), y1=str(layout.foot))
        .mark_rect(fill=colour, stroke=None)
        .encode(x=layout.x("w0"), x2=alt.X2("w1"), y=layout.y("y0"), y2=alt.Y2("y1"))
    )


def lay_years(years: pl.DataFrame, layout: LiftLayout) -> list[alt.Chart]:
    """Hairlines where years begin, and their names at the foot."""
    base = frame_chart(years).transform_calculate(
        y0=str(layout.top), y1=str(layout.comb), yt=str(layout.height - 6)
    )
    line = base.mark_rule(stroke=RULE, strokeWidth=0.6).encode(
        x=layout.x("w"), y=layout.y("y0"), y2=alt.Y2("y1")
    )
    named = base.encode(x=layout.x("w"), y=layout.y("yt"), text=alt.Text("label:N"))
    return [line, *lay_text(named, fill=INK2, fontSize=layout.note)]


def lay_faults(lines: pl.DataFrame, layout: LiftLayout) -> list[alt.Chart]:
    """Changes of gym: a line through everything, named at its top."""
    base = frame_chart(lines).transform_calculate(
        y0=str(layout.top), y1=str(layout.comb), yt=str(LINE_Y)
    )
    rule = base.mark_rule(stroke=INK, strokeWidth=1).encode(
        x=layout.x("w"), y=layout.y("y0"), y2=alt.Y2("y1")
    )
    named = base.encode(x=layout.x("w"), y=layout.y("yt"), text=alt.Text("label:N"))
    text = lay_text(
        named, align="left", fontStyle="italic", baseline="middle", fontSize=layout.note
    )
    return [rule, *text]


def lay_injury_names(names: pl.DataFrame, layout: LiftLayout) -> list[alt.Chart]:
    """Names of the injuries above their columns, where they fit."""
    made: list[alt.Chart] = []
    for align in ("left", "center", "right"):
        mine = names.filter(pl.col("align") == align)
        base = frame_chart(mine).encode(
            x=layout.x("w"), y=alt.YValue(EVENT_Y), text=alt.Text("label:N")
        )
        made += lay_text(base, align=align, fill=LOSS, baseline="middle", fontSize=layout.note)
    return made


def lay_comb(sets: pl.DataFrame, now: pl.DataFrame, layout: LiftLayout) -> list[alt.Chart]:
    """Weekly sets as teeth; the fullest week is as high as the comb."""
    base = (
        of_lift(sets)
        .transform_joinaggregate(most="max(n)")
        .transform_calculate(
            x="datum.w + 0.5",
            y0=str(layout.comb),
            y1=f"{layout.comb} - {HIGHEST_COMB} * datum.n / datum.most",
        )
    )
    wide = max(0.6, 0.7 * layout.plot / layout.weeks)
    teeth = base.mark_rule(stroke=INK3, strokeWidth=min(wide, 3)).encode(
        x=layout.x("x"), y=layout.y("y0"), y2=alt.Y2("y1")
    )
    place, align = (layout.plot + 10, "left") if layout.now_right else (layout.plot, "right")
    named = (
        of_lift(now)
        .transform_calculate(y=str(layout.comb - (4 if layout.now_right else HIGHEST_COMB + 8)))
        .encode(x=alt.XValue(place), y=layout.y("y"), text=alt.Text("comb:N"))
    )
    text = lay_text(named, align=align, baseline="middle", fill=INK2, fontSize=layout.note)
    return [teeth, *text]
