"""What the pages are made from: frames by table name and the facts of the run. No behaviour."""

from dataclasses import dataclass, field
from datetime import date, datetime

import polars as pl


@dataclass(frozen=True)
class LifterInfo:
    """One lifter as the pages name him or her.

    Without ``consent`` the page of the group shows a pseudonym.
    """

    lifter_id: str
    name: str
    training_began: date
    unit: str = "kg"
    consent: bool = False


@dataclass(frozen=True)
class PageBook:
    """Everything the pages may show.

    Parameters
    ----------
    lifters : in the order of the settings file.
    tables : warehouse tables by name, with all lifters' rows, columns as in the dictionary.
    changes : what moved since the last refresh: lifter_id, what, was, is_now, why (all text).
    is_first : there was no earlier run to compare with.
    last_run : when the refresh ran; shown on the start page and State of the record only, so that
        every other page stays byte-identical when nothing changed.
    settings_id, reference_id : short checksums; model_version, code_version : as published.
    """

    lifters: tuple[LifterInfo, ...]
    tables: dict[str, pl.DataFrame]
    changes: pl.DataFrame
    last_run: datetime
    settings_id: str
    reference_id: str
    model_version: str
    code_version: str
    is_first: bool = False
    settings_shown: dict[str, str] = field(default_factory=dict)
