"""Every kind of picture of the invented book as small static SVG, to be held against what is kept.

The drawings carry few rows of each frame, so that a kept file stays readable: what is held is how
charts draw, not what a record says. Places are rounded to tenths by the drawing itself, and no
place depends on the measured width of a text, so that all machines draw the same.
"""

import re
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import import_module
from pathlib import Path
from types import FrameType
from typing import Any

from dashboards import list_pages, words
from dashboards.assemble import pictures_of, write_picture
from dashboards.blocks import Page, YearSheet
from dashboards.prepare import horizon
from dashboards.theme.chart import draw_still
from pipeline.core.page_book import PageBook

KEPT = Path(__file__).parent / "snapshots_kept"
CHARTS = Path(str(import_module("dashboards.charts").__file__)).parent
# Rows of a frame that a snapshot draws, in runs: a step or a line needs neighbours.
ROWS, RUN = 24, 6
# A phone has its own chart only here; elsewhere the same function draws to another width.
NARROW = ("record-overview",)
# A young lifter has a chart of the beginning, and few enough years to draw each.
YOUNG = ("record", "annual")


def draw_snapshots(book: PageBook) -> tuple[dict[str, str], set[str]]:
    """The drawings by name, and the modules of ``dashboards.charts`` that took part."""
    drawings: dict[str, str] = {}
    first = book.lifters[0].lifter_id
    used: set[str] = set()
    # A horizon drawn before in this process would be taken from memory, and its module not seen.
    horizon._render.cache_clear()
    with words.written(book.style):
        for page in list_pages(book):
            if page.lifter_id not in (None, first) and page.kind not in YOUNG:
                continue
            if page.lifter_id == first and page.kind == "annual":
                continue
            with _noting(used):
                made = _build(book, page.kind, page.lifter_id)
            drawings |= _draw(page.kind, made)
    return drawings, used


def _draw(kind: str, made: Page) -> dict[str, str]:
    drawings = {}
    for block in made.blocks:
        if isinstance(block, YearSheet):
            drawings[f"{kind}-{block.year}"] = _lines(str(block.drawing))
    for picture in pictures_of(made.blocks):
        # The next phase has a second proposal, drawn by the same functions.
        if picture.name.endswith("-learning"):
            continue
        name = f"{kind}-{picture.name}"
        specs = write_picture(picture).specs
        drawings[name] = draw_small(specs["wide"])
        if name in NARROW:
            drawings[f"{name}-narrow"] = draw_small(specs["narrow"])
    return drawings


def _build(book: PageBook, kind: str, lifter_id: str | None) -> Page:
    build = import_module(f"dashboards.pages.{kind}").build_page
    lifter = next((one for one in book.lifters if one.lifter_id == lifter_id), None)
    made: Page = build(book) if lifter is None else build(book, lifter)
    return made


def draw_small(spec: dict[str, Any]) -> str:
    """The specification with few rows a frame as static SVG, an element a line."""
    frames = {name: _thin(rows) for name, rows in spec.get("datasets", {}).items()}
    return _lines(str(draw_still({**spec, "datasets": frames})))


def _thin(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    if len(rows) <= ROWS:
        return rows
    runs = ROWS // RUN
    starts = [i * (len(rows) - RUN) // (runs - 1) for i in range(runs)]
    return [row for start in starts for row in rows[start : start + RUN]]


def _lines(svg: str) -> str:
    # Empty grounds and groups say nothing.
    svg = re.sub(r'<path d="M0,0h[\d.]+v[\d.]+h-[\d.]+Z"/>', "", svg)
    return svg.replace("><", ">\n<") + "\n"


@contextmanager
def _noting(used: set[str]) -> Iterator[None]:
    """Adds the chart modules whose functions run inside."""
    folder = str(CHARTS)

    def note(frame: FrameType, event: str, _: object) -> None:
        name = frame.f_code.co_filename
        if event == "call" and name.startswith(folder) and frame.f_code.co_name != "<module>":
            used.add(Path(name).stem)

    before = sys.getprofile()
    sys.setprofile(note)
    try:
        yield
    finally:
        sys.setprofile(before)
