"""What a page is made of: plain records that pages fill and the frame writes as HTML."""

from dashboards.blocks.layout import Chapter, Contents, Entry, Fold, Page, Row, Section, When
from dashboards.blocks.pictures import Controls, Horizon, Key, Picks, Picture, Select, SpanAxis
from dashboards.blocks.sheets import Day, Sheet, SheetColumn, YearSheet
from dashboards.blocks.spans import SpanChanges, SpanRow, SpanTold
from dashboards.blocks.tables import Column, Table
from dashboards.blocks.text import Answer, Equations, Prose, Text

__all__ = [
    "Answer",
    "Chapter",
    "Column",
    "Contents",
    "Controls",
    "Day",
    "Entry",
    "Equations",
    "Fold",
    "Horizon",
    "Key",
    "Page",
    "Picks",
    "Picture",
    "Prose",
    "Row",
    "Section",
    "Select",
    "Sheet",
    "SheetColumn",
    "SpanAxis",
    "SpanChanges",
    "SpanRow",
    "SpanTold",
    "Table",
    "Text",
    "When",
    "YearSheet",
]
