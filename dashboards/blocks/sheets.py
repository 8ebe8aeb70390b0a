"""Sheets made for paper: a week to train by, a calendar year."""

from dataclasses import dataclass
from typing import ClassVar

from markupsafe import Markup

from dashboards.blocks.pictures import Key
from dashboards.blocks.text import Text


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
