"""How blocks stand on a page: folds, sections, rows, and the page itself."""

from dataclasses import dataclass
from typing import ClassVar

from dashboards.blocks.pictures import Horizon
from dashboards.blocks.text import Answer, Text


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
class Contents:
    """Links to the sections of a page: (name, title) each."""

    template: ClassVar[str] = "contents"
    label: str
    entries: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Chapter:
    """A page in an index, with the questions that it answers, as links within sentences."""

    file: str
    title: str
    questions: tuple[Text, ...]


@dataclass(frozen=True)
class Entry:
    """One lifter on a page about all: name with link, horizon, answer, index of the pages."""

    template: ClassVar[str] = "entry"
    title: str
    file: str
    horizon: Horizon | None
    sentence: Text
    second: Text
    chapters: tuple[Chapter, ...]


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
