"""Whether a lifter's inbox, journal and weeks are still as the published run read them.

A proposal answers the record as it was: what came since may ask for another one. Events that
``accept`` itself wrote since do not count, so that two proposals of a run can be accepted one
after the other.
"""

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

import polars as pl

from pipeline.core.calendar import iso_weekday
from pipeline.core.errors import SettingsError
from pipeline.core.home import Home
from pipeline.core.settings import is_there, read_settings
from pipeline.sources.snapshot import list_inbox
from pipeline.tidy.journal import read_journal

TOLD = "told"
# Of the files that changed so many are named.
MOST_NAMED = 2


def check_as_refreshed(
    home: Home, proposal: str, row: Mapping[str, Any], files: pl.DataFrame, events: pl.DataFrame
) -> None:
    """Refuse a proposal that was made from another record than the folder holds now.

    Parameters
    ----------
    row : the proposal; its ``start`` is the first day of a week.
    files, events : tables ``source_file`` and ``tidy_event`` of the published run.

    Raises
    ------
    SettingsError
        naming what changed, with the remedy; and when the journal cannot be read.
    """
    lifter_id = row["lifter_id"]
    changed = [
        *_changed_weeks(home, lifter_id, row["start"]),
        *_changed_files(home, lifter_id, files),
        *_changed_journal(home, lifter_id, events),
    ]
    if not changed:
        return
    named = ", ".join(changed[:MOST_NAMED])
    more = len(changed) - MOST_NAMED
    raise SettingsError(
        f"{proposal}: made from another record than there is now: {named}"
        f"{f' and {more} more' if more > 0 else ''} since the last refresh: run "
        "'liftstrata refresh', and accept what it proposes then"
    )


def _changed_weeks(home: Home, lifter_id: str, week_start: date) -> Iterator[str]:
    for one in read_settings(home.settings).lifters:
        if one.lifter_id == lifter_id and week_start.isoweekday() != iso_weekday(one.week_starts):
            yield f"settings.toml: weeks of {lifter_id} start on {one.week_starts.title()}"


def _changed_files(home: Home, lifter_id: str, files: pl.DataFrame) -> Iterator[str]:
    own = files.filter(pl.col("lifter_id") == lifter_id)
    before = dict(own.select("path", "sha256").iter_rows())
    now = {one.path: one.sha256 for one in list_inbox(home) if one.lifter_id == lifter_id}
    for path in sorted({*before, *now}):
        if before.get(path) != now.get(path):
            how = "is new" if path not in before else "is gone" if path not in now else "changed"
            yield f"inbox/{lifter_id}/{path} {how}"


def _changed_journal(home: Home, lifter_id: str, events: pl.DataFrame) -> Iterator[str]:
    path = home.journal / f"{lifter_id}.toml"
    now = read_journal(path, lifter_id) if is_there(path) else events.clear()
    if _told(now, lifter_id) != _told(events, lifter_id):
        yield f"journal/{path.name} changed"


def _told(events: pl.DataFrame, lifter_id: str) -> set[tuple[object, ...]]:
    """The lifter's own events, each with all that it says."""
    own = (pl.col("lifter_id") == lifter_id) & (pl.col("evidence") == TOLD)
    return set(events.filter(own).select(sorted(events.columns)).iter_rows())
