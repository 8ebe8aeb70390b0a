"""Vega configuration and the few layers that every chart repeats (text with a halo, hatching)."""

import re
from contextlib import AbstractContextManager
from typing import Any, cast

import altair as alt
import vl_convert
from altair.utils.schemapi import debug_mode
from markupsafe import Markup

from dashboards.theme.colours import INK, INK2, PAPER, RULE
from dashboards.theme.locale import number_locale, time_locale

# Helvetica before system-ui: on some systems the latter is a fifth wider, and names are placed by
# an estimated width.
SANS = 'Helvetica, Arial, "Liberation Sans", system-ui, sans-serif'

# The grammar of the drawing library that charts are written for.
VEGA_LITE = "6.4"

# Type sizes in px: row names, axis and notes; on a phone nothing is under 10.
ROW_NAME, NOTE = 12, 11


def vega_config() -> dict[str, Any]:
    """The ``config`` of every chart: no frames, no axis lines, hairline grid, the reader's sans."""
    return {
        # A drawing is described as a whole beside its table; a sentence for every mark took a third
        # of the time of drawing and told nobody more.
        "aria": False,
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


def lay_text(chart: alt.Chart, halo: bool = False, **mark: Any) -> list[alt.Chart]:
    """Layers that write the ``text`` of ``chart``; a halo is a 4 px stroke in paper below it."""
    mark = {"fill": INK, "fontSize": NOTE, **mark}
    written = chart.mark_text(**mark)
    if not halo:
        return [written]
    below = {**mark, "stroke": PAPER, "strokeWidth": 4, "strokeJoin": "round", "fill": PAPER}
    return [chart.mark_text(**below), written]


def stack_layers(
    layers: list[alt.Chart], size: tuple[float, float], left: float = 0, right: float = 0
) -> alt.LayerChart:
    """Layers on one plot of ``size`` px, with room for names ``left`` and ``right`` of it.

    Layers are kept in one flat list: each level of nesting copies all below it. The drawing is as
    wide as plot and margins together, to the px, so that a page can lay things over it. Each layer
    looks up its own colours.
    """
    padding = {"left": left, "right": right, "top": 0, "bottom": 0}
    stacked = cast(alt.LayerChart, alt.layer(*layers))
    stacked = stacked.resolve_scale(fill="independent", stroke="independent")
    return stacked.properties(width=size[0], height=size[1], padding=padding, autosize="none")


def unchecked() -> AbstractContextManager[None]:
    """Charts made within are not held against the grammar part by part.

    That costs a fifth of drawing a page; the tests do it for every chart.
    """
    return debug_mode(False)


def specification(chart: alt.TopLevelMixin) -> dict[str, Any]:
    """The chart as Vega-Lite with the theme's configuration and its frames as ``datasets``."""
    # Checking the whole costs more than all else here; the tests do that too.
    with alt.data_transformers.enable("default", max_rows=None):
        spec = chart.to_dict(validate=False)
    spec["config"] = vega_config()
    return spec


def draw_still(spec: dict[str, Any]) -> Markup:
    """A specification as static SVG; its colours still follow the theme of the page it stands in.

    What only the live drawing needs is left out and places are rounded to a tenth of a px: that is
    three quarters of the bytes, and nothing that can be seen.
    """
    text = vl_convert.vegalite_to_svg(
        spec,
        vl_version=VEGA_LITE,
        format_locale=number_locale(),
        time_format_locale=time_locale(),
    )
    text = _LIVE_ONLY.sub("", text)
    text = _NOTHING.sub("", text)
    text = _FILLED.sub(lambda found: "" if is_flat(found.group(1)) else found.group(), text)
    text = _PLACED.sub(r'<text\1 x="\2" y="\3"', text)
    text = _PATH.sub(lambda found: f' d="{shorten_path(found.group(1))}"', text)
    # Places are rounded, never what is written: 12.345 may be twelve thousand.
    return Markup(_TAG.sub(lambda found: _DECIMALS.sub(_tenth_of, found.group()), text))


_LIVE_ONLY = re.compile(
    r' (?:aria-[a-z]+|role|class|pointer-events|display|font-family)="[^"]*"|<title>[^<]*</title>'
)
_PATH = re.compile(r' d="([ML][-\d.,eML]*Z?)"')
# Grounds of single views without a colour, and views that are moved by nothing.
_NOTHING = re.compile(r'<path d="(?:M0,0h[\d.]+v[\d.]+h-[\d.]+Z)?"/>| transform="translate\(0,0\)"')
_FILLED = re.compile(r'<path d="(M[-\d.,eML]*Z)" fill="[^"]*"/>')
_PLACED = re.compile(r'<text([^>]*) transform="translate\(([-\d.]+),([-\d.]+)\)"')
_POINT = re.compile(r"([ML])(-?[\d.e-]+),(-?[\d.e-]+)")
_DECIMALS = re.compile(r"-?\d+\.\d{2,}")
_TAG = re.compile(r"<[^>]*>")


def _tenth_of(found: re.Match[str]) -> str:
    return _tenth(found.group())


def _tenth(number: str) -> str:
    return f"{float(number):.1f}".removesuffix(".0")


def is_flat(path: str) -> bool:
    """Whether a closed path comes back the way it went: it holds no area."""
    points = [(_tenth(x), _tenth(y)) for _, x, y in _POINT.findall(path)]
    return len(points) > 1 and points == points[::-1]


def shorten_path(path: str) -> str:
    """A path of straight steps with places in tenths and horizontal or vertical moves as such."""
    parts, was = [], ("", "")
    for kind, x, y in _POINT.findall(path):
        at = (_tenth(x), _tenth(y))
        if kind == "M":
            parts.append(f"M{at[0]},{at[1]}")
        elif at == was:
            continue
        elif at[1] == was[1]:
            parts.append(f"H{at[0]}")
        elif at[0] == was[0]:
            parts.append(f"V{at[1]}")
        else:
            parts.append(f"L{at[0]},{at[1]}")
        # Of two moves along one line only the last is needed.
        if len(parts) > 1 and parts[-1][0] == parts[-2][0] and parts[-1][0] in "HV":
            del parts[-2]
        was = at
    return "".join(parts) + ("Z" if path.endswith("Z") else "")
