"""One self-contained HTML file from a page: scripts once, frames once, a content policy of hashes.

Charts are written as Vega-Lite by Altair; the frames they carry are taken out, packed and stored
once, so that several charts over one frame cost its bytes once. Nothing is ever requested.
"""

import base64
import hashlib
import re
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

import vl_convert
from jinja2 import Environment, FunctionLoader
from markupsafe import Markup

from dashboards import words
from dashboards.blocks import Page, Picture, Row, SpanChanges, Table, Text, When
from dashboards.numbers import count
from dashboards.packing import pack_frame, pack_rows, write_json
from dashboards.stacks import stack_style
from dashboards.theme.chart import VEGA_LITE, draw_still, specification
from dashboards.theme.colours import style_variables
from dashboards.theme.locale import number_locale, time_locale

WIDTHS = ("wide", "narrow")
_UNIT = re.compile(r"(?<=\d) %")
# The page's own script, in parts that share one scope.
SCRIPTS = (
    *("expressions.js", "charts.js", "span.js", "pointer.js", "tables.js", "ways.js"),
    *("changes.js", "kept.js", "start.js"),
)


@cache
def _asset(name: str) -> str:
    return resources.files("dashboards").joinpath("assets", name).read_text("utf-8")


@cache
def _library() -> str:
    """The drawing library, in a function of its own: it declares short names at top level."""
    bundle = vl_convert.javascript_bundle(vl_version=VEGA_LITE)  # type: ignore[call-arg]
    return f"(function(){{{bundle}\n}})();"


@cache
def _script() -> str:
    """The page's own script, in a function of its own."""
    parts = "\n".join(_asset(name) for name in SCRIPTS)
    return f'(function(){{"use strict";\n{parts}}})();'


@cache
def environment() -> Environment:
    """Jinja with escaping on for every template."""
    made = Environment(autoescape=True, loader=FunctionLoader(_asset), trim_blocks=True)
    made.globals["word"] = words.say
    made.globals["number"] = count
    made.globals["pack_rows"] = pack_rows
    made.globals["stack_style"] = stack_style
    made.filters["tied"] = tie_units
    return made


def tie_units(text: Text) -> Text:
    """Prose whose numbers stay on one line with their per cent sign."""
    kind = type(text)
    return kind(_UNIT.sub("\N{NO-BREAK SPACE}%", text))


@dataclass(frozen=True)
class Drawn:
    """One picture with its specifications, its frames by name and its two sizes (px)."""

    picture: Picture
    specs: dict[str, dict[str, Any]]
    frames: dict[str, list[dict[str, Any]]]
    sizes: dict[str, tuple[float, float] | None]


def pictures_of(blocks: tuple[object, ...]) -> list[Picture]:
    """Every picture of a page, in order, also those inside rows and conditions."""
    found: list[Picture] = []
    for block in blocks:
        if isinstance(block, Picture):
            found.append(block)
        elif isinstance(block, Row | When):
            found += pictures_of(block.blocks)
    return found


def write_picture(picture: Picture) -> Drawn:
    """A picture's two specifications, once if they are one and the same chart."""
    wide = specification(picture.wide)
    narrow = wide if picture.narrow is picture.wide else specification(picture.narrow)
    specs = {"wide": wide, "narrow": narrow}
    frames = {**wide.get("datasets", {}), **narrow.get("datasets", {})}
    return Drawn(picture, specs, frames, {width: _size(spec) for width, spec in specs.items()})


def _size(spec: dict[str, Any]) -> tuple[float, float] | None:
    """Width and height of a drawing of fixed size, or None where the drawing finds its own."""
    padding = spec.get("padding")
    if spec.get("autosize") != "none" or not isinstance(padding, dict):
        return None
    width = spec["width"] + padding["left"] + padding["right"]
    return width, spec["height"] + padding["top"] + padding["bottom"]


def assemble_page(page: Page, frame: dict[str, Any]) -> str:
    """The HTML text of one page.

    ``frame`` holds what the templates need beside the page: header, menu, horizon, weeks, footer
    (see ``dashboards.frame``).
    """
    drawn = [write_picture(picture) for picture in pictures_of(page.blocks)]
    spans = [block for block in page.blocks if isinstance(block, SpanChanges)]
    scripts = _page_scripts(drawn, {f"{one.name}-data": one.data for one in spans})
    policy = (
        f"default-src 'none'; script-src {' '.join(scripts.hashes)}; style-src 'unsafe-inline'; "
        "img-src data:; base-uri 'none'; form-action 'none'"
    )
    values = {
        "page": page,
        "policy": policy,
        "language": words.style().language,
        "style": Markup(style_variables() + _asset("page.css") + _asset("print.css")),
        "scripts": Markup("\n".join(scripts.parts)),
        "stills": {d.picture.name: draw_still(d.specs["wide"]) for d in drawn if d.picture.is_main},
        "sizes": {d.picture.name: d.sizes for d in drawn},
        "tables": tuple(_behind(d.picture) for d in drawn if d.picture.table),
        **frame,
    }
    return environment().get_template("page.html").render(values)


def _behind(picture: Picture) -> Table:
    """The picture's table under the picture's name, so that its data can be saved from there."""
    table = picture.table
    assert table is not None
    title = table.title or picture.title
    return Table(table.columns, table.rows, title, table.note, table.empty, picture.name)


@dataclass(frozen=True)
class _Scripts:
    """Script elements of one page and the hashes of those that run."""

    parts: list[str]
    hashes: list[str]

    def run(self, text: str) -> None:
        digest = base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
        self.hashes.append(f"'sha256-{digest}'")
        self.parts.append(f"<script>{text}</script>")

    def data(self, name: str, value: object) -> None:
        text = write_json(value)
        self.parts.append(f'<script type="application/json" id="{name}">{text}</script>')


def _page_scripts(drawn: list[Drawn], data: dict[str, dict[str, object]]) -> _Scripts:
    scripts = _Scripts([], [])
    for name, value in data.items():
        scripts.data(name, value)
    scripts.data("words", words.script_words())
    scripts.data("locale", {"numbers": number_locale(), "times": time_locale()})
    frames: dict[str, list[dict[str, Any]]] = {}
    for one in drawn:
        frames.update(one.frames)
        for width in WIDTHS:
            spec = dict(one.specs[width])
            spec["frames"] = list(spec.pop("datasets", {}))
            scripts.data(f"spec-{one.picture.name}-{width}", spec)
    for one in drawn:
        if one.picture.hover:
            scripts.data(f"hover-{one.picture.name}", _hover(one.picture, frames))
    for name, rows in frames.items():
        scripts.data(f"frame-{name}", pack_frame(rows))
    if drawn:
        scripts.run(_library())
    scripts.run(_script())
    return scripts


def _hover(picture: Picture, frames: dict[str, list[dict[str, Any]]]) -> dict[str, object]:
    """What the pointer reads: the picture's own words, and the frame that has its columns.

    Frames are named by their content, so the frame is found by the columns that are asked for.
    """
    columns = set(picture.hover["columns"])  # type: ignore[call-overload]
    name = next(n for n, rows in frames.items() if rows and columns <= set(rows[0]))
    return {**picture.hover, "frame": name}
