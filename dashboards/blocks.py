"""What a page is made of: plain records that pages fill and the frame writes as HTML."""

from dataclasses import dataclass, field
from typing import ClassVar, NamedTuple

import altair as alt
from markupsafe import Markup

from dashboards.theme.colours import LOSS, LOSS_BAND, PROGRESS, PROGRESS_BAND, RULE

Text = str | Markup
# Band by the colour of the line that it lies around.
BANDS = {PROGRESS: PROGRESS_BAND, LOSS: LOSS_BAND}
# Rows of a table that are laid out and printed at most, and the first of a longer one.
LONG_TABLE, FIRST_ROWS = 200, 100
# Characters of a text that takes six lines and more in a fourth of a phone's width.
LONG_TEXT = 60


@dataclass(frozen=True)
class Key:
    """One entry of a legend: a small mark, its colour (a CSS reference) and its word.

    ``mark``: swatch, line, estimate, square, dash, band, dot, ring, lozenge, tick, rule, dotted,
    hatch, cut, underline, bar, triangle, arrow, arrow-left, scale, length (a lying bar of
    ``length`` px), tint (a see-through band), unknown (a bed with a dotted edge). ``only`` is wide
    or narrow for a key of one of the two drawings. ``when``: "param:value,value", for a key that
    holds only while a control has one of these values.
    """

    mark: str
    text: str
    colour: str = "var(--ink)"
    only: str = ""
    length: float = 16
    when: str = ""

    @property
    def edge(self) -> str:
        """The deep tone around a swatch of a paler rock, as around the bed itself; or none."""
        family, _, tier = self.colour.rpartition("-")
        return f"{family}-above)" if tier in ("below)", "within)") else ""

    @property
    def band(self) -> str:
        """The band around a line of this colour."""
        return BANDS.get(self.colour, RULE)


class Horizon(NamedTuple):
    """The whole record as one low strip, for a wide page and a phone, and what its bands are."""

    wide: Markup
    narrow: Markup
    keys: tuple[Key, ...]


@dataclass(frozen=True)
class Column:
    """Head of one table column; ``kind`` is text, number or name (text that keeps its words)."""

    head: str
    kind: str = "text"


@dataclass(frozen=True)
class Table:
    """A table that can be sorted and copied. Cells are text (escaped) or trusted markup.

    Of a long one the first rows are laid out; the rest lies packed on the page for its script.
    ``is_counts``: its numbers are counts, so that a card on a phone may leave out a 0.
    """

    template: ClassVar[str] = "table"
    columns: tuple[Column, ...]
    rows: tuple[tuple[Text, ...], ...]
    title: str = ""
    note: str = ""
    empty: str = ""
    name: str = ""
    is_counts: bool = False

    @property
    def is_wordy(self) -> bool:
        """Two columns or more hold whole sentences: side by side a phone would break every word."""
        columns = zip(*self.first_rows, strict=True)
        return sum(any(_is_long(cell) for cell in cells) for cells in columns) > 1

    @property
    def is_long(self) -> bool:
        """More rows than are laid out at once, and than are printed."""
        return len(self.rows) > LONG_TABLE

    @property
    def first_rows(self) -> tuple[tuple[Text, ...], ...]:
        """The rows that are laid out at once."""
        return self.rows[:FIRST_ROWS] if self.is_long else self.rows


def _is_long(cell: Text) -> bool:
    """A text of a sentence or so, its marks not counted."""
    return len(cell) > LONG_TEXT and len(Markup(cell).striptags()) > LONG_TEXT


@dataclass(frozen=True)
class SpanAxis:
    """Where the time axis lies in a drawing, in its own px: for the bracket that moves the span."""

    left: float
    width: float
    total: float
    top: float
    height: float
    total_height: float


@dataclass(frozen=True)
class Picks:
    """Rows of a drawing that can be chosen by click, tap or key: each sets the signal ``param``.

    ``rows``: value and the line that says what the row shows, from the top. ``wide``, ``narrow``:
    top of the first row and height of one, px. ``label`` names the choice. Where a control puts the
    drawing's rows in another order, ``order`` is its param and ``places`` the place of each row by
    the control's value.
    """

    param: str
    label: str
    rows: tuple[tuple[str, str], ...]
    chosen: str
    wide: tuple[float, float]
    narrow: tuple[float, float]
    order: str = ""
    places: tuple[dict[str, int], ...] = ()


@dataclass(frozen=True)
class Picture:
    """One chart, drawn for 1200 px and again for 366 px, with its words.

    Parameters
    ----------
    name : slug, unique on the page.
    description : the text alternative: what it shows and its main reading.
    wide, narrow : the chart for each breakpoint; colours are roles of the theme.
    table : the table behind it, shown in the page's first fold.
    is_main : drawn at once, and as a static picture for readers without scripts.
    hover : what the page's script needs to say what lies under the pointer, or none.
    narrow_caption : a further sentence that holds for the narrow drawing only.
    """

    template: ClassVar[str] = "picture"
    name: str
    title: str
    caption: Text
    description: str
    wide: alt.TopLevelMixin
    narrow: alt.TopLevelMixin
    keys: tuple[Key, ...] = ()
    table: Table | None = None
    is_main: bool = False
    span_axis: SpanAxis | None = None
    hover: dict[str, object] = field(default_factory=dict)
    show_title_of_span: bool = False
    picks: Picks | None = None
    narrow_caption: Text = ""


@dataclass(frozen=True)
class Select:
    """One control: a word with an underlined value. Sets the signal ``param`` in every chart."""

    param: str
    label: str
    options: tuple[tuple[str, str], ...]
    chosen: str


@dataclass(frozen=True)
class Controls:
    """A row of selects."""

    template: ClassVar[str] = "controls"
    selects: tuple[Select, ...]


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


@dataclass(frozen=True)
class Prose:
    """Paragraphs with an optional heading."""

    template: ClassVar[str] = "prose"
    paragraphs: tuple[Text, ...]
    title: str = ""


@dataclass(frozen=True)
class Equations:
    """Equations, one a line, as trusted markup, and what their letters mean."""

    template: ClassVar[str] = "equations"
    title: str
    lines: tuple[Text, ...]
    where: Text


@dataclass(frozen=True)
class Fold:
    """Blocks behind a line that opens them; left out when there are none."""

    template: ClassVar[str] = "fold"
    title: str
    blocks: tuple[object, ...]


@dataclass(frozen=True)
class Section:
    """A part of a long page that a link can lead to; ``name`` is a slug, unique on the page."""

    template: ClassVar[str] = "section"
    name: str
    title: str
    blocks: tuple[object, ...]


@dataclass(frozen=True)
class Day:
    """One session on a sheet to train by; cells of a row as the sheet's columns."""

    title: Text
    rows: tuple[tuple[Text, ...], ...]


@dataclass(frozen=True)
class SheetColumn:
    """A column of a sheet: its key (a CSS class), head and kind ("" or number)."""

    key: str
    head: str
    kind: str = ""


@dataclass(frozen=True)
class Sheet:
    """A week to train by, that prints on one page by itself.

    ``printed`` stands on paper only, as does the column "pen". ``fit``: share of
    its size at which it fits on the paper.
    """

    template: ClassVar[str] = "sheet"
    name: str
    title: str
    note: Text
    printed: Text
    columns: tuple[SheetColumn, ...]
    days: tuple[Day, ...]
    fit: float = 1.0


@dataclass(frozen=True)
class Contents:
    """Links to the sections of a page: (name, title) each."""

    template: ClassVar[str] = "contents"
    label: str
    entries: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Entry:
    """One lifter on a page about all: name with link, horizon, answer, links."""

    template: ClassVar[str] = "entry"
    title: str
    file: str
    horizon: Horizon | None
    sentence: Text
    second: Text
    links: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Row:
    """Blocks side by side on a wide page; ``widths`` are CSS grid columns: ("760fr", "400fr")."""

    template: ClassVar[str] = "row"
    blocks: tuple[object, ...]
    widths: tuple[str, ...]


@dataclass(frozen=True)
class When:
    """Blocks shown only while control ``param`` has ``value`` (all shown without scripts)."""

    template: ClassVar[str] = "when"
    param: str
    value: str
    blocks: tuple[object, ...]


@dataclass(frozen=True)
class YearSheet:
    """One calendar year on one printed page of A4: a static drawing and its facts.

    ``horizon`` is the whole record (drawn once, on the first sheet, as symbol ``rock``); the year
    lies on it from ``from_share`` to ``to_share`` of its width. ``place`` leads to the same weeks
    on The record. ``parts`` stand in two columns below the drawing. ``fit`` shrinks what would not
    fit its page.
    """

    template: ClassVar[str] = "year_sheet"
    year: str
    who: str
    sentence: Text
    drawing: Markup
    description: str
    place: str
    horizon: Markup
    from_share: float
    to_share: float
    keys: tuple[Key, ...]
    parts: tuple[tuple[object, ...], tuple[object, ...]]
    foot: str
    fit: float


@dataclass(frozen=True)
class Answer:
    """The page's answer: one or two sentences with number, interval, n or support.

    ``<b>`` marks what decides. ``second``: what carries it and what does not. With a control there
    is one answer for each of its values: ``param`` and ``value`` say which; the first one stands
    until another is chosen.
    """

    sentence: Text
    second: Text
    param: str = ""
    value: str = ""


@dataclass(frozen=True)
class Page:
    """One page's own part; header, menu, horizon and footer come from the frame.

    ``folds`` come before the usual three and carry their own titles; ``method`` and ``left_out``
    fill the usual ones; ``caution`` replaces the usual caution.
    """

    answers: tuple[Answer, ...]
    blocks: tuple[object, ...]
    method: tuple[object, ...]
    left_out: tuple[object, ...] = ()
    folds: tuple[tuple[str, tuple[object, ...]], ...] = ()
    caution: Text | None = None
