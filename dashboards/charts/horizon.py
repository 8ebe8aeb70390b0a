"""The whole record as one low strip, static, under the menu of every page."""

import altair as alt
import polars as pl

from dashboards.charts.axes import at_x, at_y, frame_chart
from dashboards.charts.sizes import HorizonSize
from dashboards.theme.chart import lay_text, stack_layers
from dashboards.theme.colours import FAMILIES, INK2, RULE, rock


def draw_horizon(steps: pl.DataFrame, years: pl.DataFrame, size: HorizonSize) -> alt.LayerChart:
    """Weekly sets of all muscles, families stacked, four-week means; gaps where nothing lies.

    ``steps``: w, s (segment), family, low, high (stacked sets); ``years``: w, label.
    """
    top = max(float(steps["high"].max() or 1), 1)  # type: ignore[arg-type]
    domain = [0, size.weeks]
    colours = alt.Scale(domain=list(FAMILIES), range=[rock(f, "within") for f in FAMILIES])
    to_px = f"{size.strip} * (1 - datum.{{}} / {top})"
    beds = (
        frame_chart(steps)
        .transform_calculate(y0=to_px.format("low"), y1=to_px.format("high"))
        .mark_area(interpolate="step-after")
        .encode(
            x=at_x("w", domain),
            y=at_y("y1", size.height),
            y2=alt.Y2("y0"),
            color=alt.Color("family:N", scale=colours),
            detail=alt.Detail("s:N"),
        )
    )
    ground = (
        alt.Chart(alt.Data(values=[{"y": size.strip}]))
        .mark_rule(stroke=RULE, strokeWidth=1)
        .encode(x=alt.XValue(0), x2=alt.X2Value(size.width), y=at_y("y", size.height))
    )
    named = (
        frame_chart(years)
        .transform_calculate(y=str(size.height - 4))
        .encode(x=at_x("w", domain), y=at_y("y", size.height), text=alt.Text("label:N"))
    )
    labels = lay_text(named, fill=INK2, fontSize=10)
    return stack_layers([beds, ground, *labels], (size.width, size.height))
