"""The shape of the response beside published ones, all of them 1 at the same weekly sets."""

from dataclasses import dataclass

import altair as alt
import polars as pl

from dashboards.charts.axes import frame_chart
from dashboards.charts.plot import Plot, lay_note, lay_places, lay_values
from dashboards.charts.volume_response import CHOSEN, MUSCLE
from dashboards.theme.chart import lay_text
from dashboards.theme.colours import INK3, PRIOR, PROGRESS, PROGRESS_BAND

LOWEST, HIGHEST = 0.0, 2.0


@dataclass(frozen=True)
class ShapeFrames:
    """Frames of the drawing; the signal ``muscle`` chooses.

    own : muscle, x (sets), y (share), lo, hi, only where the muscle was trained.
    refused : muscle, reason (no line of its own).
    published : line (its dash, a number), x, y. ends : line, x, y, label.
    values, places : v, label. end : last weekly sets shown.
    """

    own: pl.DataFrame
    refused: pl.DataFrame
    published: pl.DataFrame
    ends: pl.DataFrame
    values: pl.DataFrame
    places: pl.DataFrame
    end: float


@dataclass(frozen=True)
class ShapeWords:
    """Words of the drawing."""

    y_title: str
    x_title: str


def draw_shape(
    frames: ShapeFrames, said: ShapeWords, opening: str, is_wide: bool
) -> alt.LayerChart:
    """The picture of the chosen muscle: 1200 x 300 px wide, 366 x 300 px on a phone."""
    domain, y_domain = (0.0, frames.end), (LOWEST, HIGHEST)
    left, right, width = (46, 300, 854) if is_wide else (38, 10, 318)
    plot = Plot(width, 240, domain, y_domain, left=left, right=right, top=30, bottom=40)
    layers = [
        *lay_values(frames.values, plot),
        *_own(frames, plot),
        *_published(frames, plot),
        *_names(frames, plot, is_wide),
        *lay_places(frames.places, plot),
        *lay_note(said.y_title, -plot.left, 8, plot),
        *lay_note(said.x_title, plot.width, plot.total - 8, plot, align="right"),
        *_refused(frames, plot),
    ]
    layers[0] = layers[0].add_params(alt.param(name=MUSCLE, value=opening))
    return plot.stack(layers)


def _own(frames: ShapeFrames, plot: Plot) -> list[alt.Chart]:
    base = frame_chart(frames.own).transform_filter(CHOSEN)
    band = base.transform_calculate(
        low=f"clamp(datum.lo, {LOWEST}, {HIGHEST})", high=f"clamp(datum.hi, {LOWEST}, {HIGHEST})"
    )
    return [
        band.mark_area(fill=PROGRESS_BAND, fillOpacity=0.9).encode(
            x=plot.x("x"), y=plot.y("low"), y2=alt.Y2("high")
        ),
        base.transform_filter(f"datum.y >= {LOWEST} && datum.y <= {HIGHEST}")
        .mark_line(stroke=PROGRESS, strokeWidth=2.2)
        .encode(x=plot.x("x"), y=plot.y("y")),
    ]


def _published(frames: ShapeFrames, plot: Plot) -> list[alt.Chart]:
    made = []
    for line, dash in ((0, [5, 4]), (1, [2, 3])):
        own = frame_chart(frames.published).transform_filter(f"datum.line == {line}")
        mark = own.mark_line(stroke=PRIOR, strokeWidth=1.4, strokeDash=dash)
        made.append(mark.encode(x=plot.x("x"), y=plot.y("y")))
    return made


def _names(frames: ShapeFrames, plot: Plot, is_wide: bool) -> list[alt.Chart]:
    """Names at the ends of the published lines; a phone has them in its legend only."""
    if not is_wide:
        return []
    layers: list[alt.Chart] = []
    for line, dy in ((0, 7), (1, -7)):
        base = frame_chart(frames.ends).transform_filter(f"datum.line == {line}")
        named = base.encode(x=plot.x("x"), y=plot.y("y"), text=alt.Text("label:N"))
        mark = {"align": "left", "dx": 8, "dy": dy, "baseline": "middle"}
        layers += lay_text(named, halo=True, fill=PRIOR, fontSize=plot.note, **mark)
    return layers


def _refused(frames: ShapeFrames, plot: Plot) -> list[alt.Chart]:
    base = frame_chart(frames.refused).transform_filter(CHOSEN)
    named = base.encode(
        x=alt.XValue(plot.width / 2), y=alt.YValue(plot.foot - 14), text=alt.Text("reason:N")
    )
    return lay_text(named, halo=True, fill=INK3, fontStyle="italic", fontSize=plot.note + 1)
