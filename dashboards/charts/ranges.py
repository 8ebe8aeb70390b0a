"""A range as the grammar of marks has it: thick bar, edges, whisker; the published one hollow."""

from typing import Any

import altair as alt

from dashboards.charts.plot import Plot
from dashboards.theme.colours import INK2, PRIOR


def row_at(field: str, plot: Plot) -> alt.Y:
    """Vertical place in px from the top of the drawing."""
    scale = alt.Scale(domain=[plot.total, 0], nice=False, zero=False)
    return alt.Y(f"{field}:Q", scale=scale, axis=None)


def lay_ranges(rows: alt.Chart, plot: Plot, thick: float, end: float) -> list[alt.Chart]:
    """Bars with their whiskers.

    ``rows`` has row (px), lo, hi, open (1: no upper edge), elo, ehi, seen, tone (fill) and edge
    (outline). Past ``seen`` the record does not reach: the whisker goes on dotted. An open bar has
    no line at its upper end. ``end`` is the last value shown.
    """
    base = rows.transform_calculate(
        y0=f"datum.row - {thick / 2}",
        y1=f"datum.row + {thick / 2}",
        solid=f"min(datum.ehi, datum.seen, {end})",
        last=f"min(datum.ehi, {end})",
    )
    line: dict[str, Any] = {"strokeWidth": 1, "stroke": INK2}
    whisker = base.mark_rule(**line).encode(
        x=plot.x("elo"), x2=alt.X2("solid"), y=row_at("row", plot)
    )
    dotted = (
        base.transform_filter("datum.last > datum.seen")
        .mark_rule(strokeDash=[1, 3], **line)
        .encode(x=plot.x("seen"), x2=alt.X2("last"), y=row_at("row", plot))
    )
    fill, stroke = alt.Fill("tone:N", scale=None), alt.Stroke("edge:N", scale=None)
    bar = base.mark_rect(opacity=1).encode(
        x=plot.x("lo"), x2=alt.X2("hi"), y=row_at("y0", plot), y2=alt.Y2("y1"), fill=fill
    )
    flat = [
        base.mark_rule(strokeWidth=0.8).encode(
            x=plot.x("lo"), x2=alt.X2("hi"), y=row_at(side, plot), stroke=stroke
        )
        for side in ("y0", "y1")
    ]
    ends = [
        chart.mark_rule(strokeWidth=1).encode(
            x=plot.x(side), y=row_at("y0", plot), y2=alt.Y2("y1"), stroke=stroke
        )
        for side, chart in (("lo", base), ("hi", base.transform_filter("datum.open == 0")))
    ]
    return [whisker, dotted, bar, *flat, *ends]


def lay_lozenges(rows: alt.Chart, plot: Plot, y: Any, dashed: bool = True) -> list[alt.Chart]:
    """The published range: hollow lozenges at ``lo`` and ``hi``, joined by a dashed line."""
    made = []
    if dashed:
        line = rows.mark_rule(stroke=PRIOR, strokeWidth=1.2, strokeDash=[4, 3])
        made.append(line.encode(x=plot.x("lo"), x2=alt.X2("hi"), y=y))
    for side in ("lo", "hi"):
        mark = rows.mark_point(shape="diamond", size=34, stroke=PRIOR, strokeWidth=1.2, fill=None)
        made.append(mark.encode(x=plot.x(side), y=y))
    return made
