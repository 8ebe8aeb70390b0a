"""One self-contained HTML file from a page: scripts once, frames once, a content policy of hashes.

Charts are written as Vega-Lite by Altair; the frames they carry are taken out, packed and stored
once, so that several charts over one frame cost its bytes once. Nothing is ever requested.
"""

import base64
import hashlib
import json
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

import vl_convert
from jinja2 import Environment, FunctionLoader
from markupsafe import Markup

from dashboards import words
from dashboards.blocks import Page, Picture, Row, Table, When
from dashboards.theme.chart import VEGA_LITE, draw_still, specification
from dashboards.theme.colours import style_variables


@cache
def _asset(name: str) -> str:
    return resources.files("dashboards").joinpath("assets", name).read_text("utf-8")


@cache
def _library() -> str:
    """The drawing library, in a block of its own: it declares short names at top level."""
    return "{" + vl_convert.javascript_bundle(vl_version=VEGA_LITE) + "}"


@cache
def environment() -> Environment:
    """Jinja with escaping on for every template."""
    made = Environment(autoescape=True, loader=FunctionLoader(_asset), trim_blocks=True)
    made.globals["word"] = words.say
    return made


def write_json(value: object) -> Markup:
    """JSON that is safe inside a script element: ``<`` is written ``\\u003c``."""
    text = json.dumps(value, ensure_ascii=False, separators=(",", ":"))
    return Markup(text.replace("<", "\\u003c").replace("\u2028", "\\u2028"))


def pack_column(values: list[Any]) -> dict[str, Any]:
    """A column in its shortest of four forms: one constant, runs, runs of differences, values."""
    if values and all(v == values[0] and type(v) is type(values[0]) for v in values):
        return {"c": values[0], "n": len(values)}
    forms: list[dict[str, Any]] = [{"v": values}, {"r": _runs(values)}]
    if all(type(v) is int for v in values):
        steps = [b - a for a, b in zip([0, *values], values, strict=False)]
        forms.append({"d": _runs(steps)})
    return min(forms, key=lambda form: len(json.dumps(form)))


def _runs(values: list[Any]) -> list[list[Any]]:
    runs: list[list[Any]] = []
    for value in values:
        if runs and runs[-1][0] == value and type(runs[-1][0]) is type(value):
            runs[-1][1] += 1
        else:
            runs.append([value, 1])
    return runs


def pack_frame(rows: list[dict[str, Any]]) -> dict[str, Any]:
    """Rows as named columns, each packed."""
    names = list(rows[0]) if rows else []
    return {"names": names, "columns": [pack_column([row[n] for row in rows]) for n in names]}


@dataclass
class _Scripts:
    """Script elements of one page and the hashes of those that run."""

    parts: list[str]
    hashes: list[str]

    def run(self, text: str) -> None:
        digest = base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
        self.hashes.append(f"'sha256-{digest}'")
        self.parts.append(f"<script>{text}</script>")

    def data(self, name: str, value: object) -> None:
        self.parts.append(
            f'<script type="application/json" id="{name}">{write_json(value)}</script>'
        )


def pictures_of(blocks: tuple[object, ...]) -> list[Picture]:
    """Every picture of a page, in order, also those inside rows and conditions."""
    found: list[Picture] = []
    for block in blocks:
        if isinstance(block, Picture):
            found.append(block)
        elif isinstance(block, Row | When):
            found += pictures_of(block.blocks)
    return found


def assemble_page(page: Page, frame: dict[str, Any]) -> str:
    """The HTML text of one page.

    ``frame`` holds what the templates need beside the page: header, menu, horizon, weeks, footer
    (see ``dashboards.frame``).
    """
    pictures = pictures_of(page.blocks)
    scripts = _page_scripts(pictures)
    policy = (
        f"default-src 'none'; script-src {' '.join(scripts.hashes)}; style-src 'unsafe-inline'; "
        "img-src data:; base-uri 'none'; form-action 'none'"
    )
    return (
        environment()
        .get_template("page.html")
        .render(
            page=page,
            policy=policy,
            language=words.LANGUAGE,
            style=Markup(style_variables() + _asset("page.css")),
            scripts=Markup("\n".join(scripts.parts)),
            stills={p.name: _still(p) for p in pictures if p.is_main},
            tables=tuple(_behind(picture) for picture in pictures if picture.table),
            **frame,
        )
    )


def _still(picture: Picture) -> Markup:
    """A static drawing of a picture, for readers without scripts."""
    return Markup('<div class="still">{}</div>').format(draw_still(picture.wide))


def _behind(picture: Picture) -> Table:
    """The picture's table under the picture's name, so that its data can be saved from there."""
    table = picture.table
    assert table is not None
    title = table.title or picture.title
    return Table(table.columns, table.rows, title, table.note, table.empty, picture.name)


def _page_scripts(pictures: list[Picture]) -> _Scripts:
    scripts = _Scripts([], [])
    frames: dict[str, list[dict[str, Any]]] = {}
    scripts.data("words", words.script_words())
    for picture in pictures:
        for width, chart in (("wide", picture.wide), ("narrow", picture.narrow)):
            spec = specification(chart)
            own = spec.pop("datasets", {})
            frames.update(own)
            scripts.data(f"spec-{picture.name}-{width}", {**spec, "frames": list(own)})
    for name, rows in frames.items():
        scripts.data(f"frame-{name}", pack_frame(rows))
    if pictures:
        scripts.run(_library())
    scripts.run(_asset("page.js"))
    return scripts
