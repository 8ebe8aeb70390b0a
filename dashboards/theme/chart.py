"""Vega configuration and the few layers that every chart repeats (text with a halo, hatching)."""

import re
from typing import Any

import altair as alt
import vl_convert
from markupsafe import Markup

from dashboards.theme.colours import INK, INK2, PAPER, RULE

# Helvetica before system-ui: on some systems the latter is a fifth wider, and names are placed by
# an estimated width.
SANS = 'Helvetica, Arial, "Liberation Sans", system-ui, sans-serif'
SERIF = 'Charter, Iowan Old Style, Georgia, "Liberation Serif", serif'

# The grammar of the drawing library that charts are written for.
VEGA_LITE = "6.4"

# Type sizes in px: row names, axis and notes; on a phone nothing is under 10.
ROW_NAME, NOTE = 12, 11


def vega_config() -> dict[str, Any]:
    """The ``config`` of every chart: no frames, no axis lines, hairline grid, the reader's sans."""
    return {
        "font": SANS,
        "background": "transparent",
        "view": {"stroke": None, "fill": None},
        "axis": {
            "domain": False,
            "ticks": False,
            "grid": False,
            "gridColor": RULE,
            "gridWidth": 0.6,
            "labelColor": INK2,
            "labelFontSize": NOTE,
            "labelPadding": 6,
            "title": None,
        },
        "text": {"font": SANS, "fontSize": NOTE, "fill": INK2, "color": INK2},
        "legend": {"disable": True},
    }


def write_text(chart: alt.Chart, halo: bool = False, **mark: Any) -> alt.LayerChart | alt.Chart:
    """A text layer of ``chart``; with ``halo``, a 4 px stroke in paper colour lies below it."""
    mark = {"fill": INK, "fontSize": NOTE, **mark}
    written = chart.mark_text(**mark)
    if not halo:
        return written
    below = {**mark, "stroke": PAPER, "strokeWidth": 4, "strokeJoin": "round", "fill": PAPER}
    return chart.mark_text(**below) + written


def specification(chart: alt.TopLevelMixin) -> dict[str, Any]:
    """The chart as Vega-Lite with the theme's configuration and its frames as ``datasets``."""
    # Checking against the grammar costs more than all else here; the tests do it for every chart.
    with alt.data_transformers.enable("default", max_rows=None):
        spec = chart.to_dict(validate=False)
    spec["config"] = vega_config()
    return spec


def draw_still(spec: dict[str, Any]) -> Markup:
    """A specification as static SVG; its colours still follow the theme of the page it stands in.

    Places are rounded to a tenth of a px: nobody sees the rest, and it is two thirds of the bytes.
    """
    text = vl_convert.vegalite_to_svg(spec, vl_version=VEGA_LITE)
    return Markup(_DECIMALS.sub(lambda found: f"{float(found.group()):.1f}", text))


_DECIMALS = re.compile(r"-?\d+\.\d{2,}")
