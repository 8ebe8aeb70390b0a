"""Charts with their legends, what can be chosen in them, and the strip of the whole record."""

from dataclasses import dataclass, field
from typing import ClassVar, NamedTuple

import altair as alt
from markupsafe import Markup

from dashboards.blocks.tables import Table
from dashboards.blocks.text import Text
from dashboards.theme.colours import LOSS, LOSS_BAND, PROGRESS, PROGRESS_BAND, RULE

# Band by the colour of the line that it lies around.
BANDS = {PROGRESS: PROGRESS_BAND, LOSS: LOSS_BAND}


@dataclass(frozen=True)
class Key:
    """One entry of a legend: a small mark, its colour (a CSS reference) and its word.

    ``mark``: swatch, line, estimate, square, dash, band, dot, ring, lozenge, tick, rule, dotted,
    hatch, cut, notch, underline, bar, triangle, arrow, arrow-left, scale, length (a lying bar of
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
    answer : what the picture says, where it answers a question of its own.
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
    answer: Text = ""


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
