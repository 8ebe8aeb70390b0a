"""How far a sheet has to shrink to stay on its page, by an estimate of its height in px.

Widths of text are estimated, never measured, so that every machine comes to the same factor.
"""

from math import ceil, floor

from dashboards.blocks import Prose, Table, Text
from dashboards.charts.axes import text_width

# A4 within margins of 12 mm is 703 x 1031 px; a little is kept for wider type.
PAGE = 1015.0
# Head with its sentence in two lines, horizon, legend in two lines, foot in two lines.
FRAME = 28 + 58 + 36 + 40 + 44
# Widths of the two columns of facts, as in page.css.
COLUMNS = (371.0, 304.0)
TITLE, LINE, ROW = 28, 15, 19
TYPE = 11.0


def fit_of(drawing: float, parts: tuple[tuple[object, ...], tuple[object, ...]]) -> float:
    """The factor to draw a sheet with, at most 1, down to a thousandth.

    ``drawing``: height of the strips, px; ``parts``: what stands in the two columns.
    """
    columns = max(
        sum(_height(part, width) for part in column)
        for column, width in zip(parts, COLUMNS, strict=True)
    )
    return min(1.0, floor(1000 * PAGE / (FRAME + drawing + columns)) / 1000)


def _height(part: object, width: float) -> float:
    if isinstance(part, Table):
        rows = ROW * (len(part.rows) + 1) if part.rows else LINE * _lines(part.empty, width)
        return TITLE + rows + LINE * _lines(part.note, width)
    assert isinstance(part, Prose)
    return TITLE + LINE * sum(_lines(text, width) for text in part.paragraphs)


def _lines(text: Text, width: float) -> int:
    return ceil(text_width(text, TYPE) / width)
