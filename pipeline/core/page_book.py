"""What the pages are made from: frames by table name and the facts of the run. No behaviour."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

import polars as pl

from pipeline.core.calendar import DEFAULT_WEEK_STARTS
from pipeline.core.next_phase import NO_WISHES, NextPhase
from pipeline.core.page_style import DEFAULT_STYLE, PageStyle


@dataclass(frozen=True)
class LifterInfo:
    """One lifter as the pages name him or her.

    Without ``consent`` the page of the group shows a pseudonym; ``next_phase`` is what is wished of
    the next phase; ``week_starts`` the weekday that the lifter's weeks start on, everywhere.
    """

    lifter_id: str
    name: str
    training_began: date
    unit: str = "kg"
    consent: bool = False
    next_phase: NextPhase = NO_WISHES
    week_starts: str = DEFAULT_WEEK_STARTS


# What changed since the last refresh, a line a row, all text; page and anchor are of the lifter.
NEWS_SCHEMA = dict.fromkeys(
    ("lifter_id", "kind", "what", "was", "is_now", "why", "page", "anchor"), pl.String
)


@dataclass(frozen=True)
class Since:
    """What a lifter's news is held against: the refresh before the record last changed.

    ``is_first``: there was none. Files are those of the inbox; ``more`` counts the lines that did
    not find room; ``rules`` names what else changed (settings, reference tables, program).
    """

    is_first: bool = False
    files_same: int = 0
    files_changed: int = 0
    files_gone: int = 0
    more: int = 0
    rules: tuple[str, ...] = ()


@dataclass(frozen=True)
class PageBook:
    """Everything the pages may show.

    Parameters
    ----------
    lifters : in the order of the settings file.
    tables : warehouse tables by name, with all lifters' rows, columns as in the dictionary.
    changes : what changed since the last refresh, as ``NEWS_SCHEMA``, most telling first.
    since : by lifter what that is held against.
    last_run : when the refresh ran; shown on the start page and State of the record only, so that
        every other page stays byte-identical when nothing changed.
    settings_id, reference_id : short checksums; model_version, code_version : as published.
    style : language, units and signs.
    """

    lifters: tuple[LifterInfo, ...]
    tables: dict[str, pl.DataFrame]
    changes: pl.DataFrame
    last_run: datetime
    settings_id: str
    reference_id: str
    model_version: str
    code_version: str
    since: Mapping[str, Since] = field(default_factory=dict)
    settings_shown: dict[str, str] = field(default_factory=dict)
    style: PageStyle = DEFAULT_STYLE
