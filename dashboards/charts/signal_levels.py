"""Every signal over the years as one bed: its weeks, its slow mean, and changes of device."""

from dataclasses import dataclass

import altair as alt
import polars as pl

from dashboards.charts.axes import at_x, at_y, frame_chart
from dashboards.theme.chart import NOTE, ROW_NAME, lay_text, stack_layers
from dashboards.theme.colours import INK, INK2, INK3, RULE


@dataclass(frozen=True)
class SignalLevelFrames:
    """weeks : r (row), w, v (0 to 1000 within the signal's own range), m (slow mean, the same), s
    (segment). rows : r, name, now (last value), high, low (words of the two guide values).
    devices : r (-1: of all rows), w, label. years : w, label.
    """

    weeks: pl.DataFrame
    rows: pl.DataFrame
    devices: pl.DataFrame
    years: pl.DataFrame


@dataclass(frozen=True)
class SignalLevelLayout:
    """Room of names and of values, width of the plot, height of a row (px); weeks on the axis.

    Without room for names at the left they stand above their row.
    """

    left: int
    plot: int
    right: int
    row: int
    rows: int
    weeks: int
    is_wide: bool

    @property
    def top(self) -> int:
        return 20

    @property
    def foot(self) -> int:
        return self.top + self.row * self.rows

    @property
    def height(self) -> int:
        return self.foot + 26

    def x(self, field: str) -> alt.X:
        return at_x(field, [0, self.weeks])

    def y(self, field: str) -> alt.Y:
        return at_y(field, self.height)

    def at(self, share: str) -> str:
        """Expression for a place within a row, 0 at its foot and 1000 at its top."""
        tall = self.row - (26 if self.is_wide else 34)
        return f"{self.top} + (datum.r + 1) * {self.row} - 8 - ({share}) * {tall / 1000}"


def draw_signal_levels(frames: SignalLevelFrames, layout: SignalLevelLayout) -> alt.LayerChart:
    """The signals under one another, on one calendar."""
    layers = [
        *_years(frames.years, layout),
        *_guides(frames.rows, layout),
        *_lines(frames.weeks, layout),
        *_devices(frames.devices, layout),
        *_names(frames.rows, layout),
    ]
    return stack_layers(layers, (layout.plot, layout.height), layout.left, layout.right)


def _years(years: pl.DataFrame, layout: SignalLevelLayout) -> list[alt.Chart]:
    base = frame_chart(years).transform_calculate(
        y0=str(layout.top), y1=str(layout.foot), yt=str(layout.foot + 14)
    )
    line = base.mark_rule(stroke=RULE, strokeWidth=0.6).encode(
        x=layout.x("w"), y=layout.y("y0"), y2=alt.Y2("y1")
    )
    named = base.encode(x=layout.x("w"), y=layout.y("yt"), text=alt.Text("label:N"))
    return [line, *lay_text(named, fill=INK2, fontSize=NOTE)]


def _guides(rows: pl.DataFrame, layout: SignalLevelLayout) -> list[alt.Chart]:
    """Two dotted guide values a row, named at the right."""
    layers: list[alt.Chart] = []
    for field, share in (("high", "1000"), ("low", "0")):
        base = frame_chart(rows).transform_calculate(y=layout.at(share))
        line = base.mark_rule(stroke=INK3, strokeWidth=0.7, strokeDash=[1, 3]).encode(
            x=alt.XValue(0), x2=alt.X2Value(layout.plot), y=layout.y("y")
        )
        named = base.encode(
            x=alt.XValue(layout.plot + 6), y=layout.y("y"), text=alt.Text(f"{field}:N")
        )
        layers += [line, *lay_text(named, align="left", baseline="middle", fill=INK2)]
    return layers


def _lines(weeks: pl.DataFrame, layout: SignalLevelLayout) -> list[alt.Chart]:
    """Weekly means thin, their slow mean 2 px."""
    layers = []
    for field, stroke, width in (("v", INK3, 0.7), ("m", INK, 2.0)):
        layers.append(
            frame_chart(weeks)
            .transform_calculate(y=layout.at(f"datum.{field}"))
            .mark_line(stroke=stroke, strokeWidth=width)
            .encode(x=layout.x("w"), y=layout.y("y"), detail=alt.Detail("s:N"))
        )
    return layers


def _devices(devices: pl.DataFrame, layout: SignalLevelLayout) -> list[alt.Chart]:
    """A 1 px line through the row whose device changed, or through all, with its name."""
    everywhere = f"datum.r < 0 ? {layout.top - 6} : {layout.top} + datum.r * {layout.row} + 4"
    until = f"datum.r < 0 ? {layout.foot} : {layout.top} + (datum.r + 1) * {layout.row}"
    base = frame_chart(devices).transform_calculate(y0=everywhere, y1=until, yt=f"{everywhere} + 6")
    rule = base.mark_rule(stroke=INK, strokeWidth=1).encode(
        x=layout.x("w"), y=layout.y("y0"), y2=alt.Y2("y1")
    )
    layers = [rule]
    for align, condition, shift in (("left", "<=", 4), ("right", ">", -4)):
        named = base.transform_filter(f"datum.w {condition} {0.8 * layout.weeks}").encode(
            x=layout.x("w"), y=layout.y("yt"), text=alt.Text("label:N")
        )
        layers += lay_text(
            named, halo=True, align=align, dx=shift, baseline="middle", fontStyle="italic"
        )
    return layers


def _names(rows: pl.DataFrame, layout: SignalLevelLayout) -> list[alt.Chart]:
    """Names and last values: at the left of a wide row, above a narrow one."""
    if layout.is_wide:
        base = frame_chart(rows).transform_calculate(y=layout.at("640"), y2=layout.at("160"))
        name = base.encode(x=alt.XValue(-10), y=layout.y("y"), text=alt.Text("name:N"))
        now = base.encode(x=alt.XValue(-10), y=layout.y("y2"), text=alt.Text("now:N"))
        return [
            *lay_text(name, align="right", baseline="middle", fontSize=ROW_NAME),
            *lay_text(now, align="right", baseline="middle", fontWeight=600),
        ]
    base = frame_chart(rows).transform_calculate(
        y=f"{layout.top} + datum.r * {layout.row} + 10", both="datum.name + ', ' + datum.now"
    )
    named = base.encode(x=alt.XValue(0), y=layout.y("y"), text=alt.Text("both:N"))
    return lay_text(named, halo=True, align="left", baseline="middle", fontSize=ROW_NAME)
