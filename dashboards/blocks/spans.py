"""Changes over a span of years that the reader brackets."""

from dataclasses import dataclass
from typing import ClassVar

from dashboards.blocks.pictures import Select
from dashboards.blocks.text import Text


@dataclass(frozen=True)
class SpanRow:
    """A lift's change over a span. ``places``: zero, both ends and middle of the interval, % of the
    mark's width; ``tone`` is progress, loss or none."""

    name: str
    note: str
    tone: str
    places: tuple[float, float, float, float]
    rate: str
    rate_interval: str
    gain: str
    gain_interval: str
    support: str


@dataclass(frozen=True)
class SpanTold:
    """A span told without scripts: what it is, its answer, its rows, what could not be told."""

    title: str
    sentence: Text
    rows: tuple[SpanRow, ...]
    rest: Text


@dataclass(frozen=True)
class SpanChanges:
    """Changes over the bracketed span, told by the script from ``data``; ``told`` without it.

    ``heads`` are those of the five columns.
    """

    template: ClassVar[str] = "span_changes"
    name: str
    title: str
    caption: Text
    select: Select
    heads: tuple[str, ...]
    told: tuple[SpanTold, ...]
    data: dict[str, object]
