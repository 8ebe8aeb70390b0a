"""Where the supported range lay at each training age, of the chosen muscle."""

from dataclasses import dataclass

import altair as alt
import polars as pl

from dashboards.charts.axes import frame_chart
from dashboards.charts.plot import Plot, lay_hairlines, lay_note, lay_places
from dashboards.charts.ranges import lay_lozenges, lay_ranges, row_at
from dashboards.charts.volume_response import CHOSEN, MUSCLE
from dashboards.theme.chart import lay_text
from dashboards.theme.colours import AGE_BANDS, INK, INK2, INK3, PAPER, PRIOR, role

FIRST_ROW, ROW, FOOT = 30, 74, 8
BAR = 10


@dataclass(frozen=True)
class AgeFrames:
    """Frames for all muscles; the signal ``muscle`` chooses.

    bands : muscle, i (row from 1), k (age tone), ages, sub, text, open (1: no limit seen), lo, hi,
    elo, ehi (where the edges may lie), seen (how far the record reaches), best.
    ticks : muscle, x, k, i (blocks). published : muscle, lo, hi. refused : muscle, reason.
    rows : most bands that a muscle has.
    """

    bands: pl.DataFrame
    ticks: pl.DataFrame
    published: pl.DataFrame
    refused: pl.DataFrame
    rows: int


def draw_ages(
    frames: AgeFrames, places: pl.DataFrame, said: tuple[str, str], opening: str, is_wide: bool
) -> alt.LayerChart:
    """Rows of ranges; ``said``: the name of the published row and the title of the axis."""
    published, x_title = said
    left, width = (96, 292) if is_wide else (92, 262)
    end = float(places["v"].max() or 0)  # type: ignore[arg-type]
    height = FIRST_ROW + ROW * max(frames.rows, 1) + FOOT
    plot = Plot(width, height, (0.0, end), (0.0, 1.0), left=left, right=12, top=0, bottom=46)
    middle = f"{FIRST_ROW} + (datum.i - 1) * {ROW} + 34"
    bands = (
        frame_chart(frames.bands)
        .transform_filter(CHOSEN)
        .transform_calculate(
            row=middle,
            tone=f"{[role(name) for name in AGE_BANDS]}[datum.k - 1]",
            edge="datum.tone",
            mid="(datum.lo + datum.hi) / 2",
        )
    )
    layers = [
        *lay_hairlines(places, plot),
        *_published(frames, plot, published),
        *lay_ranges(bands, plot, BAR, end),
        *_best(bands, plot),
        *_blocks(frames, plot, middle),
        *_texts(bands, plot),
        *lay_places(places, plot),
        *lay_note(x_title, plot.width, plot.total - 12, plot, align="right"),
        *_refused(frames, plot),
    ]
    layers[0] = layers[0].add_params(alt.param(name=MUSCLE, value=opening))
    return plot.stack(layers)


def _published(frames: AgeFrames, plot: Plot, name: str) -> list[alt.Chart]:
    base = frame_chart(frames.published).transform_filter(CHOSEN)
    return [
        *lay_lozenges(base, plot, alt.YValue(FIRST_ROW / 2)),
        *lay_note(name, -plot.left, FIRST_ROW / 2, plot, fill=PRIOR, baseline="middle"),
    ]


def _best(bands: alt.Chart, plot: Plot) -> list[alt.Chart]:
    mark = bands.mark_point(
        shape="diamond", size=44, fill=PAPER, stroke=INK, strokeWidth=0.8, filled=True, opacity=1
    )
    return [mark.encode(x=plot.x("best"), y=row_at("row", plot))]


def _blocks(frames: AgeFrames, plot: Plot, middle: str) -> list[alt.Chart]:
    """A tick for each block of that training age, below its bar."""
    base = (
        frame_chart(frames.ticks)
        .transform_filter(CHOSEN)
        .transform_calculate(y0=f"{middle} + 10", y1=f"{middle} + 16")
    )
    line = base.mark_rule(stroke=INK2, strokeWidth=0.9)
    return [line.encode(x=plot.x("x"), y=row_at("y0", plot), y2=alt.Y2("y1"))]


def _texts(bands: alt.Chart, plot: Plot) -> list[alt.Chart]:
    made: list[alt.Chart] = []
    for field, dy, fill, size in (("ages", -7, INK, 12), ("sub", 8, INK2, plot.note)):
        named = bands.encode(
            x=alt.XValue(-plot.left), y=row_at("row", plot), text=alt.Text(f"{field}:N")
        )
        made += lay_text(named, align="left", baseline="middle", dy=dy, fill=fill, fontSize=size)
    over = bands.encode(x=plot.x("mid"), y=row_at("row", plot), text=alt.Text("text:N"))
    mark = {"align": "center", "baseline": "middle", "dy": -14, "fontSize": 12, "fontWeight": 600}
    return [*made, *lay_text(over, halo=True, **mark)]


def _refused(frames: AgeFrames, plot: Plot) -> list[alt.Chart]:
    base = frame_chart(frames.refused).transform_filter(CHOSEN)
    dotted = base.mark_rule(stroke=INK3, strokeWidth=1.2, strokeDash=[1, 4]).encode(
        x=alt.XValue(0), x2=alt.X2Value(plot.width), y=alt.YValue(FIRST_ROW + 34)
    )
    return [dotted]
