"""Tables: their columns and rows, and how much of a long one is laid out."""

from dataclasses import dataclass
from typing import ClassVar

from markupsafe import Markup

from dashboards.blocks.text import Text

# Rows of a table that are laid out and printed at most, and the first of a longer one.
LONG_TABLE, FIRST_ROWS = 200, 100
# A box of its own for every longer table would catch the wheel and roll the heads away.
BOXED_ROWS = 40

# Characters of a text that takes six lines and more in a fourth of a phone's width.
LONG_TEXT = 60


@dataclass(frozen=True)
class Column:
    """Head of one table column; ``kind`` is text, number or name (text that keeps its words)."""

    head: str
    kind: str = "text"


@dataclass(frozen=True)
class Table:
    """A table that can be sorted and copied. Cells are text (escaped) or trusted markup.

    Of a long one the first rows are laid out; the rest lies packed on the page for its script.
    ``is_counts``: its numbers are counts, so that a card on a phone may leave out a 0. ``place`` is
    the id of its heading, for links that lead there.
    """

    template: ClassVar[str] = "table"
    columns: tuple[Column, ...]
    rows: tuple[tuple[Text, ...], ...]
    title: str = ""
    note: str = ""
    empty: str = ""
    name: str = ""
    is_counts: bool = False
    place: str = ""

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
    def is_boxed(self) -> bool:
        """Too long to run full length where it was folded away: it rolls in a box of its own."""
        return len(self.rows) > BOXED_ROWS

    @property
    def first_rows(self) -> tuple[tuple[Text, ...], ...]:
        """The rows that are laid out at once."""
        return self.rows[:FIRST_ROWS] if self.is_long else self.rows


def _is_long(cell: Text) -> bool:
    """A text of a sentence or so, its marks not counted."""
    return len(cell) > LONG_TEXT and len(Markup(cell).striptags()) > LONG_TEXT
