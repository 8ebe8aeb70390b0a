"""Gain against training age of the chosen lift, beside the published law, on a log-time axis."""

from dataclasses import dataclass

import altair as alt
import polars as pl

from dashboards.charts.forest import LIFT
from dashboards.charts.lift_layout import of_lift
from dashboards.charts.plot import Plot, lay_hairlines, lay_note, lay_places, lay_values
from dashboards.theme.chart import lay_text
from dashboards.theme.colours import INK, INK3, PRIOR, RULE


@dataclass(frozen=True)
class GrowthFrames:
    """Gains of all lifts in %; the signal ``lift`` chooses.

    rows : e, x (log of the training age), y, lo, hi (own gain and its 90 % interval), law, law_lo,
    law_hi, hover. refused : e, reason. years : v, label. values : v, label.
    ages, domain : ends of the two axes.
    """

    rows: pl.DataFrame
    refused: pl.DataFrame
    years: pl.DataFrame
    values: pl.DataFrame
    ages: tuple[float, float]
    domain: tuple[float, float]


def draw_growth(
    frames: GrowthFrames, said: tuple[str, str], chosen: str, is_wide: bool
) -> alt.LayerChart:
    """The drawing for 1200 or 366 px; ``said``: titles of the axes."""
    y_title, x_title = said
    plot = (
        Plot(700, 250, frames.ages, frames.domain, left=46, right=454)
        if is_wide
        else Plot(322, 220, frames.ages, frames.domain, left=38, right=6)
    )
    rows = of_lift(frames.rows)
    layers = [
        *lay_hairlines(frames.years, plot),
        *lay_values(frames.values, plot),
        *_own(rows, plot),
        *_law(rows, plot),
        *_points(rows, plot),
        *_refused(frames.refused, plot),
        *lay_places(frames.years, plot),
        *lay_note(y_title, -plot.left, 8, plot),
        *lay_note(x_title, plot.width, plot.total - 8, plot, align="right"),
    ]
    layers[0] = layers[0].add_params(alt.param(name=LIFT, value=chosen))
    return plot.stack(layers)


def _own(rows: alt.Chart, plot: Plot) -> list[alt.Chart]:
    band = rows.mark_area(fill=RULE, opacity=0.6).encode(
        x=plot.x("x"), y=plot.y("lo"), y2=alt.Y2("hi")
    )
    return [band, rows.mark_line(stroke=INK, strokeWidth=2).encode(x=plot.x("x"), y=plot.y("y"))]


def _law(rows: alt.Chart, plot: Plot) -> list[alt.Chart]:
    """Dashed where the printed range has its middle, dotted where it ends."""
    dashes: tuple[tuple[str, list[int], float], ...] = (
        ("law", [5, 4], 1.6),
        ("law_lo", [1, 3], 0.9),
        ("law_hi", [1, 3], 0.9),
    )
    return [
        rows.mark_line(stroke=PRIOR, strokeDash=dash, strokeWidth=width).encode(
            x=plot.x("x"), y=plot.y(field)
        )
        for field, dash, width in dashes
    ]


def _points(rows: alt.Chart, plot: Plot) -> list[alt.Chart]:
    mark = rows.mark_point(size=26, filled=True, opacity=1, fill=INK, stroke=None)
    tip = alt.Tooltip("hover:N")
    return [mark.encode(x=plot.x("x"), y=plot.y("y"), tooltip=tip)]


def _refused(refused: pl.DataFrame, plot: Plot) -> list[alt.Chart]:
    """Why the chosen lift has no line, in italics over the axes."""
    base = of_lift(refused).encode(
        x=alt.XValue(plot.width / 2),
        y=alt.YValue(plot.top + plot.height / 2),
        text=alt.Text("reason:N"),
    )
    mark = {"fill": INK3, "fontStyle": "italic", "align": "center", "fontSize": plot.note + 1}
    return lay_text(base, halo=True, **mark)
