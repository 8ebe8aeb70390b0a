"""Journals of all lifters; a broken one concerns its own lifter alone."""

from collections.abc import Collection

import polars as pl

from pipeline.core.dictionary import conform, empty_frame
from pipeline.core.errors import EngineError, SettingsError
from pipeline.core.home import WAREHOUSE, Home
from pipeline.core.settings import Settings, is_there
from pipeline.flows.progress import Progress
from pipeline.store.publish import current_run
from pipeline.store.warehouse import read_table
from pipeline.tidy.journal import read_journal

# Evidence of events that a journal told; the others were found by a rule.
IN_JOURNAL = ("told", "accepted")


def read_journals(
    home: Home, settings: Settings, known: Collection[str], progress: Progress
) -> dict[str, pl.DataFrame]:
    """Table ``tidy_event`` of each lifter's journal, empty for a lifter without one.

    A journal that cannot be used is told of, and the last published one is used in its place;
    where there is none, its lifter is left out: answers without the journal would be other ones.
    ``known`` are the ids of muscles, lifts and regions.
    """
    journals: dict[str, pl.DataFrame] = {}
    for one in settings.lifters:
        path = home.journal / f"{one.lifter_id}.toml"
        if not is_there(path):
            journals[one.lifter_id] = empty_frame("tidy_event")
            continue
        try:
            journals[one.lifter_id] = read_journal(path, one.lifter_id, known)
        except SettingsError as error:
            last = _last_journal(home, one.lifter_id)
            if last is None:
                progress.warn(f"{error}; until then {one.lifter_id} is left out")
                continue
            progress.warn(f"{error}; until then the journal of the last refresh is used")
            journals[one.lifter_id] = last
    return journals


def _last_journal(home: Home, lifter_id: str) -> pl.DataFrame | None:
    """What the journal told at the last published run; None when the lifter was not in it."""
    published = current_run(home)
    if published is None:
        return None
    try:
        warehouse = published / WAREHOUSE
        if lifter_id not in read_table(warehouse, "tidy_set")["lifter_id"]:
            return None
        events = read_table(warehouse, "tidy_event")
    except EngineError:
        return None
    own = (pl.col("lifter_id") == lifter_id) & pl.col("evidence").is_in(IN_JOURNAL)
    return conform("tidy_event", events.filter(own)).sort("start", "kind", "subject")
