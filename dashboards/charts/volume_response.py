"""Progress against weekly sets: the blocks of one muscle, its curve and the published average."""

import json
from dataclasses import dataclass

import altair as alt
import polars as pl

from dashboards.charts.axes import frame_chart, text_width
from dashboards.charts.plot import Plot, lay_note, lay_places, lay_values, write_expression
from dashboards.theme.chart import lay_text
from dashboards.theme.colours import (
    AGE_BANDS,
    INK2,
    INK3,
    PAPER,
    PRIOR,
    PROGRESS,
    PROGRESS_BAND,
    WASH,
    role,
)
from dashboards.theme.locale import date_format

MUSCLE = "muscle"
CHOSEN = f"datum.muscle == {MUSCLE}"
INSIDE = "datum.x >= datum.a && datum.x <= datum.b"
# Words at the curve's end, px above or below it, weight; a phone leaves the ages to the legend.
OWN_NAMES = (("own", 19, 8, 600), ("ages", 6, 21, 400))
OWN_NAME = (("own", 14, 9, 600),)
# The published name, px above its line; where own words are nearer than NAMES_APART, below it.
PUBLISHED_ABOVE, PUBLISHED_BELOW, NAMES_APART = 9, 11, 13


@dataclass(frozen=True)
class ResponseFrames:
    """Frames for all muscles; the signal ``muscle`` chooses.

    blocks : muscle, name, k (age tone), x (sets), y (% a month), age, day, weeks, u (used).
    curves : muscle, x, y, lo, hi, p (published), a, b (first and last x trained).
    rug : muscle, x. notes : muscle, y0, y1 (domain), r0, r1 (range), range (its name), cx, cy
    (end of the curve), cp (the published curve there), ages, px, py (end of the published curve),
    reason (of a refusal).
    values : muscle, v, label. places : v, label. end : last weekly sets shown.
    """

    blocks: pl.DataFrame
    curves: pl.DataFrame
    rug: pl.DataFrame
    notes: pl.DataFrame
    values: pl.DataFrame
    places: pl.DataFrame
    end: float


@dataclass(frozen=True)
class ResponseWords:
    """Words of the drawing; ``hover`` has places for weeks, date, muscle, sets, change, age."""

    y_title: str
    x_title: str
    rug: str
    own: str
    published: str
    hover: str


def response_plot(frames: ResponseFrames, is_wide: bool) -> Plot:
    """Where the plot lies: 760 x 430 on a wide page, 366 x 400 on a phone."""
    domain = (0.0, frames.end)
    if is_wide:
        return Plot(704, 350, domain, ("y_low", "y_high"), left=46, right=10, bottom=56)
    return Plot(318, 320, domain, ("y_low", "y_high"), left=38, right=10, bottom=56)


def draw_response(
    frames: ResponseFrames, said: ResponseWords, opening: str, is_wide: bool
) -> alt.LayerChart:
    """The picture of the chosen muscle; ``opening`` is the one shown first."""
    plot = response_plot(frames, is_wide)
    layers = [
        *_wash(frames, plot),
        *lay_values(frames.values, plot, CHOSEN),
        *_beyond(frames, plot),
        *_curve(frames, plot),
        *_dots(frames, plot, said),
        _rug(frames, plot),
        *_names(frames, plot, said, is_wide),
        *lay_places(frames.places, plot, 30),
        *lay_note(said.y_title, -plot.left, 8, plot),
        *lay_note(said.rug, 0, plot.total - 6, plot, fill=INK3, align="left"),
        *lay_note(said.x_title, plot.width, plot.total - 6, plot, align="right"),
        *_refused(frames, plot),
    ]
    layers[0] = layers[0].add_params(alt.param(name=MUSCLE, value=opening), *_domains(frames.notes))
    return plot.stack(layers)


def _domains(notes: pl.DataFrame) -> list[alt.Parameter]:
    """The ends of the vertical scale as signals that follow the muscle."""
    made = []
    for name, column in (("y_low", "y0"), ("y_high", "y1")):
        ends = json.dumps(dict(notes.select("muscle", column).iter_rows()))
        made.append(alt.param(name=name, expr=f"({ends})[{MUSCLE}]"))
    return made


def _chosen(frame: pl.DataFrame) -> alt.Chart:
    return frame_chart(frame).transform_filter(CHOSEN)


def _wash(frames: ResponseFrames, plot: Plot) -> list[alt.Chart]:
    """The supported range as a column, named inside."""
    base = _chosen(frames.notes).transform_filter("isValid(datum.r0)")
    across = {"y": alt.YValue(plot.top), "y2": alt.Y2Value(plot.foot)}
    return [base.mark_rect(fill=WASH).encode(x=plot.x("r0"), x2=alt.X2("r1"), **across)]


def _beyond(frames: ResponseFrames, plot: Plot) -> list[alt.Chart]:
    """Past what was trained only the two edges of the band go on, dotted, while in view."""
    made = []
    for side in ("datum.x <= datum.a", "datum.x >= datum.b"):
        for edge in ("lo", "hi"):
            seen = f"{side} && datum.{edge} > y_low && datum.{edge} < y_high"
            made.append(
                _chosen(frames.curves)
                .transform_filter(seen)
                .mark_line(stroke=INK3, strokeWidth=0.7, strokeDash=[1, 3])
                .encode(x=plot.x("x"), y=plot.y(edge))
            )
    return made


def _curve(frames: ResponseFrames, plot: Plot) -> list[alt.Chart]:
    chosen = _chosen(frames.curves)
    inside = chosen.transform_filter(INSIDE)
    return [
        inside.mark_area(fill=PROGRESS_BAND, fillOpacity=0.9).encode(
            x=plot.x("x"), y=plot.y("lo"), y2=alt.Y2("hi")
        ),
        chosen.transform_filter("datum.p > y_low && datum.p < y_high")
        .mark_line(stroke=PRIOR, strokeWidth=1.4, strokeDash=[5, 4])
        .encode(x=plot.x("x"), y=plot.y("p")),
        inside.mark_line(stroke=PROGRESS, strokeWidth=2.2).encode(x=plot.x("x"), y=plot.y("y")),
    ]


def _dots(frames: ResponseFrames, plot: Plot, said: ResponseWords) -> list[alt.Chart]:
    """A dot a block in the tone of its training age; past the edge a triangle stands at it."""
    tones = [role(name) for name in AGE_BANDS]
    hover = write_expression(
        said.hover,
        weeks="datum.weeks",
        date=f"utcFormat(datum.day * 864e5, '{date_format()}')",
        muscle="datum.name",
        sets="format(datum.x, '.1f')",
        change="format(datum.y, '+.2f')",
        age="format(datum.age, '.1f')",
    )
    base = _chosen(frames.blocks).transform_calculate(
        at="clamp(datum.y, y_low, y_high)",
        tone=f"{tones}[datum.k - 1]",
        hover=hover,
        shape="datum.y > y_high ? 'triangle-up' : datum.y < y_low ? 'triangle-down' : 'circle'",
    )
    across = {
        "x": plot.x("x"),
        "y": plot.y("at"),
        "tooltip": alt.Tooltip("hover:N"),
        "shape": alt.Shape("shape:N", scale=None),
    }
    used, unused = base.transform_filter("datum.u == 1"), base.transform_filter("datum.u == 0")
    tone = alt.Fill("tone:N", scale=None)
    return [
        unused.mark_point(size=26, stroke=INK3, strokeWidth=1, filled=False).encode(**across),
        used.mark_point(size=40, stroke=PAPER, strokeWidth=1, filled=True, opacity=1).encode(
            fill=tone, **across
        ),
    ]


def _rug(frames: ResponseFrames, plot: Plot) -> alt.Chart:
    """The last two years under the plot, so that one sees where the lifter lives."""
    base = _chosen(frames.rug).transform_filter(f"datum.x <= {frames.end}")
    across = {"y": alt.YValue(plot.foot + 6), "y2": alt.Y2Value(plot.foot + 14)}
    return base.mark_rule(stroke=INK2, strokeWidth=1, opacity=0.45).encode(x=plot.x("x"), **across)


def _names(
    frames: ResponseFrames, plot: Plot, said: ResponseWords, is_wide: bool
) -> list[alt.Chart]:
    """Names at the ends of the lines and inside the column, turned round where room is short.

    The own name stands on that side of its curve which the published average leaves free.
    """
    across = plot.width / frames.end
    lines = OWN_NAMES if is_wide else OWN_NAME
    own_width = max(text_width(said.own, plot.note) + 12, 130 if is_wide else 0)
    start = plot.width - text_width(said.published, plot.note)
    px = f"((y_high - y_low) / {plot.height})"
    apart = NAMES_APART + PUBLISHED_ABOVE - lines[-1][1]
    base = _chosen(_with_tops(frames, start / across)).transform_calculate(
        fits=f"datum.cx * {across} < {plot.width - own_width}",
        near=f"datum.cy >= datum.cp && abs(datum.cy - datum.pt) < {apart} * {px} && "
        f"datum.cx * {across} > {start - own_width}",
        own=_quote(said.own),
        published=_quote(said.published),
        middle="(datum.r0 + datum.r1) / 2",
    )
    column = base.transform_filter("isValid(datum.r0)").encode(
        x=plot.x("middle"), y=alt.YValue(plot.top + 10), text=alt.Text("range:N")
    )
    layers = lay_text(column, align="center", baseline="middle", fill=INK2, fontSize=plot.note)
    for fits, align, dx in (("datum.fits", "left", 8), ("!datum.fits", "right", 0)):
        end = base.transform_filter(f"isValid(datum.cx) && {fits}")
        beyond = 0 if dx else 8
        for text, above, below, weight in lines:
            up = f"datum.cy >= datum.cp ? {above + beyond} : {-below - beyond}"
            placed = end.transform_calculate(at=f"datum.cy + ({up}) * {px}")
            named = placed.encode(x=plot.x("cx"), y=plot.y("at"), text=alt.Text(f"{text}:N"))
            mark = {"align": align, "dx": dx, "fontWeight": weight, "fontSize": plot.note}
            layers += lay_text(named, halo=True, fill=PROGRESS, baseline="middle", **mark)
    seen = "isValid(datum.px) && datum.py > y_low && datum.py < y_high"
    over = f"datum.pt + {PUBLISHED_ABOVE} * {px}"
    named = (
        base.transform_filter(seen)
        .transform_calculate(at=f"datum.near ? datum.py - {PUBLISHED_BELOW} * {px} : {over}")
        .encode(x=plot.x("px"), y=plot.y("at"), text=alt.Text("published:N"))
    )
    mark = {"align": "right", "baseline": "middle", "fontSize": plot.note}
    return layers + lay_text(named, halo=True, fill=PRIOR, **mark)


def _with_tops(frames: ResponseFrames, start: float) -> pl.DataFrame:
    """The notes with pt: the highest of the published curve from ``start`` sets on."""
    tops = frames.curves.filter(pl.col("x") >= start).group_by("muscle").agg(pt=pl.col("p").max())
    return frames.notes.join(tops, on="muscle", how="left", maintain_order="left")


def _refused(frames: ResponseFrames, plot: Plot) -> list[alt.Chart]:
    """Where the record gives no answer: the reason in italics where the data would be."""
    base = _chosen(frames.notes).encode(
        x=alt.XValue(plot.width / 2),
        y=alt.YValue(plot.top + plot.height * 0.25),
        text=alt.Text("reason:N"),
    )
    return lay_text(base, halo=True, fill=INK3, fontStyle="italic", fontSize=plot.note + 1)


def _quote(text: str) -> str:
    return json.dumps(text)
